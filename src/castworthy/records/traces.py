"""The surface traces of a head: which of them count now, and which value decides."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from math import hypot
from typing import Any
from uuid import UUID

from django.utils import timezone

from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.quantity import Quantity
from castworthy.calc.texture.drawn import Drawn
from castworthy.calc.texture.feed import FeedTrace
from castworthy.calc.texture.verdict import deciding_value
from castworthy.records.measured import Worked, moves
from castworthy.records.models import Face, Head, Trace

FINISH = (Quantity.FINISH_RA, Quantity.FINISH_RZ, Quantity.WAVINESS_WT)
"""What a trace says of a face; each is a limit of the sheet or of its gasket."""

_MOST_FOR_FEED = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceFacts:
    """One trace on record.

    ``stale_by`` is the first signed operation that cut the deck after it, ``set_aside`` why a
    person no longer counts it.  ``result`` is what ``calc.texture`` found, by JSON key.
    """

    id: int
    uuid: UUID
    face: Face
    place: str
    x_mm: float | None
    y_mm: float | None
    file_name: str
    digest: str
    profile_number: int
    gauge: str
    machine: str
    feed_set_mm: float | None
    nose_mm: float | None
    turning_rpm: float | None
    value_um: Mapping[Quantity, float]
    u_um: Mapping[Quantity, float]
    result: Mapping[str, Any]
    epoch: int
    stale_by: Worked | None
    set_aside: str
    by: str
    at: datetime

    @property
    def counts(self) -> bool:
        """True when its values are judged."""
        return self.stale_by is None and not self.set_aside

    @property
    def drawn(self) -> Drawn:
        """Its curves."""
        curves = self.result["drawn"]
        return Drawn(**{each.name: tuple(curves[each.name]) for each in fields(Drawn)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Decides:
    """The value that decides one finish limit on one face, of ``traces_count`` traces."""

    quantity: Quantity
    limit: Limit
    value_um: float
    u_um: float
    trace: TraceFacts
    traces_count: int


def traces_of(head: Head, *, sheet: HeadSheet, worked: Sequence[Worked]) -> tuple[TraceFacts, ...]:
    """Every trace of a head and its block, oldest first (one query)."""
    cuts = sorted(
        {
            operation.number: operation
            for quantity in FINISH
            for operation in moves(worked, sheet=sheet).get((quantity, ""), [])
        }.items()
    )
    rows = Trace.objects.filter(head=head).select_related("gauge", "by", "set_aside")
    return tuple(_facts(row, cuts=[each for _, each in cuts]) for row in rows.order_by("id"))


def deciding(
    traces: Sequence[TraceFacts], *, sheet: HeadSheet, face: Face = Face.DECK
) -> tuple[Decides, ...]:
    """What decides each finish limit on a face, by the sheet's rule over all its traces."""
    counted = [trace for trace in traces if trace.face == face and trace.counts]
    found = []
    for quantity in FINISH:
        limit = sheet.limit_for(quantity)
        if limit is None or not counted:
            continue
        values = tuple(trace.value_um[quantity] for trace in counted)
        trace = counted[deciding_value(values, limit=limit, rule=sheet.work.finish_rule)]
        found.append(
            Decides(
                quantity=quantity,
                limit=limit,
                value_um=trace.value_um[quantity],
                u_um=trace.u_um[quantity],
                trace=trace,
                traces_count=len(counted),
            )
        )
    return tuple(found)


def feed_traces(machine: str) -> tuple[FeedTrace, ...]:
    """What this shop's own traces say of a machine: feed set and Ra found, newest first."""
    rows = (
        Trace.objects.filter(machine=machine, feed_set_mm__gt=0, set_aside__isnull=True)
        .order_by("-id")
        .values_list("feed_set_mm", "ra_um", "nose_mm")[:_MOST_FOR_FEED]
    )
    return tuple(
        FeedTrace(feed_mm=feed_mm, ra_um=ra_um, nose_mm=nose_mm) for feed_mm, ra_um, nose_mm in rows
    )


def machines() -> tuple[str, ...]:
    """Every machine a trace was cut on, by name."""
    names = Trace.objects.exclude(machine="").values_list("machine", flat=True)
    return tuple(names.distinct().order_by("machine"))


def _facts(row: Trace, *, cuts: Sequence[Worked]) -> TraceFacts:
    aside = getattr(row, "set_aside", None)
    later = (cut for cut in cuts if cut.number > row.operations_done_count)
    gauge_u = row.result.get("gauge_u_um", 0.0)
    return TraceFacts(
        id=row.pk,
        uuid=row.uuid,
        face=Face(row.face),
        place=row.place,
        x_mm=row.x_mm,
        y_mm=row.y_mm,
        file_name=row.file_name,
        digest=row.digest,
        profile_number=row.profile_number,
        gauge=row.gauge.name if row.gauge else "",
        machine=row.machine,
        feed_set_mm=row.feed_set_mm,
        nose_mm=row.nose_mm,
        turning_rpm=row.turning_rpm,
        value_um={
            Quantity.FINISH_RA: row.ra_um,
            Quantity.FINISH_RZ: row.rz_um,
            Quantity.WAVINESS_WT: row.wt_um,
        },
        u_um={
            Quantity.FINISH_RA: hypot(row.u_ra_um, gauge_u),
            Quantity.FINISH_RZ: hypot(row.u_rz_um, gauge_u),
            Quantity.WAVINESS_WT: hypot(row.u_rz_um, gauge_u),
        },
        result=row.result,
        epoch=row.operations_done_count,
        stale_by=None if row.face == Face.BLOCK else next(later, None),
        set_aside=aside.why if aside else "",
        by=str(row.by),
        at=timezone.localtime(row.at),
    )
