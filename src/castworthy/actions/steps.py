"""A head's way from step to step, and what is left of the step it is at."""

from datetime import datetime

from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.assembly import assembly_groups
from castworthy.records.measured import measured_of, worked_of
from castworthy.records.models import Head, Operation, OperationState, Step
from castworthy.records.proving import proofs_of
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show


def move_to(head: Head, step: Step, *, at: datetime) -> None:
    """Put a head at a step; the time it waits there starts anew only when it moves."""
    if head.step != step:
        head.step = step
        head.step_since = at


def keep_progress(head: Head) -> None:
    """Write the head with what is left of its step, for the rack.

    What is read next while measuring was counted with the readings and is kept as it is.
    """
    head.progress = _counts(head.progress) | _left(head)
    head.save(update_fields=("step", "step_since", "decision", "progress"))


def _counts(progress: dict[str, object]) -> dict[str, object]:
    kept = ("read", "required", "outside", "close")
    return {key: progress[key] for key in kept if key in progress}


def _left(head: Head) -> dict[str, object]:
    match head.step:
        case Step.MEASURE:
            return {k: head.progress[k] for k in ("quantity", "left", "of") if k in head.progress}
        case Step.MACHINE:
            return _left_to_machine(head)
        case Step.ASSEMBLE:
            return _left_to_assemble(head)
        case Step.PROVE:
            return _left_to_prove(head)
    return {}


def _left_to_machine(head: Head) -> dict[str, object]:
    planned = list(
        Operation.objects.filter(head=head, state=OperationState.PLANNED)
        .order_by("position", "id")
        .values_list("kind", "place")
    )
    if planned:
        kind, place = planned[0]
        return {"operation": kind, "place": place, "planned": len(planned)}
    return _due_again(head)


def _due_again(head: Head) -> dict[str, object]:
    sheet = sheet_for(head)
    due: dict[Quantity, int] = {}
    for measured in measured_of(head, sheet=sheet).values():
        limited = sheet.limit_for(measured.quantity, place=measured.place) is not None
        if measured.stale and limited and not FACTS[measured.quantity].tested:
            due[measured.quantity] = due.get(measured.quantity, 0) + 1
    for quantity, count in due.items():
        return {"quantity": quantity.value, "left": count, "of": len(sheet.sites_of(quantity))}
    return {}


def _left_to_assemble(head: Head) -> dict[str, object]:
    groups = assembly_groups(head, sheet=sheet_for(head), show=Show())
    return {
        "left": sum(group.left_count for group in groups),
        "of": sum(len(group.items) for group in groups),
    }


def _left_to_prove(head: Head) -> dict[str, object]:
    proofs = proofs_of(head, sheet=sheet_for(head), worked=worked_of(head))
    return {"left": sum(not proof.stands for proof in proofs), "of": len(proofs)}
