"""Number to text, in the units a person chose."""

from dataclasses import dataclass, replace
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from castworthy.units.factors import UnitError, factor_to, unit_named

_IMPERIAL = {
    "um": "µin",
    "mm2": "in²",
    "cm3": "cm³",
    "n": "lbf",
    "n_per_mm": "lbf/in",
    "n_m": "lbf·ft",
    "kpa": "psi",
    "mpa": "psi",
}
_METRIC = {
    "um": "µm",
    "mm2": "mm²",
    "cm3": "cm³",
    "n": "N",
    "n_per_mm": "N/mm",
    "n_m": "N·m",
    "kpa": "kPa",
    "mpa": "MPa",
}
_PLAIN = {
    "deg": "°",
    "degc": "°C",
    "s": "s",
    "min": "min",
    "kg": "kg",
    "rpm": "rpm",
}
_DIGITS = {
    "in": 4,
    "thou": 1,
    "mm": 3,
    "µm": 2,
    "µin": 0,
    "mm²": 0,
    "in²": 3,
    "cm³": 2,
    "N": 0,
    "lbf": 1,
    "N/mm": 1,
    "lbf/in": 0,
    "N·m": 1,
    "lbf·ft": 1,
    "kPa": 1,
    "psi": 1,
    "inHg": 1,
    "°": 1,
    "°C": 0,
    "s": 0,
    "min": 0,
    "MPa": 0,
    "kg": 1,
    "rpm": 0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Show:
    """Shows values: ``length`` is "in", "thou" or "mm".

    A size (a recession, a thickness) reads in inches for "thou" too; a difference (a cut, an
    excess) reads in thou for "in" too: that is how a shop speaks.
    """

    length: str = "thou"
    pressure: str = "psi"

    def __post_init__(self) -> None:
        if self.length not in {"in", "thou", "mm"}:
            raise UnitError(f"Units to show are in, thou or mm, not {self.length!r}.")

    @property
    def metric(self) -> bool:
        """True when lengths read in millimetres."""
        return self.length == "mm"

    def unit(self, suffix: str, *, difference: bool = False) -> str:
        """The unit a value of that suffix is shown in."""
        if suffix == "mm":
            if self.metric:
                return "mm"
            return "thou" if difference else "in"
        if suffix == "kpa" and not self.metric:
            return self.pressure
        return _PLAIN.get(suffix) or (_METRIC if self.metric else _IMPERIAL)[suffix]

    def of_vacuum(self) -> "Show":
        """The same for vacuum, which people who read inches read in inches of mercury."""
        return replace(self, pressure="inHg")

    def number(
        self,
        value: float,
        *,
        suffix: str,
        difference: bool = False,
        digits: int | None = None,
    ) -> str:
        """The bare number, rounded half to even, trailing zeros kept."""
        unit = self.unit(suffix, difference=difference)
        usual = 0 if suffix == "mpa" else _DIGITS[unit]
        places = usual if digits is None else digits
        return as_text(value, suffix=suffix, unit=unit, digits=places)

    def value(
        self,
        value: float,
        *,
        suffix: str,
        difference: bool = False,
        digits: int | None = None,
    ) -> str:
        """The number with its unit: ``0.0427 in``, ``2.8 thou``, ``18 µin``."""
        unit = self.unit(suffix, difference=difference)
        gap = "" if unit == "°" else " "
        return (
            f"{self.number(value, suffix=suffix, difference=difference, digits=digits)}{gap}{unit}"
        )


def as_text(value: float, *, suffix: str, unit: str, digits: int) -> str:
    """A value of a suffix's unit as a number of ``unit`` with that many decimals.

    Raises
    ------
    UnitError
        If the unit is of another kind of quantity.

    """
    found = unit_named(unit)
    factor = None if found is None else factor_to(found, suffix=suffix)
    if factor is None:
        raise UnitError(f"{unit!r} cannot show a value in {suffix}.")
    exact = Fraction(value) / factor
    rounded = Decimal(round(exact * 10**digits)) / (Decimal(10) ** digits)
    text = f"{rounded.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_EVEN):f}"
    return "0" if digits == 0 and text == "-0" else _without_negative_zero(text)


def _without_negative_zero(text: str) -> str:
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
