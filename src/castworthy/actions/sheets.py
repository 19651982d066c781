"""Deeds about spec sheets."""

from dataclasses import dataclass
from hashlib import sha256

from castworthy.actions.deed import clock_words, deed
from castworthy.actions.errors import DeedRefused
from castworthy.actions.texts import short
from castworthy.calc.head import HeadSheet
from castworthy.records.errors import printable
from castworthy.records.models import Person, SheetRevision, SpecSheet
from castworthy.sheets.errors import SheetError
from castworthy.sheets.spec import read_sheet

_LARGEST = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWritten:
    """A sheet on record.  ``changed`` is False when the newest revision reads the same."""

    code: str
    number: int
    revision_id: int
    changed: bool


def write_sheet(
    *,
    text: str,
    note: str = "",
    by: Person,
    revises: str = "",
    base_number: int | None = None,
    must_be_new: bool = False,
) -> SheetWritten:
    """Write a sheet, or a new revision of it when its text changed.

    The code is the one in the text.  ``revises`` is the code of the sheet being edited and
    ``base_number`` the revision the edit began from: a text with another code, or an edit
    overtaken by somebody else's, is refused.  ``must_be_new`` refuses a code on record.

    Raises
    ------
    DeedRefused
        If the text is no good sheet (``details`` has one sentence a fault), or as above.

    """
    kept = text.replace("\r\n", "\n").replace("\r", "\n")
    sheet = _read(kept)
    digest = sha256(kept.encode()).hexdigest()
    with deed("sheet written", by=by) as told:
        row = _sheet_row(sheet, revises=revises, must_be_new=must_be_new)
        newest = row.revisions.order_by("-number").select_related("by").first()
        if newest and newest.digest == digest:
            told.nothing_new()
            return _written(row, newest, changed=False)
        if newest and base_number is not None and newest.number != base_number:
            raise DeedRefused(
                f"Revision {newest.number} was written by {newest.by} {clock_words(newest.at)} "
                f"while revision {base_number} was being edited; open it and enter the change "
                "there.",
                code="overtaken",
            )
        revision = SheetRevision.objects.create(
            sheet=row,
            number=newest.number + 1 if newest else 1,
            text=kept,
            digest=digest,
            note=short(note, field="note", what="The note", longest=200),
            by=by,
            at=told.at,
        )
        row.title = sheet.title[:120]
        row.retired = False
        row.save()
        told.about(subject=row.code, number=revision.number, note=revision.note)
        return _written(row, revision, changed=True)


def retire_sheet(*, code: str, retired: bool = True, by: Person) -> None:
    """Take a sheet off the list for new heads, or put it back; its heads keep it.

    Raises
    ------
    DeedRefused
        If there is none of that code.

    """
    with deed("sheet retired" if retired else "sheet put back", by=by) as told:
        row = SpecSheet.objects.select_for_update().filter(code=printable(code)).first()
        if row is None:
            raise DeedRefused(f"There is no sheet {code!r} on record.", code="unknown")
        row.retired = retired
        row.save(update_fields=("retired",))
        told.about(subject=row.code)


def _read(text: str) -> HeadSheet:
    if len(text) > _LARGEST:
        raise DeedRefused(
            f"The sheet is {len(text):,} characters long; a sheet has {_LARGEST:,} at most.",
            field="text",
        )
    try:
        return read_sheet(text, file="sheet")
    except SheetError as error:
        sentences = tuple(finding.sentence for finding in error.findings)
        first = str(error).splitlines()[0]
        more = f" ({len(sentences) - 1} more to mend)" if len(sentences) > 1 else ""
        raise DeedRefused(f"{first}{more}", field="text", code="sheet", details=sentences) from None


def _sheet_row(sheet: HeadSheet, *, revises: str, must_be_new: bool) -> SpecSheet:
    if revises and sheet.code != revises:
        raise DeedRefused(
            f"The text is of sheet {sheet.code}, but sheet {revises} is being edited; keep the "
            f"code, or write {sheet.code} as a new sheet.",
            field="text",
        )
    row, made = SpecSheet.objects.select_for_update().get_or_create(
        code=sheet.code, defaults={"title": sheet.title[:120]}
    )
    if must_be_new and not made:
        raise DeedRefused(
            f"Sheet {sheet.code} is on record already; open it to edit it, or choose another code.",
            field="text",
            code="exists",
        )
    return row


def _written(row: SpecSheet, revision: SheetRevision, *, changed: bool) -> SheetWritten:
    return SheetWritten(
        code=row.code, number=revision.number, revision_id=revision.pk, changed=changed
    )
