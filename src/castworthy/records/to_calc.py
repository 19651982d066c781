"""Rows to the frozen inputs of calc."""

from collections.abc import Iterable
from functools import lru_cache

from castworthy.calc.head import Gauge, HeadSheet, Reading
from castworthy.records.measured import Measured, measured_of
from castworthy.records.models import Gauge as GaugeRow
from castworthy.records.models import Head, SheetRevision
from castworthy.sheets.spec import read_sheet
from castworthy.units import UNITS, convert

_KEPT_COUNT = 256
_sheets: dict[str, HeadSheet] = {}
_fitted: dict[tuple[str, str], HeadSheet] = {}


def sheet_of(revision: SheetRevision) -> HeadSheet:
    """The sheet a revision words; read once a process, so its text may be deferred."""
    sheet = _sheets.get(revision.digest)
    if sheet is None:
        sheet = read_sheet(revision.text, file=f"{revision.sheet.code} revision {revision.number}")
        if len(_sheets) >= _KEPT_COUNT:
            _sheets.clear()
        _sheets[revision.digest] = sheet
    return sheet


def sheet_for(head: Head) -> HeadSheet:
    """The sheet a head is judged by: its revision, with the finish its gasket needs."""
    key = (head.revision.digest, head.gasket)
    fitted = _fitted.get(key)
    if fitted is None:
        fitted = sheet_of(head.revision).fitted(head.gasket)
        if len(_fitted) >= _KEPT_COUNT:
            _fitted.clear()
        _fitted[key] = fitted
    return fitted


def gauge_of(row: GaugeRow, *, suffix: str | None = None) -> Gauge:
    """A gauge in the unit of ``suffix``; in that of its own kind when none is asked for.

    Raises
    ------
    castworthy.units.UnitError
        If the gauge reads another kind of quantity.

    """
    wanted = suffix or suffix_of(row.unit)
    return Gauge(
        name=row.name,
        suffix=wanted,
        u=convert(row.u, unit=row.unit, suffix=wanted),
        resolution=convert(row.resolution, unit=row.unit, suffix=wanted),
        u_bias=convert(row.u_bias, unit=row.unit, suffix=wanted),
    )


@lru_cache
def suffix_of(unit: str) -> str:
    """The suffix of the family a unit belongs to."""
    return next(known.suffix for known in UNITS if known.symbol == unit)


def fits(row: GaugeRow, *, suffix: str) -> bool:
    """True when a gauge can read a quantity of that suffix.

    A gauge in micrometres may read a length in millimetres; one in millimetres is too coarse
    for a finish in micrometres.
    """
    own = suffix_of(row.unit)
    return own == suffix or (own, suffix) == ("um", "mm")


def readings_now(head: Head) -> tuple[Reading, ...]:
    """What stands for the head now: one reading a place, repeats averaged, none of the past."""
    measured = measured_of(head, sheet=sheet_for(head))
    return tuple(m.reading for m in measured.values() if not m.stale)


def readings_last(head: Head) -> tuple[Reading, ...]:
    """The latest reading of every place, those that later work made a reading of the past too."""
    return tuple(m.reading for m in measured_of(head, sheet=sheet_for(head)).values())


def readings_received(head: Head) -> tuple[Reading, ...]:
    """What stood before any work moved it: the head as it came in."""
    measured = measured_of(head, sheet=sheet_for(head))
    return tuple(_received(measured.values()))


def _received(measured: Iterable[Measured]) -> Iterable[Reading]:
    for place in measured:
        if place.received is not None:
            yield place.received
