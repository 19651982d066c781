"""Finding a head by anything that is written on it or about it."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from castworthy.records.errors import printable
from castworthy.records.lookups.rack import RackHead, rack_head
from castworthy.records.models import Head

_MOST = 50
_LONGEST = 100
_MOST_WORDS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundHead:
    """A head found, in the shop or not: ``outcome`` is empty while it is here."""

    head: RackHead
    outcome: str
    ended_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was looked for and found; ``cut`` when there was more than is shown."""

    text: str
    heads: tuple[FoundHead, ...]
    cut: bool


def find_heads(text: str, *, most: int = _MOST) -> Found:
    """Heads whose tag, mark, sheet, customer, supplier or lot holds every word of ``text``.

    The exact tag comes first, heads in the shop before those that left.
    """
    asked = printable(text).strip()[:_LONGEST]
    wanted = asked.split()
    if not wanted:
        return Found(text=asked, heads=(), cut=False)
    rows = Head.objects.select_related("revision__sheet", "lot__supplier", "customer").defer(
        "revision__text"
    )
    for word in wanted[:_MOST_WORDS]:
        rows = rows.filter(_holds(word))
    found = list(rows.order_by("outcome", "-taken_in_at")[: most + 1])
    found.sort(key=lambda row: row.tag.casefold() != asked.casefold())
    now = timezone.now()
    return Found(
        text=asked,
        heads=tuple(
            FoundHead(
                head=rack_head(row, now=now),
                outcome=row.outcome,
                ended_at=timezone.localtime(row.ended_at) if row.ended_at else None,
            )
            for row in found[:most]
        ),
        cut=len(found) > most,
    )


def _holds(word: str) -> Q:
    return (
        Q(tag__icontains=word)
        | Q(mark__icontains=word)
        | Q(revision__sheet__code__icontains=word)
        | Q(revision__sheet__title__icontains=word)
        | Q(customer__name__icontains=word)
        | Q(lot__supplier__name__icontains=word)
        | Q(lot__code__icontains=word)
    )
