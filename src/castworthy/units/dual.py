"""An entry copied from a manual that gives one figure in two units."""

import re
from decimal import Decimal
from fractions import Fraction

from castworthy.units.factors import UnitError, factor_to, unit_named
from castworthy.units.read import Typed, read_value, split_quantity

_LONGEST = 80
_BRACKETED = re.compile(r"^([^()\[\]]+)[(\[]([^()\[\]]+)[)\]]\s*$")
_SIDE_BY_SIDE = re.compile(r"^([^=]+?)(?:=|/(?=\s*[\d.,+-]))([^=]+)$")
_KNOWN_SLIPS = ((Fraction(10), "ten times"), (Fraction(1, 10), "a tenth of"))


def read_entry(text: str, *, suffix: str, bare_unit: str | None = None) -> Typed:
    """A quantity that may be given in two units at once: ``0.035 in (0.89 mm)``.

    The first figure counts; the second must agree with it to the digits both are printed in.

    Raises
    ------
    UnitError
        If either part is no quantity of this kind or the two disagree.

    """
    if len(text) > _LONGEST:
        raise UnitError(f"{text[:12]!r}... is {len(text)} characters long; a number is wanted.")
    match = _BRACKETED.match(text) or _SIDE_BY_SIDE.match(text)
    if match is None:
        return read_value(text, suffix=suffix, bare_unit=bare_unit)
    first, second = match.groups()
    one = read_value(first, suffix=suffix, bare_unit=bare_unit)
    other = read_value(second, suffix=suffix)
    apart = abs(Fraction(one.value) - Fraction(other.value))
    if apart > _half_digit(first, one.unit, suffix) + _half_digit(second, other.unit, suffix):
        raise UnitError(
            f"{text.strip()!r} gives two figures that disagree{_how(one.value, other.value)}; "
            "look it up again and keep one."
        )
    return Typed(text=text, value=one.value, unit=one.unit)


def _half_digit(text: str, unit: str, suffix: str) -> Fraction:
    """Half a unit of the last digit printed, with a hair for binary rounding."""
    digits, _ = split_quantity(text)
    exponent = Decimal(digits).as_tuple().exponent
    found = unit_named(unit)
    factor = None if found is None else factor_to(found, suffix=suffix)
    if factor is None or not isinstance(exponent, int):
        return Fraction(0)
    return Fraction(10) ** exponent * factor * Fraction("0.500001")


def _how(one: float, other: float) -> str:
    for factor, words in _KNOWN_SLIPS:
        if one and abs(Fraction(other) / Fraction(one) / factor - 1) < Fraction(1, 20):
            return f" (the second is about {words} the first)"
    return ""
