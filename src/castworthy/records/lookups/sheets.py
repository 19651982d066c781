"""Spec sheets and their revisions."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q
from django.utils import timezone

from castworthy.calc.head import HeadSheet
from castworthy.records.errors import NotOnRecord, printable
from castworthy.records.models import Outcome, SheetRevision, SpecSheet
from castworthy.records.to_calc import sheet_of


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """One sheet of the list; the counts are of heads judged by any of its revisions."""

    code: str
    title: str
    retired: bool
    newest_number: int
    newest_at: datetime
    newest_by: str
    in_shop_count: int
    heads_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionLine:
    """One revision of a sheet."""

    number: int
    note: str
    by: str
    at: datetime
    digest: str
    heads_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """One revision of a sheet with its text, and the list of all, newest first.

    ``older_heads`` are the tags in the shop that are judged by an older revision.
    """

    code: str
    title: str
    retired: bool
    number: int
    newest: bool
    note: str
    by: str
    at: datetime
    digest: str
    text: str
    sheet: HeadSheet
    revisions: tuple[RevisionLine, ...]
    older_heads: tuple[str, ...]


def sheets() -> tuple[SheetLine, ...]:
    """Every sheet by code, retired ones last."""
    heads = {
        row["id"]: (row["heads"], row["here"])
        for row in SpecSheet.objects.values("id").annotate(
            heads=Count("revisions__heads"),
            here=Count("revisions__heads", filter=Q(revisions__heads__outcome=Outcome.IN_SHOP)),
        )
    }
    newest: dict[int, SheetRevision] = {}
    for revision in SheetRevision.objects.defer("text").select_related("by").order_by("number"):
        newest[revision.sheet_id] = revision
    return tuple(
        SheetLine(
            code=row.code,
            title=row.title,
            retired=row.retired,
            newest_number=newest[row.pk].number,
            newest_at=timezone.localtime(newest[row.pk].at),
            newest_by=str(newest[row.pk].by),
            in_shop_count=heads[row.pk][1],
            heads_count=heads[row.pk][0],
        )
        for row in SpecSheet.objects.order_by("retired", "code")
        if row.pk in newest
    )


def sheet_page(code: str, *, number: int | None = None) -> SheetPage:
    """A sheet at its newest revision, or at ``number``.

    Raises
    ------
    NotOnRecord
        If there is no such sheet or revision.

    """
    row = SpecSheet.objects.filter(code=printable(code)).first()
    if row is None:
        raise NotOnRecord(f"There is no sheet {code!r} on record.")
    revisions = list(
        row.revisions.select_related("by", "sheet")
        .annotate(heads_count=Count("heads"))
        .order_by("-number")
    )
    shown = next((r for r in revisions if number is None or r.number == number), None)
    if shown is None:
        raise NotOnRecord(f"Sheet {code} has no revision {number}.")
    newest = revisions[0]
    return SheetPage(
        code=row.code,
        title=row.title,
        retired=row.retired,
        number=shown.number,
        newest=shown.pk == newest.pk,
        note=shown.note,
        by=str(shown.by),
        at=timezone.localtime(shown.at),
        digest=shown.digest,
        text=shown.text,
        sheet=sheet_of(shown),
        revisions=tuple(
            RevisionLine(
                number=revision.number,
                note=revision.note,
                by=str(revision.by),
                at=timezone.localtime(revision.at),
                digest=revision.digest,
                heads_count=revision.heads_count,
            )
            for revision in revisions
        ),
        older_heads=_older_heads(row, newest=newest),
    )


def _older_heads(row: SpecSheet, *, newest: SheetRevision) -> tuple[str, ...]:
    older = row.revisions.exclude(pk=newest.pk).filter(heads__outcome=Outcome.IN_SHOP)
    return tuple(older.order_by("heads__tag").values_list("heads__tag", flat=True))
