"""Operations in the words of a traveller or a release record."""

from collections.abc import Sequence

from castworthy.calc.rework.results import OperationKind
from castworthy.records.lookups.machine import OperationFacts
from castworthy.units import Show

TITLES = {
    OperationKind.CLEAN: "Clean the head",
    OperationKind.CRACK_CHECK: "Check for cracks",
    OperationKind.STRAIGHTEN: "Straighten the head",
    OperationKind.GUIDE: "Renew guides",
    OperationKind.SURFACE: "Surface the deck",
    OperationKind.RING_GROOVE: "Cut ring grooves",
    OperationKind.INSERT: "Fit seat inserts",
    OperationKind.VALVE: "Fit new valves",
    OperationKind.FACE: "Reface valves",
    OperationKind.SEAT: "Cut seats",
    OperationKind.TIP: "Grind stem tips",
    OperationKind.WASH: "Wash and dry",
    OperationKind.RING: "Fit rings",
    OperationKind.SHIM: "Shim springs",
    OperationKind.WASHER: "Washers under injectors",
}
_AT_CYLINDERS = frozenset({OperationKind.RING_GROOVE, OperationKind.RING, OperationKind.WASHER})
_SIZES = frozenset({OperationKind.SHIM, OperationKind.WASHER})


def amount(kind: OperationKind, *, amount_mm: float | None, show: Show) -> str:
    """How much: a cut in thou, a part by its size; empty where there is no figure."""
    if amount_mm is None:
        return ""
    if kind in _SIZES:
        return show.value(amount_mm, suffix="mm", digits=2 if show.metric else 3)
    return show.value(amount_mm, suffix="mm", difference=True)


def figures(operations: Sequence[OperationFacts], *, show: Show) -> tuple[str, ...]:
    """Places with what is taken or fitted there: ``5B 8.2 thou``."""
    return tuple(
        f"{where(one.kind, place=one.place)}{_amount_after(one, show=show)}"
        for one in operations
        if one.place
    )


def where(kind: OperationKind, *, place: str) -> str:
    """A valve by its name; a cylinder in words, so that its number stands apart."""
    return f"cylinder {place}" if place and kind in _AT_CYLINDERS else place


def _amount_after(one: OperationFacts, *, show: Show) -> str:
    """The amount as it follows a place; empty where there is none."""
    words = amount(one.kind, amount_mm=one.planned_mm, show=show)
    if not words:
        return ""
    return f": {words}" if one.kind in _AT_CYLINDERS else f" {words}"
