"""Deeds about gauges."""

from datetime import date
from math import isfinite
from typing import Any

from castworthy.actions.deed import deed
from castworthy.actions.errors import DeedRefused
from castworthy.actions.texts import named, note_of, short
from castworthy.calc.quantity import FACTS
from castworthy.records.models import Gauge, Person
from castworthy.units import UNITS, UnitError, read_value

_SUFFIXES = {facts.suffix for facts in FACTS.values()}
GAUGE_UNITS: tuple[str, ...] = tuple(
    unit.symbol for unit in UNITS if unit.suffix in _SUFFIXES and len(unit.symbol) <= 8
)
"""Units a gauge may read in."""


def add_gauge(
    *,
    name: str,
    unit: str,
    u: str,
    resolution: str = "",
    u_bias: str = "",
    reads: str = "",
    calibrated_until: date | None = None,
    note: str = "",
    by: Person,
) -> Gauge:
    """Put a gauge on record.

    ``u`` (standard uncertainty of one reading), ``u_bias`` (the part of it that repeats) and
    ``resolution`` are as typed, in ``unit`` or with a unit of their own.

    Raises
    ------
    DeedRefused
        If the name is taken, the unit is none a gauge reads in, or a figure is wrong.

    """
    with deed("gauge added", by=by) as told:
        gauge = Gauge()
        _fill(
            gauge,
            name=name,
            unit=unit,
            u=u,
            resolution=resolution,
            u_bias=u_bias,
            reads=reads,
            calibrated_until=calibrated_until,
            note=note,
        )
        gauge.save()
        told.about(subject=gauge.name, **_facts(gauge))
    return gauge


def change_gauge(
    *,
    gauge_id: int,
    name: str,
    unit: str,
    u: str,
    resolution: str = "",
    u_bias: str = "",
    reads: str = "",
    calibrated_until: date | None = None,
    note: str = "",
    retired: bool = False,
    by: Person,
) -> Gauge:
    """Change a gauge, after a calibration say; readings keep the uncertainty they were taken with.

    Raises
    ------
    DeedRefused
        If there is none, the name is another's, or a figure is wrong.

    """
    with deed("gauge changed", by=by) as told:
        gauge = Gauge.objects.select_for_update().filter(pk=gauge_id).first()
        if gauge is None:
            raise DeedRefused("There is no such gauge on record.", code="unknown")
        before = _facts(gauge)
        _fill(
            gauge,
            name=name,
            unit=unit,
            u=u,
            resolution=resolution,
            u_bias=u_bias,
            reads=reads,
            calibrated_until=calibrated_until,
            note=note,
        )
        gauge.retired = retired
        gauge.save()
        told.about(subject=gauge.name, before=before, **_facts(gauge))
    return gauge


def _fill(
    gauge: Gauge,
    *,
    name: str,
    unit: str,
    u: str,
    resolution: str,
    u_bias: str,
    reads: str,
    calibrated_until: date | None,
    note: str,
) -> None:
    gauge.name = named(name, field="name", what="The name", longest=40)
    if Gauge.objects.filter(name__iexact=gauge.name).exclude(pk=gauge.pk).exists():
        raise DeedRefused(f"Gauge {gauge.name} is on record already; change it.", field="name")
    if unit not in GAUGE_UNITS:
        raise DeedRefused(
            f"A gauge reads in one of {', '.join(GAUGE_UNITS)}, not in {unit!r}.", field="unit"
        )
    gauge.unit = unit
    gauge.u = _figure(u, unit=unit, field="u", what="The standard uncertainty")
    if not gauge.u:
        raise DeedRefused(
            "The standard uncertainty is 0, which no gauge has; enter what its calibration or a "
            "gauge study says.",
            field="u",
        )
    gauge.u_bias = _figure(u_bias or "0", unit=unit, field="u_bias", what="The repeating part")
    if gauge.u_bias > gauge.u:
        raise DeedRefused(
            "The repeating part is larger than the whole standard uncertainty; it is a part of it.",
            field="u_bias",
        )
    gauge.resolution = _figure(
        resolution or "0", unit=unit, field="resolution", what="The resolution"
    )
    gauge.reads = short(reads, field="reads", what="What it reads", longest=80)
    gauge.calibrated_until = calibrated_until
    gauge.note = note_of(note)


def _figure(text: str, *, unit: str, field: str, what: str) -> float:
    """A figure in the gauge's own unit."""
    suffix = next(known.suffix for known in UNITS if known.symbol == unit)
    factor = read_value("1", suffix=suffix, bare_unit=unit).value
    try:
        value = read_value(text, suffix=suffix, bare_unit=unit).value / factor
    except UnitError as error:
        raise DeedRefused(str(error), field=field, code="unit") from error
    if value < 0 or not isfinite(value):
        raise DeedRefused(f"{what} cannot be less than nothing ({text.strip()}).", field=field)
    return value


def _facts(gauge: Gauge) -> dict[str, Any]:
    until = gauge.calibrated_until
    return {
        "unit": gauge.unit,
        "u": gauge.u,
        "u_bias": gauge.u_bias,
        "resolution": gauge.resolution,
        "calibrated_until": until.isoformat() if until else None,
        "retired": gauge.retired,
    }
