"""The compression ratio as a limit of the plan.  The arithmetic of the ratio is done by hand."""

from dataclasses import replace
from math import pi

import pytest

from castworthy.calc.engine import Engine
from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Limit,
    Material,
    Place,
    PlaceKind,
    Prices,
    Reading,
    Valve,
    ValveKind,
    WorkRules,
)
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.ratio import ratio_sentence, ratios_of
from castworthy.calc.rework.results import Plan

BORE, STROKE, AREA = 100.0, 120.0, 2000.0
SWEPT = pi / 4 * BORE**2 * STROKE / 1000
ENGINE = Engine(stroke_mm=STROKE, gasket_mm=1.0, bowl_cm3=40.0, ratio_low=16.0, ratio_high=17.0)
UNDER = 40.0 + pi / 4 * BORE**2 * 1.0 / 1000


def sheet(*, thickness_low: float = 9.0) -> HeadSheet:
    """One cylinder whose chamber shrinks 2 cm3 for every mm of deck."""
    return HeadSheet(
        code="R1",
        title="One cylinder",
        material=Material.GREY_IRON,
        source="invented",
        outline_mm=((0, 0), (200, 0), (200, 150), (0, 150)),
        cylinders=(Cylinder(name="1", x_mm=100, y_mm=75, bore_mm=BORE, chamber_area_mm2=AREA),),
        valves=(
            Valve(
                name="1A",
                cylinder="1",
                kind=ValveKind.INTAKE,
                x_mm=80,
                y_mm=75,
                head_diameter_mm=40,
            ),
        ),
        places=(Place(name="T1", kind=PlaceKind.THICKNESS, x_mm=20, y_mm=20),),
        limits=(
            Limit(quantity=Quantity.FLATNESS, high=0.05),
            Limit(quantity=Quantity.DECK_THICKNESS, low=thickness_low),
        ),
        engine=ENGINE,
        work=WorkRules(u_deck_cut_mm=0.0, u_seat_cut_mm=0.0, smallest_deck_cut_mm=0.05),
        prices=Prices(labour_per_hour=90, deck_min=45, seat_min=8),
    )


def readings(*, chamber_cm3: float, flatness_mm: float = 0.01) -> tuple[Reading, ...]:
    return (
        Reading(quantity=Quantity.CHAMBER_VOLUME, place="1", value=chamber_cm3),
        Reading(quantity=Quantity.FLATNESS, place="", value=flatness_mm),
        Reading(quantity=Quantity.DECK_THICKNESS, place="T1", value=10.0),
    )


def chamber_for(ratio: float) -> float:
    return SWEPT / (ratio - 1.0) - UNDER


def test_a_chamber_too_large_is_brought_in_by_the_deck() -> None:
    """From 15.9 to 16.0: (V(15.9) - V(16.0)) / 2 cm3 a mm off the deck, by hand."""
    least_mm = (chamber_for(15.9) - chamber_for(16.0)) / (AREA / 1000)
    plan = make_plan(sheet().fitted(), readings=readings(chamber_cm3=chamber_for(15.9)))
    assert isinstance(plan, Plan)
    assert plan.deck is not None
    assert plan.deck.depth_mm >= least_mm - 1e-6
    (found,) = ratios_of(plan, sheet=sheet())
    assert found.before_ratio == pytest.approx(15.9)
    assert 16.0 - 1e-6 <= found.after_ratio <= 17.0


def test_a_cut_that_would_raise_the_ratio_past_its_limit_excludes_a_plan() -> None:
    """Flatness wants 0.1 mm off; the ratio stands at its top: only sinking the valve can pay."""
    out = readings(chamber_cm3=chamber_for(16.999), flatness_mm=0.1)
    plan = make_plan(sheet().fitted(), readings=out)
    assert isinstance(plan, Plan)
    (found,) = ratios_of(plan, sheet=sheet())
    assert found.after_ratio <= 17.0 + 1e-6
    assert plan.valves["1A"].seat_cut_mm + plan.valves["1A"].face_cut_mm > 0.0


def test_the_sentence_gives_both_and_nothing_without_an_engine() -> None:
    plan = make_plan(sheet().fitted(), readings=readings(chamber_cm3=chamber_for(15.9)))
    assert isinstance(plan, Plan)
    assert ratio_sentence(plan, sheet=sheet()).startswith("Compression ratio 15.90 now, 16.")
    assert ratio_sentence(plan, sheet=replace(sheet(), engine=None)) == ""
