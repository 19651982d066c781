"""Deeds about a head as a whole: how it comes in, what it is judged by, how it leaves unready."""

import re

from castworthy.actions.deed import clock_words, deed, head_for_work, hold_head
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.actions.texts import note_of, short
from castworthy.calc.quantity import Quantity
from castworthy.records.errors import printable
from castworthy.records.models import (
    Customer,
    Head,
    Kind,
    Lot,
    Operation,
    OperationState,
    Outcome,
    Person,
    SheetRevision,
    SpecSheet,
    Step,
)
from castworthy.records.tags import next_tag
from castworthy.records.to_calc import sheet_of

_TAG = re.compile(r"[A-Z0-9][A-Z0-9._-]{0,23}")


def take_in_head(
    *,
    sheet: str,
    kind: str,
    by: Person,
    tag: str = "",
    loaded: bool = False,
    mark: str = "",
    lot_id: int | None = None,
    customer_id: int | None = None,
    history: str = "",
    asked: str = "",
    note: str = "",
) -> Head:
    """Take a head in, judged by the newest revision of ``sheet`` (its code); measuring is next.

    ``tag`` empty takes the next free one of the sheet.  ``kind`` is ``"new casting"`` or
    ``"core"``; a core has a customer and no lot.

    Raises
    ------
    DeedRefused
        If the tag is on record already, or a choice is wrong.

    """
    with deed("taken in", by=by) as told:
        revision = _newest_revision(sheet)
        kept = _tag(tag) if tag.strip() else next_tag(revision.sheet.code)
        there = Head.objects.select_related("taken_in_by").filter(tag=kept).first()
        if there is not None:
            raise DeedRefused(
                f"{kept} is on record already: taken in by {there.taken_in_by} "
                f"{clock_words(there.taken_in_at)}.",
                field="tag",
                code="exists",
            )
        head = Head(
            tag=kept,
            revision=revision,
            kind=_kind(kind),
            step=Step.MEASURE,
            step_since=told.at,
            taken_in_by=by,
            taken_in_at=told.at,
        )
        _fill(
            head,
            loaded=loaded,
            mark=mark,
            lot_id=lot_id,
            customer_id=customer_id,
            history=history,
            asked=asked,
            note=note,
        )
        head.save()
        settle(head, at=told.at)
        told.about(head=head, subject=kept, sheet=sheet, revision=revision.number, kind=head.kind)
    return head


def change_head(
    *,
    tag: str,
    by: Person,
    loaded: bool = False,
    mark: str = "",
    lot_id: int | None = None,
    customer_id: int | None = None,
    history: str = "",
    asked: str = "",
    note: str = "",
) -> Head:
    """Change what was written when the head came in; every field is written anew.

    Raises
    ------
    DeedRefused
        If there is no such head, it has left the shop, or a choice is wrong.

    """
    with deed("head changed", by=by) as told:
        head = head_for_work(tag)
        before = _facts(head)
        _fill(
            head,
            loaded=loaded,
            mark=mark,
            lot_id=lot_id,
            customer_id=customer_id,
            history=history,
            asked=asked,
            note=note,
        )
        head.save()
        after = _facts(head)
        changed = {key: [before[key], after[key]] for key in after if before[key] != after[key]}
        told.about(head=head, subject=tag, changed=changed)
    return head


def adopt_revision(*, tag: str, by: Person, number: int | None = None) -> Head:
    """Judge a head by another revision of its sheet, the newest unless ``number`` says which.

    Operations that were planned by the old one are dropped; plan again.

    Raises
    ------
    DeedRefused
        If there is no such revision, it is the head's own, or readings were taken at places it
        does not have.

    """
    with deed("revision adopted", by=by) as told:
        head = head_for_work(tag)
        revision = _revision(head, number=number)
        if revision.pk == head.revision_id:
            raise DeedRefused(
                f"{tag} is judged by revision {revision.number} already.", field="number"
            )
        _refuse_lost_places(head, revision=revision)
        before = head.revision.number
        head.revision = revision
        head.save(update_fields=("revision",))
        dropped = Operation.objects.filter(head=head, state=OperationState.PLANNED).update(
            state=OperationState.DROPPED
        )
        settle(head, at=told.at)
        told.about(head=head, subject=tag, before=before, number=revision.number, dropped=dropped)
    return head


def choose_gasket(*, tag: str, gasket: str, by: Person) -> Head:
    """Judge a head's finish by what this gasket needs, one of its sheet's (its name).

    Raises
    ------
    DeedRefused
        If the sheet has no such gasket or the head has left the shop.

    """
    with deed("gasket chosen", by=by) as told:
        head = head_for_work(tag)
        known = {each.name for each in sheet_of(head.revision).gaskets}
        if gasket not in known:
            offered = ", ".join(sorted(known)) or "none"
            raise DeedRefused(
                f"Sheet {head.revision.sheet.code} names no gasket {gasket!r}; it has {offered}.",
                field="gasket",
            )
        before, head.gasket = head.gasket, gasket
        head.save(update_fields=("gasket",))
        settle(head, at=told.at)
        told.about(head=head, subject=gasket, before=before)
    return head


def send_back(*, tag: str, note: str, by: Person) -> Head:
    """End a head's way here: it goes back as it is to whom it came from.

    Raises
    ------
    DeedRefused
        If it has left already, or the note does not say why.

    """
    return _end(tag=tag, note=note, by=by, outcome=Outcome.SENT_BACK)


def scrap(*, tag: str, note: str, by: Person) -> Head:
    """End a head's way here: it is scrap.

    Raises
    ------
    DeedRefused
        If it has left already, or the note does not say why.

    """
    return _end(tag=tag, note=note, by=by, outcome=Outcome.SCRAPPED)


def return_to_shop(*, tag: str, note: str = "", by: Person) -> Head:
    """Take back a head that was sent back or scrapped by mistake, at the step it had.

    Raises
    ------
    DeedRefused
        If it is in the shop, or was released (it comes in again under a new tag).

    """
    with deed("returned to the shop", by=by) as told:
        head = hold_head(tag)
        if head.outcome == Outcome.IN_SHOP:
            raise DeedRefused(f"{tag} is in the shop already.", code="in shop")
        if head.outcome == Outcome.RELEASED:
            raise DeedRefused(
                f"{tag} was released and its record is closed; take it in again under a new tag.",
                code="ended",
            )
        told.about(
            head=head, subject=tag, was=head.outcome, why=head.outcome_note, note=note_of(note)
        )
        head.outcome = Outcome.IN_SHOP
        head.outcome_note = ""
        head.ended_at = None
        head.step_since = told.at
        head.save(update_fields=("outcome", "outcome_note", "ended_at", "step_since"))
        settle(head, at=told.at)
    return head


def _end(*, tag: str, note: str, by: Person, outcome: Outcome) -> Head:
    with deed(outcome.value, by=by) as told:
        head = head_for_work(tag)
        why = note_of(note)
        if not why:
            raise DeedRefused(
                f"Say why {tag} is {outcome.value}; the note goes on its record.", field="note"
            )
        head.outcome = outcome
        head.outcome_note = why
        head.ended_at = told.at
        head.save(update_fields=("outcome", "outcome_note", "ended_at"))
        told.about(head=head, subject=tag, note=why)
    return head


def _tag(text: str) -> str:
    tag = text.strip().upper()
    if not _TAG.fullmatch(tag):
        raise DeedRefused(
            f"{text.strip()!r} is no tag: letters, digits, dot, dash and underscore, 24 at most, "
            "a letter or digit first.",
            field="tag",
        )
    return tag


def _kind(kind: str) -> Kind:
    if kind not in Kind.values:
        raise DeedRefused(f"A head is a new casting or a core, not {kind!r}.", field="kind")
    return Kind(kind)


def _newest_revision(code: str) -> SheetRevision:
    row = SpecSheet.objects.filter(code=printable(code)).first()
    if row is None:
        raise DeedRefused(
            f"There is no sheet {code!r} on record; write it first, then take the head in.",
            field="sheet",
        )
    if row.retired:
        raise DeedRefused(
            f"Sheet {code} is retired; put it back on the list, or choose another.", field="sheet"
        )
    return row.revisions.select_related("sheet").order_by("-number")[0]


def _revision(head: Head, *, number: int | None) -> SheetRevision:
    rows = head.revision.sheet.revisions.select_related("sheet").order_by("-number")
    revision = rows.first() if number is None else rows.filter(number=number).first()
    if revision is None:
        raise DeedRefused(
            f"Sheet {head.revision.sheet.code} has no revision {number}.", field="number"
        )
    return revision


def _refuse_lost_places(head: Head, *, revision: SheetRevision) -> None:
    sheet = sheet_of(revision)
    if head.gasket and head.gasket not in {each.name for each in sheet.gaskets}:
        raise DeedRefused(
            f"Revision {revision.number} has no gasket {head.gasket}; choose another gasket first.",
            field="gasket",
        )
    read = head.readings.values_list("quantity", "place").distinct().order_by("quantity", "place")
    lost = [f"{q} {p}".strip() for q, p in read if p not in sheet.sites_of(Quantity(q))]
    if lost:
        raise DeedRefused(
            f"Revision {revision.number} has no {', '.join(lost[:5])}, where {head.tag} was read; "
            "it stays judged by its own revision.",
            field="number",
        )


def _fill(
    head: Head,
    *,
    loaded: bool,
    mark: str,
    lot_id: int | None,
    customer_id: int | None,
    history: str,
    asked: str,
    note: str,
) -> None:
    head.loaded = loaded
    head.mark = short(mark, field="mark", what="The mark", longest=60)
    head.lot = _lot(lot_id, kind=head.kind)
    head.customer = _customer(customer_id, kind=head.kind)
    head.history = note_of(history, field="history", what="The history")
    head.asked = note_of(asked, field="asked", what="What is asked for")
    head.note = note_of(note)


def _lot(lot_id: int | None, *, kind: str) -> Lot | None:
    if lot_id is None:
        return None
    if kind == Kind.CORE:
        raise DeedRefused(
            "A core comes from a customer, not from a lot; choose one of the two.", field="lot"
        )
    lot = Lot.objects.select_related("supplier").filter(pk=lot_id).first()
    if lot is None:
        raise DeedRefused("There is no such lot on record; add it first.", field="lot")
    return lot


def _customer(customer_id: int | None, *, kind: str) -> Customer | None:
    if customer_id is None:
        if kind == Kind.CORE:
            raise DeedRefused(
                "A core stays its customer's property; choose the customer.", field="customer"
            )
        return None
    customer = Customer.objects.filter(pk=customer_id).first()
    if customer is None:
        raise DeedRefused("There is no such customer on record; add it first.", field="customer")
    return customer


def _facts(head: Head) -> dict[str, object]:
    return {
        "loaded": head.loaded,
        "mark": head.mark,
        "lot": str(head.lot or ""),
        "customer": str(head.customer or ""),
        "history": head.history,
        "asked": head.asked,
        "note": head.note,
    }
