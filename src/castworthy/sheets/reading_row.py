"""One row of a readings file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from castworthy.calc.head import Gauge, HeadSheet
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.sheets.gauges import gauge_for
from castworthy.sheets.inspection import did_you_mean
from castworthy.sheets.keys import NEVER_NEGATIVE
from castworthy.units import SUFFIXES, UnitError, read_value
from castworthy.units.factors import unit_named
from castworthy.units.read import split_quantity

SIDES = ("below", "flush", "above")
_BELOW_IS_POSITIVE = {Quantity.RECESSION}
_MAY_HAVE_SIDE = {Quantity.HEIGHT, Quantity.RING_STAND}
_LONGEST_TEXT = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading as its row gives it; ``value`` signed, in the unit of the quantity."""

    line: int
    quantity: Quantity
    place: str
    typed: str
    unit: str
    side: str
    value: float
    gauge: str = ""
    by: str = ""
    at: str = ""


class RowError(ValueError):
    """A row cannot be taken: pairs of column name and sentence."""

    def __init__(self, faults: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(sentence for _, sentence in faults))
        self.faults = faults


@dataclass(slots=True, kw_only=True)
class _Row:
    """A row on its way; every fault is kept so that all are told at once."""

    fields: Mapping[str, str]
    faults: list[tuple[str, str]] = field(default_factory=list)

    def text(self, name: str) -> str:
        return self.fields.get(name, "")

    def fault(self, name: str, sentence: str) -> None:
        self.faults.append((name, sentence))


def read_row(
    fields: Mapping[str, str], *, line: int, sheet: HeadSheet, gauges: Mapping[str, Gauge]
) -> ReadingRow:
    """The reading of one row.

    Raises
    ------
    RowError
        With every fault of the row.

    """
    row = _Row(fields=fields)
    quantity = _quantity(row)
    place = _place(row, quantity=quantity, sheet=sheet)
    value, unit, side = _value(row, quantity=quantity)
    gauge = _gauge(row, quantity=quantity, gauges=gauges)
    for name in ("by", "at"):
        if len(row.text(name)) > _LONGEST_TEXT:
            row.fault(name, f"this must be at most {_LONGEST_TEXT} signs.")
    _check_time(row)
    if row.faults or quantity is None:
        raise RowError(row.faults)
    return ReadingRow(
        line=line,
        quantity=quantity,
        place=place,
        typed=row.text("value"),
        unit=unit,
        side=side,
        value=value,
        gauge=gauge,
        by=row.text("by"),
        at=row.text("at"),
    )


def signed_value(magnitude: float, *, quantity: Quantity, side: str) -> float:
    """A figure and its side as one signed value: positive on the quantity's own side."""
    if side not in ("below", "above"):
        return magnitude
    positive = (side == "below") == (quantity in _BELOW_IS_POSITIVE)
    return magnitude if positive else -magnitude


def side_fault(magnitude: float, *, quantity: Quantity, side: str) -> str:
    """What is wrong with a figure and its side as a sentence, empty when nothing is."""
    if not FACTS[quantity].sided and quantity not in _MAY_HAVE_SIDE:
        return f"{quantity} has no side; leave it blank." if side else ""
    if side == "flush" and magnitude != 0.0:
        return "a reading flush with the deck is 0; give the figure with below or above."
    if side in ("below", "above") and magnitude < 0.0:
        return "give the figure without a sign; the side says which way it lies."
    if FACTS[quantity].sided and not side and magnitude != 0.0:
        return f"{quantity} needs a side: below, flush or above the deck."
    return ""


def _quantity(row: _Row) -> Quantity | None:
    typed = row.text("quantity").casefold().replace(" ", "_").replace("-", "_")
    names = tuple(quantity.value for quantity in Quantity)
    if typed in names:
        return Quantity(typed)
    if not typed:
        row.fault("quantity", "this field is empty; it names what was read.")
    else:
        hint = did_you_mean(typed[:24], names)
        row.fault("quantity", f"{row.text('quantity')[:24]!r} is no quantity{hint}")
    return None


def _place(row: _Row, *, quantity: Quantity | None, sheet: HeadSheet) -> str:
    if quantity is None:
        return ""
    typed = row.text("place")
    if FACTS[quantity].site is Site.HEAD:
        if typed:
            row.fault("place", f"{quantity} is read for the head as a whole; leave this blank.")
        return ""
    places = sheet.sites_of(quantity)
    for place in places:
        if place.casefold() == typed.casefold():
            return place
    if not places:
        row.fault("place", f"sheet {sheet.code} has no place of the kind {quantity} is read at.")
    elif not typed:
        row.fault("place", f"{quantity} is read at one of {_some(places)}; this field is empty.")
    else:
        near = did_you_mean(typed[:24], places)
        row.fault(
            "place", f"{quantity} is not read at {typed[:24]!r}, but at {_some(places)}{near}"
        )
    return ""


def _value(row: _Row, *, quantity: Quantity | None) -> tuple[float, str, str]:
    side = row.text("side").casefold()
    sound_side = not side or side in SIDES
    if not sound_side:
        row.fault("side", f"this must be below, flush or above (got {side[:24]!r}).")
    if quantity is None:
        return 0.0, "", ""
    if not row.text("value") and side == "flush":
        return 0.0, "", side
    try:
        magnitude, unit = _magnitude(row, quantity=quantity)
    except UnitError as fault:
        row.fault("value", str(fault))
        return 0.0, "", ""
    wrong = side_fault(magnitude, quantity=quantity, side=side) if sound_side else ""
    if wrong:
        row.fault("side", wrong)
    if magnitude < 0.0 and quantity in NEVER_NEGATIVE:
        row.fault("value", f"{quantity} is never negative (got {row.text('value')}).")
    return signed_value(magnitude, quantity=quantity, side=side), unit, side


def _magnitude(row: _Row, *, quantity: Quantity) -> tuple[float, str]:
    suffix = FACTS[quantity].suffix
    typed, column = row.text("value"), row.text("unit")
    if not typed:
        raise UnitError("this field is empty; it holds the figure.")
    digits, inner = split_quantity(typed)
    if inner and column and unit_named(inner) is not unit_named(column):
        raise UnitError(f"this says {inner} and the column unit says {column[:12]}; keep one.")
    if float(digits) == 0.0 and not inner and not column and suffix == "mm":
        return 0.0, ""
    read = read_value(f"{digits} {inner or column}", suffix=suffix)
    return read.value, read.unit


def _gauge(row: _Row, *, quantity: Quantity | None, gauges: Mapping[str, Gauge]) -> str:
    typed = row.text("gauge")
    if not typed or not gauges:
        return typed[:_LONGEST_TEXT]
    gauge = gauges.get(typed.casefold())
    if gauge is None:
        hint = did_you_mean(typed[:24], [each.name for each in gauges.values()])
        row.fault("gauge", f"the gauges file has no gauge {typed[:24]!r}{hint}")
        return ""
    if quantity is not None and gauge_for(gauge, suffix=FACTS[quantity].suffix) is None:
        wanted = SUFFIXES[FACTS[quantity].suffix]
        row.fault("gauge", f"{gauge.name} reads {SUFFIXES[gauge.suffix]}; {quantity} is {wanted}.")
    return gauge.name


def _check_time(row: _Row) -> None:
    typed = row.text("at")
    if not typed or len(typed) > _LONGEST_TEXT:
        return
    try:
        datetime.fromisoformat(typed)
    except ValueError:
        row.fault("at", f"this must be a time written as 2027-03-14 10:41 (got {typed[:24]!r}).")


def _some(places: tuple[str, ...]) -> str:
    if len(places) <= 4:
        return ", ".join(places)
    return f"{places[0]}, {places[1]} ... {places[-1]}"
