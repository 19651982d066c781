"""One head as every page of it names it."""

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from castworthy.records.errors import NotOnRecord, printable
from castworthy.records.models import Head, Kind, Step
from castworthy.records.progress import words


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadFacts:
    """A head's top line.

    ``outcome`` is empty while it is in the shop.  ``decision`` is conforming, rework, scrap,
    undecided or empty (not all measured).  ``read_count`` of ``required_count`` readings stand.
    ``next_words`` says what is next.  Times are in the shop's own zone.
    """

    id: int
    tag: str
    mark: str
    kind: str
    kind_words: str
    loaded: bool
    sheet_code: str
    sheet_title: str
    sheet_id: int
    revision_id: int
    revision_number: int
    newest_revision_number: int
    origin: str
    lot_id: int | None
    lot_code: str
    supplier_id: int | None
    supplier: str
    customer_id: int | None
    customer: str
    history: str
    asked: str
    note: str
    step: str
    step_title: str
    step_since: datetime
    decision: str
    outcome: str
    outcome_note: str
    ended_at: datetime | None
    taken_in_at: datetime
    taken_in_by: str
    read_count: int
    required_count: int
    next_words: str

    @property
    def in_shop(self) -> bool:
        """True while work on it may be recorded."""
        return not self.outcome


def head_facts(tag: str) -> HeadFacts:
    """The head of that tag.

    Raises
    ------
    NotOnRecord
        If there is none.

    """
    head = (
        Head.objects.select_related("revision__sheet", "lot__supplier", "customer", "taken_in_by")
        .defer("revision__text")
        .filter(tag=printable(tag))
        .first()
    )
    if head is None:
        raise NotOnRecord(f"There is no head {tag!r} on record; look for its tag or mark.")
    return facts_of(head, newest_revision_number=_newest(head))


def facts_of(head: Head, *, newest_revision_number: int) -> HeadFacts:
    """The facts of a row read with its sheet, lot, supplier, customer and person."""
    lot, customer = head.lot, head.customer
    return HeadFacts(
        id=head.pk,
        tag=head.tag,
        mark=head.mark,
        kind=head.kind,
        kind_words=_kind_words(head),
        loaded=head.loaded,
        sheet_code=head.revision.sheet.code,
        sheet_title=head.revision.sheet.title,
        sheet_id=head.revision.sheet_id,
        revision_id=head.revision_id,
        revision_number=head.revision.number,
        newest_revision_number=newest_revision_number,
        origin=origin_words(head),
        lot_id=head.lot_id,
        lot_code=lot.code if lot else "",
        supplier_id=lot.supplier_id if lot else None,
        supplier=lot.supplier.name if lot else "",
        customer_id=head.customer_id,
        customer=customer.name if customer else "",
        history=head.history,
        asked=head.asked,
        note=head.note,
        step=head.step,
        step_title=str(Step(head.step).label),
        step_since=timezone.localtime(head.step_since),
        decision=head.decision,
        outcome=head.outcome,
        outcome_note=head.outcome_note,
        ended_at=timezone.localtime(head.ended_at) if head.ended_at else None,
        taken_in_at=timezone.localtime(head.taken_in_at),
        taken_in_by=str(head.taken_in_by),
        read_count=head.progress.get("read", 0),
        required_count=head.progress.get("required", 0),
        next_words=""
        if head.outcome
        else words(step=head.step, progress=head.progress, decision=head.decision),
    )


def origin_words(head: Head) -> str:
    """Where it comes from: ``lot 7F from Gale Foundry`` or ``property of Ridge Farms``."""
    if head.kind == Kind.CASTING and head.lot:
        return f"lot {head.lot.code} from {head.lot.supplier.name}"
    if head.customer:
        own = "property of" if head.kind == Kind.CORE else "for"
        return f"{own} {head.customer.name}"
    return ""


def _kind_words(head: Head) -> str:
    return f"{head.kind}, loaded" if head.loaded else f"{head.kind}, bare"


def _newest(head: Head) -> int:
    numbers = head.revision.sheet.revisions.order_by("-number").values_list("number", flat=True)
    return numbers[0]
