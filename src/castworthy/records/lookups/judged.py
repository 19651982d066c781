"""Which heads were judged by what: a sheet's revision, a gauge since its last check."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q, QuerySet
from django.utils import timezone

from castworthy.records.errors import printable
from castworthy.records.lookups.rack import RackHead, rack_head
from castworthy.records.models import Gauge, Head, Trail

_MOST_HEADS = 200
_GAUGE_DEEDS = ("gauge added", "gauge changed")


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedHead:
    """A head; ``outcome`` is empty while it is in the shop, ``readings_count`` by the gauge."""

    head: RackHead
    outcome: str
    readings_count: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SinceCheck:
    """The heads read with a gauge since its last check on record.

    ``checked_at`` is when its date of calibration was last moved (``None``: never, so that every
    head is among them).  ``heads_count`` may be more than are listed.
    """

    checked_at: datetime | None
    checked_by: str
    heads: tuple[JudgedHead, ...]
    heads_count: int


def heads_by_revision(code: str) -> dict[int, tuple[JudgedHead, ...]]:
    """The heads of a sheet by the number of the revision that judges them."""
    now = timezone.now()
    found: dict[int, list[JudgedHead]] = defaultdict(list)
    for row in _heads().filter(revision__sheet__code=printable(code)).order_by("outcome", "tag"):
        found[row.revision.number].append(
            JudgedHead(head=rack_head(row, now=now), outcome=row.outcome)
        )
    return {number: tuple(heads) for number, heads in found.items()}


def heads_since_check(gauge_id: int) -> SinceCheck:
    """The heads read with a gauge since its last check, those in the shop first."""
    check = _last_check(gauge_id)
    since = Q(readings__gauge_id=gauge_id)
    if check is not None:
        since &= Q(readings__at__gte=check.at)
    rows = (
        _heads()
        .annotate(gauge_readings=Count("readings", filter=since))
        .filter(gauge_readings__gt=0)
        .order_by("outcome", "-taken_in_at", "-id")
    )
    now = timezone.now()
    return SinceCheck(
        checked_at=timezone.localtime(check.at) if check else None,
        checked_by=str(check.by) if check and check.by else "",
        heads=tuple(
            JudgedHead(
                head=rack_head(row, now=now),
                outcome=row.outcome,
                readings_count=row.gauge_readings,
            )
            for row in rows[:_MOST_HEADS]
        ),
        heads_count=rows.count(),
    )


def _heads() -> QuerySet[Head]:
    return Head.objects.select_related("revision__sheet", "lot__supplier", "customer").defer(
        "revision__text"
    )


def _last_check(gauge_id: int) -> Trail | None:
    """The last deed that gave the gauge the calibration date it has."""
    gauge = Gauge.objects.filter(pk=gauge_id).first()
    if gauge is None or gauge.calibrated_until is None:
        return None
    rows = Trail.objects.filter(deed__in=_GAUGE_DEEDS, subject=gauge.name)
    for row in rows.select_related("by").order_by("-id"):
        before = row.detail.get("before", {}).get("calibrated_until")
        if row.detail.get("calibrated_until") != before:
            return row
    return None
