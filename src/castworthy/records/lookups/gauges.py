"""Gauges and how long they may be believed."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count
from django.utils import timezone

from castworthy.records.errors import NotOnRecord
from castworthy.records.models import Gauge, Reading
from castworthy.records.to_calc import fits, suffix_of


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeFacts:
    """One gauge; ``u``, ``u_bias`` and ``resolution`` are in its own ``unit``.

    ``suffix`` is the unit suffix of what it reads.  ``overdue`` when its calibration ran out;
    ``days_left_count`` until it does (``None``: no date).
    """

    id: int
    name: str
    reads: str
    unit: str
    suffix: str
    u: float
    u_bias: float
    resolution: float
    calibrated_until: date | None
    days_left_count: int | None
    overdue: bool
    note: str
    retired: bool
    readings_count: int = 0
    heads_count: int = 0


def gauges() -> tuple[GaugeFacts, ...]:
    """Every gauge by name, retired ones last, with how much was read with it."""
    used = {
        row["gauge_id"]: (row["readings"], row["heads"])
        for row in Reading.objects.filter(gauge__isnull=False)
        .order_by()
        .values("gauge_id")
        .annotate(readings=Count("id"), heads=Count("head_id", distinct=True))
    }
    today = timezone.localdate()
    return tuple(
        _facts(row, today=today, used=used.get(row.pk, (0, 0)))
        for row in Gauge.objects.order_by("retired", "name")
    )


def gauge(gauge_id: int) -> GaugeFacts:
    """One gauge.

    Raises
    ------
    NotOnRecord
        If there is none of that number.

    """
    found = next((row for row in gauges() if row.id == gauge_id), None)
    if found is None:
        raise NotOnRecord("There is no such gauge on record.")
    return found


def gauges_for(suffix: str) -> tuple[GaugeFacts, ...]:
    """The gauges in use that can read a quantity of that suffix, by name."""
    rows = Gauge.objects.filter(retired=False).order_by("name")
    today = timezone.localdate()
    return tuple(_facts(row, today=today) for row in rows if fits(row, suffix=suffix))


def _facts(row: Gauge, *, today: date, used: tuple[int, int] = (0, 0)) -> GaugeFacts:
    until = row.calibrated_until
    return GaugeFacts(
        id=row.pk,
        name=row.name,
        reads=row.reads,
        unit=row.unit,
        suffix=suffix_of(row.unit),
        u=row.u,
        u_bias=row.u_bias,
        resolution=row.resolution,
        calibrated_until=until,
        days_left_count=(until - today).days if until else None,
        overdue=bool(until and until < today),
        note=row.note,
        retired=row.retired,
        readings_count=used[0],
        heads_count=used[1],
    )
