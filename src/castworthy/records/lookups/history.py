"""Who did what to a head, and every reading it ever had."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone

from castworthy.records.measured import Taken, takens_of
from castworthy.records.models import Trail
from castworthy.records.rows import head_row


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailLine:
    """One deed: ``by`` is empty where the tool itself acted."""

    at: datetime
    by: str
    deed: str
    subject: str
    detail: Mapping[str, Any]
    tag: str


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """The trail of a head, newest first, and all its readings, oldest first.

    Replaced readings are among them: ``replaced`` marks them, ``replaces_id`` leads back.
    """

    tag: str
    trail: tuple[TrailLine, ...]
    readings: tuple[Taken, ...]


def history_of(tag: str) -> History:
    """Everything that was done to a head.

    Raises
    ------
    NotOnRecord
        If there is none of that tag.

    """
    head = head_row(tag)
    rows = Trail.objects.filter(head=head).select_related("by", "head")
    return History(
        tag=tag,
        trail=tuple(_line(row) for row in rows.order_by("-id")),
        readings=takens_of(head),
    )


def shop_trail(*, most: int = 100, before_id: int | None = None) -> tuple[TrailLine, ...]:
    """The last deeds of the whole shop, newest first."""
    rows = Trail.objects.select_related("by", "head").order_by("-id")
    if before_id is not None:
        rows = rows.filter(id__lt=before_id)
    return tuple(_line(row) for row in rows[:most])


def _line(row: Trail) -> TrailLine:
    return TrailLine(
        at=timezone.localtime(row.at),
        by=str(row.by) if row.by else "",
        deed=row.deed,
        subject=row.subject,
        detail=row.detail,
        tag=row.head.tag if row.head else "",
    )
