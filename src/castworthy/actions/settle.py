"""Where a head stands after its readings or its work changed."""

from datetime import datetime
from typing import Any

from castworthy.actions.steps import keep_progress, move_to
from castworthy.calc.rework.results import Decision
from castworthy.records.models import Head, Operation, OperationState, Step
from castworthy.records.standing import Standing, standing_for

_BEFORE_PLAN = {Step.TAKE_IN, Step.MEASURE}


def settle(head: Head, *, at: datetime, standing: Standing | None = None) -> Standing:
    """Put a head at the step its readings and operations say, and write what is left.

    Call it inside a deed after readings or operations changed.  Readings outside their limits
    bring a head back to the plan, missing ones back to measuring; what is assembled or proved
    already stays recorded.
    """
    standing = standing or standing_for(head)
    planned = _planned(head)
    move_to(head, step_of(head, standing=standing, planned=bool(planned)), at=at)
    head.decision = standing.decision or ""
    head.progress = _counts(standing)
    if head.step in {Step.MEASURE, Step.MACHINE}:
        head.progress |= _next_operation(planned) or _next_readings(standing)
        head.save(update_fields=("step", "step_since", "decision", "progress"))
    else:
        keep_progress(head)
    return standing


def step_of(head: Head, *, standing: Standing, planned: bool) -> Step:
    """The step a head is at, from its readings and whether operations are still planned.

    The steps after machining are only ever reached by their own deeds.
    """
    if planned:
        return Step.MACHINE
    if standing.missing:
        return Step.MACHINE if standing.worked else Step.MEASURE
    step = Step(head.step)
    if step in _BEFORE_PLAN or standing.decision is Decision.REWORK:
        return Step.PLAN
    return Step.ASSEMBLE if step is Step.MACHINE else step


def _planned(head: Head) -> list[tuple[str, str]]:
    return list(
        Operation.objects.filter(head=head, state=OperationState.PLANNED)
        .order_by("position", "id")
        .values_list("kind", "place")
    )


def _counts(standing: Standing) -> dict[str, Any]:
    return {
        "read": standing.read_count,
        "required": standing.required_count,
        "outside": len(standing.outside),
        "close": len(standing.close),
    }


def _next_operation(planned: list[tuple[str, str]]) -> dict[str, Any]:
    if not planned:
        return {}
    kind, place = planned[0]
    return {"operation": kind, "place": place, "planned": len(planned)}


def _next_readings(standing: Standing) -> dict[str, Any]:
    first = standing.next_place
    if first is None:
        return {}
    left = sum(spot.quantity is first.quantity for spot in standing.missing)
    of = sum(spot.required for spot in standing.of(first.quantity))
    return {"quantity": first.quantity.value, "left": left, "of": of}
