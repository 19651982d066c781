"""Text to number, exactly as typed at a bench: ``35 thou``, ``.035"``, ``0,89 mm``, ``18 µin``."""

import re
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction

from castworthy.units.factors import (
    SUFFIXES,
    UNITS,
    Unit,
    UnitError,
    factor_to,
    names_for,
    unit_named,
)

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"^\s*({_NUMBER})\s*(.*?)\s*$", re.DOTALL)
_LONGEST = 40
_USUAL = {"mm": ("in", "thou", "mm"), "um": ("µin", "µm"), "kpa": ("psi", "kPa", "inHg")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """A quantity as a person typed it: the text, the value in the suffix's unit, the unit."""

    text: str
    value: float
    unit: str


def read_number(text: str) -> float:
    """A bare number with a decimal point or comma.

    Raises
    ------
    UnitError
        If the text is anything else.

    """
    digits, rest = split_quantity(text)
    if rest:
        raise UnitError(f"{text.strip()!r} carries {rest!r} where a bare number is wanted.")
    return float(digits)


def read_value(text: str, *, suffix: str, bare_unit: str | None = None) -> Typed:
    """A quantity with its unit, as a value in the unit of ``suffix``.

    A number without a unit is taken in ``bare_unit``, or refused when that is ``None``.

    Raises
    ------
    UnitError
        If the text is no number, names no unit of this kind, or leaves the unit out.

    """
    digits, name = split_quantity(text)
    number = Fraction(digits)
    name = name or bare_unit or ""
    if not name:
        offered = tuple(f"{text.strip()} {unit}" for unit in _offered(suffix))
        raise UnitError(f"{text.strip()!r} has no unit; write {_either(offered)}.")
    if suffix == "degc" and name.casefold() in {"°f", "f", "degf"}:
        return Typed(text=text, value=float((number - 32) * Fraction(5, 9)), unit="°F")
    unit = _unit(name, text=text, suffix=suffix)
    factor = factor_to(unit, suffix=suffix)
    if factor is None:
        raise UnitError(
            f"{text.strip()!r} is of the kind {SUFFIXES[unit.suffix]}; "
            f"{SUFFIXES[suffix]} is wanted, in {_either(names_for(suffix))}."
        )
    return Typed(text=text, value=float(number * factor), unit=unit.symbol)


def split_quantity(text: str) -> tuple[str, str]:
    """A text as its number, with a decimal point, and the name of its unit ("" without one).

    Raises
    ------
    UnitError
        If the text is no number a shop could mean.

    """
    if len(text) > _LONGEST:
        raise UnitError(f"{text[:12]!r}... is {len(text)} characters long; a number is wanted.")
    match = _QUANTITY.match(text.replace("\u2212", "-"))
    if match is None:
        raise UnitError(f"{text.strip()!r} is no number; write digits first, then the unit.")
    digits, rest = match.groups()
    if rest[:1] in {".", ","} or rest[:1].isdigit():
        raise UnitError(
            f"{text.strip()!r} has more than one decimal sign or a gap between its digits; "
            "write it with one decimal sign and no gap."
        )
    digits = digits.replace(",", ".")
    number = Decimal(digits)
    if number and not -12 <= number.adjusted() <= 12:
        raise UnitError(f"{text.strip()!r} is beyond anything a shop measures.")
    return digits, rest


def _unit(name: str, *, text: str, suffix: str) -> Unit:
    unit = unit_named(name)
    if unit is None:
        known = [symbol for u in UNITS for symbol in (u.symbol, *u.names)]
        near = get_close_matches(name.casefold(), [k.casefold() for k in known], n=1)
        hint = f"; did you mean {near[0]}?" if near else f"; use {_either(names_for(suffix))}."
        raise UnitError(f"{text.strip()!r} has the unknown unit {name!r}{hint}")
    return unit


def _offered(suffix: str) -> tuple[str, ...]:
    return _USUAL.get(suffix) or names_for(suffix)[:3]


def _either(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
