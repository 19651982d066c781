"""One cut for one limit: the bench's hint."""

from dataclasses import replace

import pytest
from scipy.stats import norm

from castworthy.calc.head import HeadSheet, Limit, Reading, Rule
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.rework.single import single_cut
from castworthy.sheets.spec import read_sheet
from factories.sheet_texts import SMALL

THOU = 0.0254


@pytest.fixture
def small() -> HeadSheet:
    return read_sheet(SMALL, file="small")


def with_limit(sheet: HeadSheet, **limit: object) -> HeadSheet:
    """The sheet with one recession limit, in mm."""
    others = tuple(row for row in sheet.limits if row.quantity is not Quantity.RECESSION)
    only = Limit(quantity=Quantity.RECESSION, **limit)
    return replace(sheet, limits=(*others, only))


def recession(sheet: HeadSheet, thou: float, *, u_thou: float | None = None) -> Reading:
    """A reading at the sheet's first valve."""
    u = None if u_thou is None else u_thou * THOU
    return Reading(quantity=Quantity.RECESSION, place=sheet.valves[0].name, value=thou * THOU, u=u)


def test_a_deep_valve_wants_its_excess_off_the_deck(small: HeadSheet) -> None:
    # Common practice, no source: recession allowed 13 to 27 thou, 30 is 3 too deep and the deck
    # cut lowers it one for one.
    sheet = with_limit(small, low=13 * THOU, high=27 * THOU, rule=Rule.SIMPLE)
    cut = single_cut(sheet, reading=recession(sheet, 30.0))
    assert cut is not None
    assert cut.kind is OperationKind.SURFACE
    assert cut.amount_mm == pytest.approx(3.0 * THOU)
    assert cut.after_mm == pytest.approx(27 * THOU)
    assert cut.to_spare_mm == pytest.approx(0.0, abs=1e-9)


def test_the_smallest_cut_a_cutter_takes_is_kept(small: HeadSheet) -> None:
    sheet = with_limit(small, low=13 * THOU, high=27 * THOU, rule=Rule.SIMPLE)
    sheet = replace(sheet, work=replace(sheet.work, smallest_deck_cut_mm=2.0 * THOU))
    cut = single_cut(sheet, reading=recession(sheet, 27.5))
    assert cut is not None
    assert cut.amount_mm == pytest.approx(2.0 * THOU)
    assert cut.to_spare_mm == pytest.approx(1.5 * THOU)


def test_a_guarded_limit_takes_more_by_reading_and_cut_together(small: HeadSheet) -> None:
    sheet = with_limit(small, low=13 * THOU, high=27 * THOU)
    work = replace(
        sheet.work, confidence_probability=0.95, u_deck_cut_mm=0.4 * THOU, smallest_deck_cut_mm=0.0
    )
    sheet = replace(sheet, work=work)
    cut = single_cut(sheet, reading=recession(sheet, 30.0, u_thou=0.3))
    assert cut is not None
    # 0.3 and 0.4 thou together are 0.5; scipy's normal quantile is the independent one.
    guard = norm.ppf(0.95) * 0.5
    assert cut.amount_mm == pytest.approx((3.0 + guard) * THOU)


def test_a_proud_valve_wants_its_seat_cut_by_the_tilt(small: HeadSheet) -> None:
    # Common practice, no source: a seat cut sinks the valve; 6 thou short is 6 thou of sinking
    # on an upright valve, 6/cos(60 deg) = 12 on one tilted by 60 degrees.
    sheet = with_limit(small, low=13 * THOU, high=27 * THOU, rule=Rule.SIMPLE)
    upright = single_cut(sheet, reading=recession(sheet, 7.0))
    assert upright is not None
    assert upright.kind is OperationKind.SEAT
    assert upright.place == sheet.valves[0].name
    assert upright.amount_mm == pytest.approx(6.0 * THOU)
    tilted = replace(sheet, valves=(replace(sheet.valves[0], tilt_deg=60.0), *sheet.valves[1:]))
    cut = single_cut(tilted, reading=recession(tilted, 7.0))
    assert cut is not None
    assert cut.amount_mm == pytest.approx(12.0 * THOU)
    assert cut.after_mm == pytest.approx(13.0 * THOU)


def test_no_single_cut_keeps_a_span_narrower_than_the_smallest_cut(small: HeadSheet) -> None:
    sheet = with_limit(small, low=26.9 * THOU, high=27 * THOU, rule=Rule.SIMPLE)
    sheet = replace(sheet, work=replace(sheet.work, smallest_deck_cut_mm=2.0 * THOU))
    assert single_cut(sheet, reading=recession(sheet, 27.5)) is None


def test_an_inside_reading_and_other_quantities_want_no_cut(small: HeadSheet) -> None:
    sheet = with_limit(small, low=13 * THOU, high=27 * THOU, rule=Rule.SIMPLE)
    assert single_cut(sheet, reading=recession(sheet, 20.0)) is None
    other = Reading(quantity=Quantity.MARGIN, place=sheet.valves[0].name, value=0.1)
    assert single_cut(sheet, reading=other) is None
