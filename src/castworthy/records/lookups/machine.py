"""The machine page: operations in order, with what was really taken."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from castworthy.calc.head import HeadSheet
from castworthy.calc.rework.results import OperationKind
from castworthy.records.models import Head, Operation, Plan
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for

_WORDS = {"cost": "least cost", "deck": "most deck left", "surest": "surest"}


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationFacts:
    """One operation; ``state`` is planned, done or dropped.

    ``planned_mm`` is ``None`` for work without a figure; ``taken_mm`` is what was really taken.
    A dropped one has ``by`` when a person skipped it, none when a new plan had no use for it.
    """

    id: int
    kind: OperationKind
    place: str
    planned_mm: float | None
    parts: tuple[float, ...]
    minutes: float
    cost: float
    why: str
    state: str
    done_number: int | None
    taken_mm: float | None
    typed: str
    note: str
    by: str
    at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MachinePage:
    """The work of one head, signed operations first as they were signed.

    ``plan_words`` says which plan it follows; empty when none was chosen.  ``loaded`` when it came
    with its valves in.
    """

    tag: str
    sheet: HeadSheet
    operations: tuple[OperationFacts, ...]
    plan_words: str
    loaded: bool


def machine_page(tag: str) -> MachinePage:
    """The work of a head.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    rows = list(Operation.objects.filter(head=head).select_related("by"))
    rows.sort(key=_order)
    return MachinePage(
        tag=tag,
        sheet=sheet_for(head),
        operations=tuple(_facts(row) for row in rows),
        plan_words=_plan_words(head),
        loaded=head.loaded,
    )


def _order(row: Operation) -> tuple[bool, int, int, int]:
    return row.done_number is None, row.done_number or 0, row.position, row.pk


def _plan_words(head: Head) -> str:
    plan = (
        Plan.objects.filter(head=head, chosen_at__isnull=False)
        .select_related("chosen_by")
        .order_by("-chosen_at", "-id")
        .first()
    )
    return f"{_WORDS[plan.objective]}, chosen by {plan.chosen_by}" if plan is not None else ""


def _facts(row: Operation) -> OperationFacts:
    return OperationFacts(
        id=row.pk,
        kind=OperationKind(row.kind),
        place=row.place,
        planned_mm=row.planned_mm,
        parts=tuple(row.parts),
        minutes=row.minutes,
        cost=row.cost,
        why=row.why,
        state=row.state,
        done_number=row.done_number,
        taken_mm=row.taken_mm,
        typed=row.typed,
        note=row.note,
        by=str(row.by) if row.by else "",
        at=timezone.localtime(row.at) if row.at else None,
    )
