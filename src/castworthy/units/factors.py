"""Units and their exact factors.

The inch is 25.4 mm, the pound 0.45359237 kg (both exact by the 1959 international agreement,
NIST SP 811, appendix B), standard gravity 9.80665 m/s2 and the standard atmosphere 101.325 kPa
(both exact by definition, NIST SP 811).
The conventional inch of mercury is 3.386389 kPa (NIST SP 811, appendix B.8, rounded there).
"""

from dataclasses import dataclass
from fractions import Fraction


class UnitError(ValueError):
    """A text is no quantity of the unit family that was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit a person may type: how many of its family's suffix unit it is, exactly."""

    symbol: str
    suffix: str
    factor: Fraction
    names: tuple[str, ...] = ()


SUFFIXES: dict[str, str] = {
    "mm": "length",
    "um": "surface texture and form",
    "mm2": "area",
    "cm3": "volume",
    "deg": "angle",
    "rad": "angle inside a formula",
    "n": "force",
    "n_per_mm": "spring rate",
    "n_m": "torque",
    "kpa": "pressure",
    "mpa": "stress",
    "pa_m3_per_s": "leak rate",
    "s": "time",
    "min": "bench time",
    "degc": "temperature",
    "kg": "mass",
    "hz": "frequency",
    "rpm": "turns per minute",
    "ratio": "pure number",
    "count": "number of things",
    "probability": "share of cases",
}
"""The closed list of unit suffixes; every dimensional name at a door ends in one."""

_INCH = Fraction("25.4")
_POUND_FORCE = Fraction("0.45359237") * Fraction("9.80665")


def _unit(symbol: str, suffix: str, factor: Fraction | int | str, *names: str) -> Unit:
    return Unit(symbol=symbol, suffix=suffix, factor=Fraction(factor), names=names)


UNITS: tuple[Unit, ...] = (
    _unit("mm", "mm", 1, "millimetre", "millimetres", "millimeter", "millimeters"),
    _unit("cm", "mm", 10),
    _unit("m", "mm", 1000),
    _unit("in", "mm", _INCH, '"', "”", "″", "''", "inch", "inches"),
    _unit("thou", "mm", _INCH / 1000, "thous", "thousandths"),
    _unit("µm", "um", 1, "um", "μm", "micron", "microns", "micrometre", "micrometer"),
    _unit("µin", "um", _INCH / 1000, "uin", "μin", "microinch", "microinches"),
    _unit("mm²", "mm2", 1, "mm2", "mm^2"),
    _unit("cm²", "mm2", 100, "cm2", "cm^2"),
    _unit("in²", "mm2", _INCH**2, "in2", "in^2", "sqin"),
    _unit("cm³", "cm3", 1, "cm3", "cm^3", "cc", "ml"),
    _unit("l", "cm3", 1000, "litre", "liter"),
    _unit("in³", "cm3", _INCH**3 / 1000, "in3", "in^3", "cuin"),
    _unit("°", "deg", 1, "deg", "degrees", "degree"),
    _unit("N", "n", 1, "newton", "newtons"),
    _unit("kN", "n", 1000),
    _unit("lbf", "n", _POUND_FORCE, "lb", "lbs", "pounds"),
    _unit("N/mm", "n_per_mm", 1),
    _unit("lbf/in", "n_per_mm", _POUND_FORCE / _INCH, "lb/in"),
    _unit("N·m", "n_m", 1, "nm", "n.m", "n m"),
    _unit(
        "lbf·ft",
        "n_m",
        _POUND_FORCE * 12 * _INCH / 1000,
        "ftlb",
        "ft lb",
        "ft-lb",
        "ft·lb",
        "lb ft",
        "lb-ft",
        "lbft",
        "lbf ft",
        "lbfft",
    ),
    _unit("lbf·in", "n_m", _POUND_FORCE * _INCH / 1000, "inlb", "in lb", "in-lb", "lbfin"),
    _unit("kPa", "kpa", 1),
    _unit("Pa", "kpa", Fraction(1, 1000)),
    _unit("bar", "kpa", 100),
    _unit("mbar", "kpa", Fraction(1, 10)),
    _unit("psi", "kpa", _POUND_FORCE / _INCH**2 * 1000),
    _unit("inHg", "kpa", "3.386389"),
    _unit("MPa", "mpa", 1, "n/mm2"),
    _unit("s", "s", 1, "sec", "second", "seconds"),
    _unit("min", "min", 1, "minute", "minutes"),
    _unit("h", "min", 60, "hour", "hours"),
    _unit("°C", "degc", 1, "c", "degc"),
    _unit("kg", "kg", 1),
    _unit("lb mass", "kg", "0.45359237", "lbm"),
    _unit("rpm", "rpm", 1),
)
"""Every unit a person may type.  Degrees Fahrenheit are read in ``read`` (an offset, no factor)."""

BRIDGES: dict[tuple[str, str], Fraction] = {
    ("um", "mm"): Fraction(1, 1000),
    ("mm", "um"): Fraction(1000),
    ("mpa", "kpa"): Fraction(1000),
    ("kpa", "mpa"): Fraction(1, 1000),
    ("s", "min"): Fraction(1, 60),
    ("min", "s"): Fraction(60),
}
"""Exact steps between suffixes of one kind of quantity."""

_BY_NAME = {name.casefold(): unit for unit in UNITS for name in (unit.symbol, *unit.names)}
_BY_CASE = {"mPa": None, "MPa": next(u for u in UNITS if u.symbol == "MPa")}


def unit_named(name: str) -> Unit | None:
    """The unit of that name, or ``None``.  Case counts only where it changes the meaning."""
    if name in _BY_CASE:
        return _BY_CASE[name]
    return _BY_NAME.get(name.casefold())


def factor_to(unit: Unit, *, suffix: str) -> Fraction | None:
    """Exact factor from a unit to a suffix's unit, or ``None`` when they are no kin."""
    if unit.suffix == suffix:
        return unit.factor
    step = BRIDGES.get((unit.suffix, suffix))
    return None if step is None else unit.factor * step


def names_for(suffix: str) -> tuple[str, ...]:
    """Symbols of the units that can give a suffix, in the order people are offered them."""
    return tuple(unit.symbol for unit in UNITS if factor_to(unit, suffix=suffix) is not None)


def convert(value: float | Fraction, *, unit: str, suffix: str) -> float:
    """A value in ``unit`` as a value in the unit of ``suffix``, rounded once.

    Raises
    ------
    UnitError
        If the unit is unknown or of another kind of quantity.

    """
    found = unit_named(unit)
    factor = None if found is None else factor_to(found, suffix=suffix)
    if factor is None:
        raise UnitError(
            f"{unit!r} is no unit of {SUFFIXES[suffix]}; use one of {', '.join(names_for(suffix))}."
        )
    return float(Fraction(value) * factor)
