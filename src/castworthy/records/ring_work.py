"""What a deck cut leaves to do at the sealing rings: grooves to recut, rings to fit."""

from collections.abc import Iterable, Sequence

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind, WorkStep
from castworthy.calc.rework.taken import TakenCut
from castworthy.records.measured import measured_of, worked_of
from castworthy.records.models import Head, OperationState
from castworthy.records.predicted import cuts_since

_OF_DEPTH = frozenset({OperationKind.SURFACE, OperationKind.RING_GROOVE})
_OF_RINGS = (OperationKind.RING_GROOVE.value, OperationKind.RING.value)


def rings_owed(head: Head, *, sheet: HeadSheet) -> frozenset[str]:
    """Cylinders whose ring was read before a deck cut, their groove not recut since."""
    worked = worked_of(head)
    return frozenset(
        place.place
        for place in measured_of(head, sheet=sheet).values()
        if place.quantity is Quantity.RING_STAND
        and place.stale
        and _shallower(cuts_since(place, worked=worked, sheet=sheet))
    )


def rings_left(head: Head, *, sheet: HeadSheet, work: Iterable[WorkStep]) -> tuple[WorkStep, ...]:
    """What is still to do at the rings after a deck cut that is signed off, beside ``work``.

    A new plan does not see it: what was read of the ring is a thing of the past.  A ring that
    was read since is as its reading says.
    """
    if not head.operations.filter(kind=OperationKind.SURFACE, state=OperationState.DONE).exists():
        return ()
    planned = {(step.kind.value, step.place) for step in work}
    read = _rings_read(head, sheet=sheet)
    left = head.operations.filter(state=OperationState.PLANNED, kind__in=_OF_RINGS)
    return tuple(
        WorkStep(
            kind=OperationKind(each.kind),
            place=each.place,
            amount_mm=each.planned_mm,
            parts=tuple(each.parts),
            minutes=each.minutes,
            cost=each.cost,
            why=each.why,
        )
        for each in left.order_by("position", "id")
        if (each.kind, each.place) not in planned and each.place not in read
    )


def _rings_read(head: Head, *, sheet: HeadSheet) -> frozenset[str]:
    """Cylinders whose ring was read and that no work moved since."""
    return frozenset(
        place.place
        for place in measured_of(head, sheet=sheet).values()
        if place.quantity is Quantity.RING_STAND and not place.stale
    )


def _shallower(cuts: Sequence[TakenCut]) -> bool:
    """True when a deck cut is the last that changed the groove's depth."""
    of_depth = [cut.kind for cut in cuts if cut.kind in _OF_DEPTH]
    return bool(of_depth) and of_depth[-1] is OperationKind.SURFACE
