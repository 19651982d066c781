"""Deeds about bench sums: keeping one with a head, taking it back."""

import unicodedata
from collections.abc import Sequence
from uuid import UUID

from castworthy import __version__
from castworthy.actions.deed import deed, head_for_work
from castworthy.actions.entry import uuid_of
from castworthy.actions.errors import DeedRefused
from castworthy.actions.texts import named, short
from castworthy.records.kept_sums import TypedField, WorkedSum, answer_json, typed_json
from castworthy.records.lookups.sums import places_of
from castworthy.records.models import Head, KeptSum, OperationState, Person, SumTakenBack
from castworthy.records.to_calc import sheet_for

_LONGEST = 200


def keep_sum(
    *, tag: str, uuid: str | UUID, worked: WorkedSum, by: Person, note: str = ""
) -> KeptSum:
    """Keep a sum with a head: what was typed and what it told.

    ``worked`` must have been worked out here, from what was typed; no answer that was sent
    along is worth anything.  Sent again with the same ``uuid`` it is kept once.

    Raises
    ------
    DeedRefused
        If the sheet has no such place, a text cannot be shown, the identity belongs to another
        sum, or the head has left the shop.

    """
    identity = uuid_of(uuid)
    with deed("sum kept", by=by) as told:
        head = head_for_work(tag)
        _check_place(worked.place, head=head)
        _check_typed(worked.typed)
        prior = KeptSum.objects.filter(uuid=identity).first()
        if prior is not None:
            told.nothing_new()
            return _echo(prior, head=head, worked=worked)
        kept = KeptSum.objects.create(
            uuid=identity,
            head=head,
            name=worked.name,
            title=worked.title,
            place=worked.place,
            units=worked.units,
            typed=typed_json(worked.typed),
            answer=answer_json(worked.answer),
            note=short(note, field="note", what="The note", longest=_LONGEST),
            software=__version__,
            operations_done_count=head.operations.filter(state=OperationState.DONE).count(),
            by=by,
            at=told.at,
        )
        told.about(
            head=head,
            subject=_subject(kept),
            headline=worked.answer.headline,
            note=kept.note,
        )
    return kept


def take_back_sum(*, uuid: str | UUID, why: str, by: Person) -> SumTakenBack:
    """Take a kept sum back; it stays on record with the reason.

    Raises
    ------
    DeedRefused
        If there is no such sum, it is taken back already, no reason is given, or the head has
        left the shop.

    """
    with deed("sum taken back", by=by) as told:
        kept = KeptSum.objects.select_related("head").filter(uuid=uuid_of(uuid)).first()
        if kept is None:
            raise DeedRefused("There is no such kept sum on record.", field="uuid")
        head = head_for_work(kept.head.tag)
        reason = named(why, field="why", what="The reason", longest=_LONGEST)
        if SumTakenBack.objects.filter(kept=kept).exists():
            raise DeedRefused("This sum is taken back already.", field="uuid")
        back = SumTakenBack.objects.create(kept=kept, why=reason, by=by, at=told.at)
        told.about(head=head, subject=_subject(kept), why=reason)
    return back


def _check_place(place: str, *, head: Head) -> None:
    sheet = sheet_for(head)
    if place and place not in places_of(sheet):
        raise DeedRefused(
            f"Sheet {sheet.code} has no place {place!r}; choose one of its places.", field="place"
        )


def _check_typed(fields: Sequence[TypedField]) -> None:
    """Refuse signs that steer a machine: no database and no page can hold them all."""
    for field in fields:
        if any(unicodedata.category(sign) == "Cc" and sign not in "\n\t" for sign in field.typed):
            raise DeedRefused(
                f"{field.label} holds signs that cannot be shown; type it anew.", field=field.name
            )


def _echo(prior: KeptSum, *, head: Head, worked: WorkedSum) -> KeptSum:
    same = (prior.head_id, prior.name, prior.place, prior.typed)
    if same != (head.pk, worked.name, worked.place, typed_json(worked.typed)):
        raise DeedRefused(
            "This entry's identity belongs to another kept sum; load the page again and keep it "
            "once more.",
            field="uuid",
            code="uuid",
        )
    return prior


def _subject(kept: KeptSum) -> str:
    return f"{kept.title} {kept.place}".rstrip()
