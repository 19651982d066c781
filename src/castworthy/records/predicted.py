"""What a plan rests on: the readings that stand, and those that later work moved, moved along."""

from collections.abc import Iterable, Sequence

from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.quantity import FACTS
from castworthy.calc.rework.taken import TakenCut, predicted_reading
from castworthy.records.measured import Measured, Worked, disturbed, measured_of, worked_of
from castworthy.records.models import Head
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for


def readings_for_plan(head: Head, *, sheet: HeadSheet) -> tuple[Reading, ...]:
    """One reading a place as the head is now: what stands, and what the work since makes of it."""
    worked = worked_of(head)
    measured = measured_of(head, sheet=sheet)
    return tuple(_moved_along(measured.values(), worked=worked, sheet=sheet))


def readings_expected(tag: str) -> tuple[Reading, ...]:
    """The same for a head by its tag."""
    head = head_row(tag)
    return readings_for_plan(head, sheet=sheet_for(head))


def _moved_along(
    measured: Iterable[Measured], *, worked: Sequence[Worked], sheet: HeadSheet
) -> Iterable[Reading]:
    for place in measured:
        if FACTS[place.quantity].tested:
            continue
        if not place.stale:
            yield place.reading
            continue
        cuts = cuts_since(place, worked=worked, sheet=sheet)
        moved = predicted_reading(place.reading, sheet=sheet, cuts=cuts)
        if moved is not None:
            yield moved


def cuts_since(
    place: Measured, *, worked: Sequence[Worked], sheet: HeadSheet
) -> tuple[TakenCut, ...]:
    """The signed operations that moved a quantity after it was last read, in order."""
    epoch = place.current[-1].epoch
    return tuple(
        TakenCut(kind=done.kind, place=done.place, taken_mm=done.taken_mm or 0.0)
        for done in worked
        if done.number > epoch
        and (place.quantity, place.place) in disturbed(sheet, kind=done.kind, place=done.place)
    )
