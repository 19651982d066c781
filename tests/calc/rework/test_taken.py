"""Readings moved along by what was really taken: DOMAIN section 3, one cut after the other."""

from dataclasses import replace
from math import hypot, pi

import pytest

from castworthy.calc.head import HeadSheet, Reading, Spring
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind as Kind
from castworthy.calc.rework.taken import TakenCut, predicted_reading
from castworthy.sheets.spec import read_sheet
from factories.sheet_texts import SMALL

Q = Quantity


@pytest.fixture(scope="module")
def sheet() -> HeadSheet:
    plain = read_sheet(SMALL, file="small")
    tilted = tuple(replace(v, tilt_deg=10.0) if v.name == "2B" else v for v in plain.valves)
    spring = Spring(rate_n_per_mm=30.0, free_mm=50.0, solid_mm=25.0, lift_mm=10.0)
    return replace(plain, valves=tilted, springs=(spring,))


def moved(
    sheet: HeadSheet, quantity: Quantity, place: str, *cuts: tuple[Kind, str, float]
) -> float | None:
    reading = Reading(quantity=quantity, place=place, value=10.0, u=0.01)
    taken = [TakenCut(kind=kind, place=at, taken_mm=mm) for kind, at, mm in cuts]
    answer = predicted_reading(reading, sheet=sheet, cuts=taken)
    return None if answer is None else answer.value - 10.0


DECK = (Kind.SURFACE, "", 0.1)


@pytest.mark.parametrize(
    ("quantity", "place", "cut", "change"),
    [
        (Q.RECESSION, "1A", DECK, -0.1),
        (Q.DECK_THICKNESS, "T1", DECK, -0.1),
        (Q.HEAD_HEIGHT, "", DECK, -0.1),
        (Q.INJECTOR_PROTRUSION, "1", DECK, 0.1),
        (Q.RECESSION, "1A", (Kind.SEAT, "1A", 0.2), 0.2),
        (Q.RECESSION, "2B", (Kind.SEAT, "2B", 0.2), 0.2 * 0.984807753),
        (Q.TIP_HEIGHT, "1A", (Kind.SEAT, "1A", 0.2), 0.2),
        (Q.SPRING_HEIGHT, "1A", (Kind.FACE, "1A", 0.2), 0.2),
        (Q.SEAT_LOAD, "1A", (Kind.SEAT, "1A", 0.2), -6.0),
        (Q.MARGIN, "1A", (Kind.FACE, "1A", 0.2), -0.2),
        (Q.TIP_HEIGHT, "1A", (Kind.TIP, "1A", 0.15), -0.15),
        (Q.SPRING_HEIGHT, "1A", (Kind.SHIM, "1A", 0.38), -0.38),
        (Q.SEAT_LOAD, "1A", (Kind.SHIM, "1A", 0.38), 11.4),
        (Q.INJECTOR_PROTRUSION, "1", (Kind.WASHER, "1", 0.25), -0.25),
    ],
)
def test_one_cut_moves_a_reading_by(
    sheet: HeadSheet,
    quantity: Quantity,
    place: str,
    cut: tuple[Kind, str, float],
    change: float,
) -> None:
    assert moved(sheet, quantity, place, cut) == pytest.approx(change, abs=1e-9)


def test_cuts_add_up(sheet: HeadSheet) -> None:
    both = moved(sheet, Q.RECESSION, "1A", DECK, (Kind.SEAT, "1A", 0.25), (Kind.FACE, "1A", 0.05))

    assert both == pytest.approx(0.2)


def test_the_chamber_loses_the_pockets_and_gains_the_sunken_heads(sheet: HeadSheet) -> None:
    area = pi / 4 * ((1.5 * 25.4) ** 2 + (1.4 * 25.4) ** 2)

    assert moved(sheet, Q.CHAMBER_VOLUME, "1", DECK) == pytest.approx(-area * 0.1 / 1000)
    assert moved(sheet, Q.CHAMBER_VOLUME, "1", (Kind.SEAT, "1A", 0.2)) == pytest.approx(
        pi / 4 * (1.5 * 25.4) ** 2 * 0.2 / 1000
    )


@pytest.mark.parametrize(
    ("quantity", "place", "cut"),
    [
        (Q.FLATNESS, "", DECK),
        (Q.FINISH_RA, "", DECK),
        (Q.SEAT_WIDTH, "1A", (Kind.SEAT, "1A", 0.2)),
        (Q.RECESSION, "1A", (Kind.VALVE, "1A", 0.0)),
        (Q.GUIDE_CLEARANCE, "1A", (Kind.GUIDE, "1A", 0.0)),
    ],
)
def test_only_a_reading_tells_after(
    sheet: HeadSheet, quantity: Quantity, place: str, cut: tuple[Kind, str, float]
) -> None:
    assert moved(sheet, quantity, place, cut) is None


def test_the_cut_adds_its_own_uncertainty(sheet: HeadSheet) -> None:
    reading = Reading(quantity=Q.RECESSION, place="1A", value=1.0, u=0.003)
    cuts = [
        TakenCut(kind=Kind.SURFACE, place="", taken_mm=0.1),
        TakenCut(kind=Kind.SEAT, place="1A", taken_mm=0.2),
    ]
    after = predicted_reading(reading, sheet=sheet, cuts=cuts)
    work = sheet.work

    assert after is not None
    assert after.u == pytest.approx(hypot(0.003, work.u_deck_cut_mm, work.u_seat_cut_mm))
