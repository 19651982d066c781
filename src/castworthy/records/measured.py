"""What the readings of a head say together: repeats, corrections, and what later work undid.

Readings of one quantity at one place are split into *rounds* by the signed operations that
move that quantity there.  A round's readings are repeats and are averaged; one worked out from
traces or heights stands in place of those before it.  The last round is
what stands, unless an operation signed since then moves the quantity: then it is *stale*.  The
first round is the head as received.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from castworthy.calc.decision.repeats import mean_of
from castworthy.calc.head import Gauge, HeadSheet
from castworthy.calc.head import Reading as CalcReading
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.effects import disturbed_by
from castworthy.calc.rework.results import OperationKind
from castworthy.records.models import Head, Operation, OperationState, Reading

Key = tuple[Quantity, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading as it was taken.

    ``value``, ``u``, ``u_bias`` and ``resolution`` are in the quantity's unit.  ``epoch`` counts
    the operations signed before it.  ``replaces`` is the id of the reading it corrects,
    ``replaced`` is True when a correction took its own place; ``alone`` when it was worked out
    and stands in place of what was read before it.
    """

    id: int
    uuid: UUID
    quantity: Quantity
    place: str
    typed: str
    unit: str
    side: str
    value: float
    u: float | None
    u_bias: float
    resolution: float | None
    gauge_id: int | None
    gauge: str
    gauge_overdue: bool
    epoch: int
    replaces_id: int | None
    replaced: bool
    why: str
    slip_kept: str
    alone: bool
    judged: Mapping[str, Any]
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """One signed operation: ``number`` counts the head's operations from 1."""

    id: int
    number: int
    kind: OperationKind
    place: str
    taken_mm: float | None
    at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One quantity at one place.

    ``reading`` is the mean of ``current``, the readings of the last round.  ``stale_by`` is the
    first operation that moved the quantity afterwards (``None``: it stands).  ``received`` is
    the mean of the round before any such operation.  ``history`` is every reading, replaced
    ones too, oldest first.
    """

    quantity: Quantity
    place: str
    reading: CalcReading
    current: tuple[Taken, ...]
    received: CalcReading | None
    history: tuple[Taken, ...]
    stale_by: Worked | None

    @property
    def stale(self) -> bool:
        """True when later work made this a reading of the past."""
        return self.stale_by is not None


def measured_of(head: Head, *, sheet: HeadSheet) -> dict[Key, Measured]:
    """Everything measured on a head, by quantity and place (two queries)."""
    return measured_from(takens_of(head), worked=worked_of(head), sheet=sheet)


def measured_from(
    takens: Sequence[Taken], *, worked: Sequence[Worked], sheet: HeadSheet
) -> dict[Key, Measured]:
    """Readings and signed operations put together; pure."""
    moved = moves(worked, sheet=sheet)
    by_key: dict[Key, list[Taken]] = defaultdict(list)
    for taken in takens:
        by_key[taken.quantity, taken.place].append(taken)
    return {
        key: _measured(key, history=history, moved_by=moved.get(key, []))
        for key, history in by_key.items()
        if any(not taken.replaced for taken in history)
    }


def moves(worked: Sequence[Worked], *, sheet: HeadSheet) -> dict[Key, list[Worked]]:
    """Which signed operations moved each quantity and place, in order."""
    moved: dict[Key, list[Worked]] = defaultdict(list)
    for operation in sorted(worked, key=lambda w: w.number):
        for key in disturbed(sheet, kind=operation.kind, place=operation.place):
            moved[key].append(operation)
    return moved


_disturbed: dict[tuple[int, OperationKind, str], tuple[HeadSheet, frozenset[Key]]] = {}
_KEPT_COUNT = 4096


def disturbed(sheet: HeadSheet, *, kind: OperationKind, place: str) -> frozenset[Key]:
    """``calc.rework.effects.disturbed_by``, remembered for the sheets in memory."""
    key = (id(sheet), kind, place)
    known = _disturbed.get(key)
    if known is None or known[0] is not sheet:
        if len(_disturbed) >= _KEPT_COUNT:
            _disturbed.clear()
        known = (sheet, disturbed_by(sheet, kind=kind, place=place))
        _disturbed[key] = known
    return known[1]


def _measured(key: Key, *, history: list[Taken], moved_by: list[Worked]) -> Measured:
    rounds: dict[int, list[Taken]] = defaultdict(list)
    for taken in history:
        if not taken.replaced:
            here = rounds[sum(w.number <= taken.epoch for w in moved_by)]
            if taken.alone:
                here.clear()
            here.append(taken)
    last = max(rounds)
    return Measured(
        quantity=key[0],
        place=key[1],
        reading=mean_reading(rounds[last]),
        current=tuple(rounds[last]),
        received=mean_reading(rounds[0]) if 0 in rounds else None,
        history=tuple(history),
        stale_by=moved_by[last] if last < len(moved_by) else None,
    )


def mean_reading(takens: Sequence[Taken]) -> CalcReading:
    """Repeats as the one reading calc judges.

    Repeats with different gauges count with the least certain of them; one without a known
    gauge leaves the mean without an uncertainty.
    """
    first = takens[0]
    if len(takens) == 1:
        return CalcReading(
            quantity=first.quantity,
            place=first.place,
            value=first.value,
            u=first.u,
            resolution=first.resolution,
            u_bias=first.u_bias,
            gauge=first.gauge,
        )
    mean = mean_of([taken.value for taken in takens], gauge=_gauge_of(takens))
    return CalcReading(
        quantity=first.quantity,
        place=first.place,
        value=mean.value,
        u=mean.u,
        resolution=mean.resolution,
        repeats_count=mean.repeats_count,
        u_bias=mean.u_bias,
        gauge=first.gauge,
    )


def _gauge_of(takens: Sequence[Taken]) -> Gauge | None:
    if any(taken.u is None for taken in takens):
        return None
    worst = max(takens, key=lambda taken: taken.u or 0.0)
    return Gauge(
        name=worst.gauge,
        suffix=FACTS[worst.quantity].suffix,
        u=worst.u or 0.0,
        resolution=worst.resolution or 0.0,
        u_bias=worst.u_bias,
    )


_TAKEN_COLUMNS = (
    "id",
    "uuid",
    "quantity",
    "place",
    "typed",
    "unit",
    "side",
    "value",
    "u",
    "u_bias",
    "resolution",
    "gauge_id",
    "gauge__name",
    "gauge_overdue",
    "operations_done_count",
    "replaces_id",
    "why",
    "slip_kept",
    "alone",
    "judged",
    "by__full_name",
    "by__username",
    "at",
)


def takens_of(head: Head) -> tuple[Taken, ...]:
    """Every reading of a head, oldest first (one query)."""
    return takens_in(Reading.objects.filter(head=head))


def takens_in(readings: "QuerySet[Reading]") -> tuple[Taken, ...]:
    """The readings of a query as they were taken.

    ``replaced`` is only right when the query holds all readings of its heads.
    """
    rows = list(readings.order_by("id").values_list(*_TAKEN_COLUMNS))
    replaced = {row[15] for row in rows if row[15] is not None}
    return tuple(_taken(row, replaced=row[0] in replaced) for row in rows)


def _taken(row: tuple[Any, ...], *, replaced: bool) -> Taken:
    (pk, uuid, quantity, place, typed, unit, side, value, u, u_bias, resolution) = row[:11]
    (gauge_id, gauge, overdue, epoch, replaces_id, why, kept, alone) = row[11:19]
    judged, name, login, at = row[19:]
    return Taken(
        id=pk,
        uuid=uuid,
        quantity=Quantity(quantity),
        place=place,
        typed=typed,
        unit=unit,
        side=side,
        value=value,
        u=u,
        u_bias=u_bias,
        resolution=resolution,
        gauge_id=gauge_id,
        gauge=gauge or "",
        gauge_overdue=overdue,
        epoch=epoch,
        replaces_id=replaces_id,
        replaced=replaced,
        why=why,
        slip_kept=kept,
        alone=alone,
        judged=judged,
        by=name or login,
        at=at,
    )


def worked_of(head: Head) -> tuple[Worked, ...]:
    """The signed operations of a head, in order (one query)."""
    rows = (
        Operation.objects.filter(head=head, state=OperationState.DONE)
        .order_by("done_number")
        .values_list("id", "done_number", "kind", "place", "taken_mm", "at")
    )
    return tuple(
        Worked(
            id=pk,
            number=number or 0,
            kind=OperationKind(kind),
            place=place,
            taken_mm=taken_mm,
            at=at,
        )
        for pk, number, kind, place, taken_mm, at in rows
    )
