"""Piston to valve, gasket grades, injector stand."""

from dataclasses import replace
from math import cos, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from castworthy.calc.chamber.grades import (
    GasketGrade,
    GradeChoice,
    GradeLimits,
    choose_grade,
)
from castworthy.calc.chamber.injector import InjectorStand, injector_stand
from castworthy.calc.chamber.piston import (
    Crank,
    LiftCurve,
    ValveOverPiston,
    least_valve_gap,
    piston_drop_mm,
)
from castworthy.calc.chamber.room import CylinderRoom, compression_ratio
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused

CRANK = Crank(stroke_mm=124.0, rod_mm=200.0)
PLACE = ValveOverPiston(
    gasket_mm=1.30,
    deck_clearance_mm=-0.35,
    recession_mm=0.95,
    u_gasket_mm=0.03,
    u_recession_mm=0.04,
)
GRADES = tuple(
    GasketGrade(name=name, thickness_mm=t) for name, t in (("C", 1.50), ("A", 1.30), ("B", 1.40))
)


def room(name: str, *, stands_mm: float) -> CylinderRoom:
    return CylinderRoom(
        name=name,
        bore_mm=107.0,
        stroke_mm=124.0,
        chamber_cm3=8.0,
        gasket_bore_mm=109.0,
        gasket_mm=1.30,
        bowl_cm3=48.0,
        deck_clearance_mm=-stands_mm,
    )


ROOMS = [room("1", stands_mm=0.35), room("2", stands_mm=0.45)]


@given(angle=st.floats(0, 180))
def test_drop_closes_the_triangle(angle: float) -> None:
    """Oracle: the law of cosines solved for where the rod's end is."""
    a, rod = 62.0, 200.0
    height = brentq(
        lambda y: y**2 + a**2 - 2 * a * y * cos(radians(angle)) - rod**2, rod - a - 1, rod + a + 1
    )

    assert piston_drop_mm(angle, crank=CRANK) == pytest.approx(rod + a - height, abs=1e-8)


def test_gap_with_the_valve_shut_and_open() -> None:
    """Closed: 1.30 - 0.35 + 0.95.  A lift of 1 mm at top dead centre leaves 0.90."""
    shut = least_valve_gap(
        PLACE, crank=CRANK, lifts=LiftCurve(crank_deg=np.array([0.0]), lift_mm=np.array([0.0]))
    )
    open_ = least_valve_gap(
        PLACE,
        crank=CRANK,
        lifts=LiftCurve(crank_deg=np.array([-10.0, 0.0, 10.0]), lift_mm=np.array([1.6, 1.0, 0.6])),
    )

    assert shut.gap_mm == PLACE.closed_gap_mm == pytest.approx(1.90)
    assert open_.gap_mm == pytest.approx(0.90)
    assert (open_.crank_deg, open_.lift_mm) == (0.0, 1.0)
    assert open_.u_gap_mm == pytest.approx(0.05)


def test_a_tilted_valve_uses_less_of_its_lift() -> None:
    lifts = LiftCurve(crank_deg=np.array([0.0]), lift_mm=np.array([1.0]))
    found = least_valve_gap(replace(PLACE, tilt_deg=20.0), crank=CRANK, lifts=lifts)

    assert found.gap_mm == pytest.approx(1.90 - cos(radians(20)))


def test_grade_nearest_the_aim() -> None:
    """The lower piston decides the ratio, the prouder the gap."""
    by_gap = choose_grade(
        ROOMS, grades=GRADES, limits=GradeLimits(low_gap_mm=0.90, high_gap_mm=1.10, aim_gap_mm=1.0)
    )

    assert isinstance(by_gap, GradeChoice)
    assert [each.grade.name for each in by_gap.options] == ["A", "B", "C"]
    assert by_gap.chosen.grade.name == "B"
    assert by_gap.chosen.off == pytest.approx(0.05)
    assert by_gap.options[0].broken == ("piston to head 0.850 mm is below 0.9",)
    assert by_gap.options[2].broken == ("piston to head 1.150 mm is above 1.1",)


@given(aim=st.floats(15.0, 19.0), low=st.floats(0.8, 1.1))
def test_no_other_grade_serves_better(aim: float, low: float) -> None:
    """Oracle: every grade tried apart."""
    found = choose_grade(ROOMS, grades=GRADES, limits=GradeLimits(aim_ratio=aim, low_gap_mm=low))
    tried = {}
    for grade in GRADES:
        fitted = [replace(each, gasket_mm=grade.thickness_mm) for each in ROOMS]
        if min(each.gasket_mm + each.deck_clearance_mm for each in fitted) >= low - 1e-9:
            tried[grade.name] = max(abs(compression_ratio(each).ratio - aim) for each in fitted)

    if not tried:
        assert isinstance(found, Refused)
        return
    assert found.chosen.off == pytest.approx(min(tried.values()))
    assert tried[found.chosen.grade.name] == pytest.approx(found.chosen.off)


def test_no_aim_takes_the_thinnest_that_serves_and_none_is_refused() -> None:
    thinnest = choose_grade(ROOMS, grades=GRADES, limits=GradeLimits(low_gap_mm=0.9))
    refused = choose_grade(ROOMS, grades=GRADES, limits=GradeLimits(low_gap_mm=1.2))

    assert thinnest.chosen.grade.name == "B"
    assert isinstance(refused, Refused)
    assert refused.code == "no-grade"
    # 1.50 mm leaves 1.15 of the 1.2 mm asked, the others less.
    assert "the nearest is C (1.50 mm)" in refused.reason


def test_washers_bring_an_injector_back() -> None:
    """Stands 0.9, cut 0.25: 1.15 out; one washer of 0.25 brings it back to 0.9."""
    found = injector_stand(
        0.90,
        deck_cut_mm=0.25,
        low_mm=0.70,
        high_mm=1.00,
        washers_mm=[0.25, 0.50],
        u_stand_mm=0.03,
        u_deck_cut_mm=0.04,
    )

    assert isinstance(found, InjectorStand)
    assert (found.bare_mm, found.stand_mm) == pytest.approx((1.15, 0.90))
    assert found.washers_mm == (0.25,)
    assert found.u_stand_mm == pytest.approx(0.05)
    assert found.probability == pytest.approx(norm.cdf(2) - norm.cdf(-4), rel=1e-9)


def test_no_washer_where_none_is_needed_or_none_serves() -> None:
    kept = injector_stand(0.90, deck_cut_mm=0.05, low_mm=0.7, high_mm=1.0, washers_mm=[0.1])
    refused = injector_stand(0.90, deck_cut_mm=0.25, low_mm=0.7, high_mm=1.0)

    assert kept.washers_mm == ()
    assert kept.probability is None
    assert isinstance(refused, Refused)
    assert "stand 1.150 mm" in refused.reason


def test_the_fitted_washer_comes_out_and_one_goes_in() -> None:
    """By hand: 0.60 over 0.50 is 1.10 bare; 0.25 leaves 0.85, none at all is not offered."""
    found = injector_stand(
        0.60, deck_cut_mm=0.0, low_mm=0.7, high_mm=1.2, washers_mm=[0.25], fitted_mm=[0.5]
    )
    low = injector_stand(0.60, deck_cut_mm=0.0, low_mm=0.7, high_mm=1.2, fitted_mm=[0.5])

    assert (found.bare_mm, found.stand_mm) == pytest.approx((1.10, 0.85))
    assert found.washers_mm == (0.25,)
    assert isinstance(low, Refused)
    assert low.code == "too-low"


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Crank(stroke_mm=100, rod_mm=40),
        lambda: least_valve_gap(
            PLACE, crank=CRANK, lifts=LiftCurve(crank_deg=np.array([]), lift_mm=np.array([]))
        ),
        lambda: least_valve_gap(
            PLACE,
            crank=CRANK,
            lifts=LiftCurve(crank_deg=np.array([0.0]), lift_mm=np.array([-1.0])),
        ),
        lambda: choose_grade([], grades=GRADES, limits=GradeLimits()),
        lambda: choose_grade(ROOMS, grades=[], limits=GradeLimits()),
        lambda: GradeLimits(aim_ratio=17, aim_gap_mm=1),
        lambda: GradeLimits(aim_ratio=float("nan")),
        lambda: GradeLimits(low_gap_mm=1.1, high_gap_mm=1.0),
        lambda: injector_stand(0.9, deck_cut_mm=-0.1, low_mm=0, high_mm=1),
        lambda: injector_stand(0.9, deck_cut_mm=0.1, low_mm=2, high_mm=1),
        lambda: injector_stand(0.9, deck_cut_mm=0.1, low_mm=0, high_mm=1, fitted_mm=[-1.0]),
    ],
)
def test_wrong_calls_are_told(wrong: object) -> None:
    with pytest.raises(InputError, match="got"):
        wrong()
