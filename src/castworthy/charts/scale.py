"""A straight scale in a person's own unit, with ticks that stand at round values."""

from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction
from math import ceil, floor, log10

from castworthy.units.factors import factor_to, unit_named
from castworthy.units.show import Show


class Tick(IntEnum):
    """How long a tick is."""

    MINOR = 0
    HALF = 1
    MAJOR = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Values ``first`` to ``last`` along ``left`` to ``right``."""

    first: float
    last: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """Where a value stands; past the ends where it is past the ends."""
        share = (value - self.first) / (self.last - self.first)
        return self.left + share * (self.right - self.left)

    def holds(self, value: float) -> bool:
        """True when the value stands on the scale."""
        return self.first <= value <= self.last


def ticks(scale: Scale, *, suffix: str, show: Show, closest: float) -> list[tuple[float, Tick]]:
    """Ticks at least ``closest`` apart, as (value, length), at round values of the shown unit.

    Each tick stands for 1, 2 or 5 of a power of ten; every fifth or tenth is longer.
    """
    factor = factor_of(suffix, show=show)
    first, last = Fraction(scale.first) / factor, Fraction(scale.last) / factor
    smallest = float(last - first) * closest / (scale.right - scale.left)
    step, to_half, to_major = _round_step(smallest)
    return [
        (float(index * step * factor), _length(index, to_half=to_half, to_major=to_major))
        for index in range(ceil(first / step), floor(last / step) + 1)
    ]


def factor_of(suffix: str, *, show: Show) -> Fraction:
    """How many of the suffix's unit the shown unit is, exactly; one where it has no other."""
    unit = unit_named(show.unit(suffix))
    factor = None if unit is None else factor_to(unit, suffix=suffix)
    return Fraction(1) if factor is None else factor


def _round_step(smallest: float) -> tuple[Fraction, int, int]:
    power = floor(log10(smallest) + 1e-9)
    for lead, to_half, to_major in ((1, 5, 10), (2, 5, 5), (5, 2, 10), (10, 5, 10)):
        step = lead * Fraction(10) ** power
        if step >= smallest * (1 - 1e-9):
            return step, to_half, to_major
    raise AssertionError("a power of ten is never below its own floor")


def _length(index: int, *, to_half: int, to_major: int) -> Tick:
    if index % to_major == 0:
        return Tick.MAJOR
    return Tick.HALF if index % to_half == 0 else Tick.MINOR
