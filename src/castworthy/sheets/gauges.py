"""A gauges file (TOML): what each gauge reads, how finely, how well, and until when it is good."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from castworthy.calc.head import Gauge
from castworthy.sheets.errors import SheetError
from castworthy.sheets.inspection import Inspection, key_of
from castworthy.sheets.keys import Key, Kind
from castworthy.sheets.lines import LineMap, Path, line_map
from castworthy.sheets.source import plain, read_toml
from castworthy.units import SUFFIXES, UNITS, Unit, UnitError, convert, read_entry
from castworthy.units.factors import unit_named

_SUFFIXES = ("mm", "um", "n", "cm3", "kpa")
_NAME = Key(name="name", kind=Kind.NAME, says="name of the gauge", fills="name", required=True)
_FIGURES = {
    "u": "standard uncertainty of one reading",
    "u_bias": "the part of u that is the same in every reading",
    "resolution": "the step it reads in",
}
_KEYS = ("name", "unit", *_FIGURES, "calibrated_until")


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeCard:
    """A gauge as its file gives it: the gauge, its unit and the last day it may be believed."""

    gauge: Gauge
    unit: str
    calibrated_until: date | None

    def overdue(self, today: date) -> bool:
        """True when its calibration has run out before ``today``."""
        return self.calibrated_until is not None and self.calibrated_until < today


def read_gauges(text: str, *, file: str = "gauges") -> tuple[Gauge, ...]:
    """The gauges of a gauges file, each in the unit suffix of what it reads.

    Raises
    ------
    SheetError
        With every finding of the file.

    """
    return tuple(card.gauge for card in read_gauge_cards(text, file=file))


def read_gauge_cards(text: str, *, file: str = "gauges") -> tuple[GaugeCard, ...]:
    """The gauges of a gauges file with their calibration dates.

    Raises
    ------
    SheetError
        With every finding of the file.

    """
    text = plain(text, file=file)
    tables = read_toml(text, file=file)
    lines: list[LineMap] = []

    def lines_of() -> LineMap:
        if not lines:
            lines.append(line_map(text))
        return lines[0]

    inspection = Inspection(file=file, lines_of=lines_of)
    inspection.unknown(tables, path=(), known=("gauge",))
    if "gauge" not in tables:
        inspection.note(("gauge",), "[[gauge]] is missing: a gauges file holds one per gauge.")
    cards: list[GaugeCard] = []
    taken: dict[str, str] = {}
    for path, row in inspection.rows(tables.get("gauge", []), path=("gauge",)):
        card = _read_card(row, path=path, inspection=inspection)
        if card is None:
            continue
        first = taken.setdefault(card.gauge.name.casefold(), key_of(path))
        if first != key_of(path):
            inspection.note((*path, "name"), f"the name {card.gauge.name!r} is taken by {first}.")
        cards.append(card)
    if inspection.found:
        raise SheetError(inspection.findings())
    return tuple(cards)


def gauge_for(gauge: Gauge, *, suffix: str) -> Gauge | None:
    """The gauge in the unit of a quantity; ``None`` when it reads another kind or too coarsely.

    A gauge in micrometres reads lengths; one in millimetres is no gauge for a finish.
    """
    if gauge.suffix == suffix:
        return gauge
    if (gauge.suffix, suffix) != ("um", "mm"):
        return None
    return Gauge(
        name=gauge.name,
        suffix=suffix,
        u=convert(gauge.u, unit="um", suffix=suffix),
        resolution=convert(gauge.resolution, unit="um", suffix=suffix),
        u_bias=convert(gauge.u_bias, unit="um", suffix=suffix),
    )


def _read_card(row: dict[str, Any], *, path: Path, inspection: Inspection) -> GaugeCard | None:
    before = len(inspection.found)
    inspection.unknown(row, path=path, known=_KEYS)
    named = inspection.fields(row, keys=(_NAME,), path=path)
    unit = _unit(row, path=path, inspection=inspection)
    until = _date(row.get("calibrated_until"), path=path, inspection=inspection)
    if "u" not in row:
        inspection.note((*path, "u"), f"this key is missing: {_FIGURES['u']}.")
    if unit is None:
        return None
    figures = {
        name: _figure(row[name], unit=unit, path=(*path, name), inspection=inspection)
        for name in _FIGURES
        if name in row
    }
    bias, u = figures.get("u_bias"), figures.get("u")
    if bias is not None and u is not None and bias > u:
        inspection.note((*path, "u_bias"), "this is a part of u and cannot be larger than it.")
    if len(inspection.found) > before:
        return None
    gauge = Gauge(
        name=named["name"], suffix=unit.suffix, **{k: v or 0.0 for k, v in figures.items()}
    )
    return GaugeCard(gauge=gauge, unit=unit.symbol, calibrated_until=until)


def _unit(row: dict[str, Any], *, path: Path, inspection: Inspection) -> Unit | None:
    raw = row.get("unit")
    symbols = _symbols()
    if raw is None:
        inspection.note((*path, "unit"), f"this key is missing; one of {', '.join(symbols)}.")
        return None
    unit = unit_named(raw) if isinstance(raw, str) else None
    if unit is None or unit.suffix not in _SUFFIXES:
        inspection.note((*path, "unit"), f"this must be one of {', '.join(symbols)} (got {raw!r}).")
        return None
    return unit


def _symbols() -> Iterable[str]:
    return tuple(unit.symbol for unit in UNITS if unit.suffix in _SUFFIXES)


def _figure(raw: Any, *, unit: Unit, path: Path, inspection: Inspection) -> float | None:
    try:
        value = _in_suffix(raw, unit=unit)
    except UnitError as fault:
        inspection.note(path, str(fault))
        return None
    if value < 0.0:
        inspection.note(path, f"this must be 0 or more (got {raw}).")
        return None
    return value


def _in_suffix(raw: Any, *, unit: Unit) -> float:
    if isinstance(raw, str):
        return read_entry(raw, suffix=unit.suffix, bare_unit=unit.symbol).value
    if isinstance(raw, bool) or not isinstance(raw, int | Decimal):
        raise UnitError(f"this must be a number of {SUFFIXES[unit.suffix]}.")
    if isinstance(raw, Decimal) and not raw.is_finite():
        raise UnitError(f"this must be a finite number (got {raw}).")
    return read_entry(f"{raw} {unit.symbol}", suffix=unit.suffix).value


def _date(raw: Any, *, path: Path, inspection: Inspection) -> date | None:
    if raw is None:
        return None
    if isinstance(raw, datetime):
        return raw.date()
    if isinstance(raw, date):
        return raw
    try:
        return date.fromisoformat(raw if isinstance(raw, str) else "")
    except ValueError:
        inspection.note(
            (*path, "calibrated_until"),
            f"this must be a day written as 2027-03-14 (got {raw!r}).",
        )
        return None
