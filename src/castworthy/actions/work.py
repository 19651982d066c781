"""Deeds at the machines: signing operations off with what was really taken."""

from dataclasses import dataclass

from castworthy.actions.deed import clock_words, deed, head_for_work
from castworthy.actions.errors import DeedRefused
from castworthy.actions.plans import ONCE_ONLY, put_operations
from castworthy.actions.settle import settle
from castworthy.actions.texts import short
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.order import in_shop_order
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import NoPlan, Objective, OperationKind, WorkStep
from castworthy.records.models import Head, Operation, OperationState, Person
from castworthy.records.predicted import readings_for_plan
from castworthy.records.ring_work import rings_left, rings_owed
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show, UnitError, read_value

SAME_WITHIN_MM = 0.0127
"""Half a thou: a planned amount that moves by less is left as it was."""
_AFTER_SURFACE = frozenset(
    {OperationKind.SEAT, OperationKind.FACE, OperationKind.TIP, OperationKind.RING_GROOVE}
)
_LONGEST_NOTE = 500
_LONGEST_TYPED = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """An operation on record, and what became of the rest of the work.

    ``replanned`` when operations still to do were replaced; ``stuck`` when from here no work
    keeps every limit (the list is left as it was).
    """

    operation_id: int
    tag: str
    replanned: bool
    stuck: NoPlan | None


def sign_operation(*, operation_id: int, by: Person, typed: str = "", note: str = "") -> Signed:
    """Sign an operation off with what was really taken (empty: as planned).

    The work that is left is worked out again from it.

    Raises
    ------
    DeedRefused
        If it was signed or dropped already, comes before its turn, or the amount cannot be read.

    """
    with deed("operation signed", by=by) as told:
        operation, head = _held(operation_id)
        _refuse_early(operation)
        operation.taken_mm = _taken_mm(operation, typed=typed, by=by)
        operation.typed = short(typed, field="typed", what="The amount", longest=_LONGEST_TYPED)
        operation.note = short(note, field="note", what="The note", longest=_LONGEST_NOTE)
        _finish(operation, head=head)
        operation.state = OperationState.DONE
        operation.by, operation.at = by, told.at
        operation.save()
        told.about(
            head=head,
            subject=_named(operation),
            planned_mm=operation.planned_mm,
            taken_mm=operation.taken_mm,
            note=operation.note,
        )
        replanned, stuck = _plan_the_rest(head, after=operation)
        settle(head, at=told.at)
    return Signed(operation_id=operation.pk, tag=head.tag, replanned=replanned, stuck=stuck)


def skip_operation(*, operation_id: int, why: str, by: Person) -> Signed:
    """Drop an operation that turned out not to be needed; ``why`` stays with it.

    Raises
    ------
    DeedRefused
        If no reason is given, or it was signed or dropped already.

    """
    with deed("operation skipped", by=by) as told:
        operation, head = _held(operation_id)
        reason = short(why, field="why", what="The reason", longest=_LONGEST_NOTE)
        if not reason:
            raise DeedRefused(
                "Say in a word why it is skipped; the reason stays on record.", field="why"
            )
        operation.state = OperationState.DROPPED
        operation.note, operation.by, operation.at = reason, by, told.at
        operation.save()
        told.about(head=head, subject=_named(operation), why=reason)
        settle(head, at=told.at)
    return Signed(operation_id=operation.pk, tag=head.tag, replanned=False, stuck=None)


def _held(operation_id: int) -> tuple[Operation, Head]:
    found = Operation.objects.select_related("head").filter(pk=operation_id).first()
    if found is None:
        raise DeedRefused("There is no such operation on record; load the page again.")
    head = head_for_work(found.head.tag)
    operation = Operation.objects.select_related("by", "plan").get(pk=operation_id)
    if operation.state == OperationState.DONE and operation.at is not None:
        raise DeedRefused(
            f"{_named(operation)} was signed off by {operation.by} {clock_words(operation.at)}.",
            code="signed",
        )
    if operation.state == OperationState.DROPPED:
        raise DeedRefused(
            f"{_named(operation)} is no longer in the plan; load the page again.", code="dropped"
        )
    return operation, head


def _refuse_early(operation: Operation) -> None:
    if OperationKind(operation.kind) not in _AFTER_SURFACE:
        return
    waits = Operation.objects.filter(
        head=operation.head_id, kind=OperationKind.SURFACE, state=OperationState.PLANNED
    )
    if waits.exists():
        raise DeedRefused(
            f"The deck is surfaced before {_named(operation).lower()}: seats are cut to the "
            "finished face. Sign off the surfacing first.",
            code="order",
        )


def _taken_mm(operation: Operation, *, typed: str, by: Person) -> float | None:
    if not typed.strip():
        return operation.planned_mm
    if operation.planned_mm is None:
        raise DeedRefused(
            f"{_named(operation)} takes no amount, not {typed.strip()[:_LONGEST_TYPED]}; leave it "
            "empty and put what there is to say in the note.",
            field="typed",
        )
    unit = Show(length=by.show_length).unit("mm", difference=True)
    try:
        taken_mm = read_value(typed, suffix="mm", bare_unit=unit).value
    except UnitError as error:
        raise DeedRefused(str(error), field="typed", code="unit") from error
    if not 0.0 <= taken_mm <= max(10 * operation.planned_mm, 1.0):
        planned = Show(length=by.show_length).value(
            operation.planned_mm, suffix="mm", difference=True
        )
        raise DeedRefused(
            f"{typed.strip()} is far from the {planned} planned; check the unit and the point.",
            field="typed",
            code="slip",
        )
    return taken_mm


def _finish(operation: Operation, *, head: Head) -> None:
    done = head.operations.filter(state=OperationState.DONE)
    operation.done_number = done.count() + 1


def _plan_the_rest(head: Head, *, after: Operation) -> tuple[bool, NoPlan | None]:
    """Work the rest out from what was really taken; replace it where it differs."""
    if after.planned_mm is None or after.plan is None:
        return False, None
    sheet = sheet_for(head)
    answer = make_plan(
        sheet,
        readings=readings_for_plan(head, sheet=sheet),
        objective=Objective(after.plan.objective),
        rings_owed=rings_owed(head, sheet=sheet),
    )
    if isinstance(answer, Refused):
        return False, None
    if isinstance(answer, NoPlan):
        return False, answer
    left = list(
        Operation.objects.filter(head=head, state=OperationState.PLANNED).order_by("position", "id")
    )
    wanted = (*answer.work, *rings_left(head, sheet=sheet, work=answer.work))
    if _same(left, wanted):
        return False, None
    put_operations(head, plan=after.plan, work=in_shop_order(wanted))
    return True, None


def _same(left: list[Operation], work: tuple[WorkStep, ...]) -> bool:
    """True when the list still to do says what the new plan says, to half a thou."""
    planned = {(o.kind, o.place): o.planned_mm for o in left if o.kind not in ONCE_ONLY}
    wanted = {(s.kind.value, s.place): s.amount_mm for s in work if s.kind not in ONCE_ONLY}
    wash = (OperationKind.WASH.value, "")
    planned.pop(wash, None)
    wanted.pop(wash, None)
    return planned.keys() == wanted.keys() and all(
        abs((planned[key] or 0.0) - (wanted[key] or 0.0)) <= SAME_WITHIN_MM for key in wanted
    )


def _named(operation: Operation | WorkStep) -> str:
    words = f"{operation.kind} {operation.place}".strip()
    return words[0].upper() + words[1:]
