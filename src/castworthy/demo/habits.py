"""How the invented makers' castings come: each has its own way of being not quite right."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.units import Show

_STEPS = {"mm": 4, "um": 0, "cm3": 1, "n": 1, "kpa": 1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """Where a maker's readings lie in the span of a limit (0 low end, 1 high end) and how far
    they spread, in spans.  ``usual`` rules every quantity without a habit of its own.
    """

    usual: tuple[float, float] = (0.5, 0.12)
    own: Mapping[Quantity, tuple[float, float]] = field(default_factory=dict)


HABITS: Mapping[str, Habit] = {
    "7F": Habit(own={Quantity.RECESSION: (0.78, 0.2), Quantity.FINISH_RA: (0.7, 0.2)}),
    "12": Habit(own={Quantity.FINISH_RA: (1.25, 0.1), Quantity.RECESSION: (0.5, 0.16)}),
    "A3": Habit(usual=(0.5, 0.08)),
    "": Habit(usual=(0.55, 0.14), own={Quantity.RECESSION: (0.9, 0.22)}),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """A reading as somebody types it at the bench, with its side of the deck."""

    text: str
    side: str


def reading_of(
    quantity: Quantity,
    place: str,
    *,
    sheet: HeadSheet,
    habit: Habit,
    rng: np.random.Generator,
) -> Typed:
    """A reading of a casting of that habit."""
    limit = sheet.limit_for(quantity, place=place)
    if limit is None:
        return typed_of(_height_in(place, sheet=sheet, rng=rng), quantity=quantity)
    middle, spread = habit.own.get(quantity, habit.usual)
    low, high = _ends(limit)
    value = low + (high - low) * float(rng.normal(middle, spread))
    if not FACTS[quantity].sided:
        value = max(value, 0.05 * (high - low))
    return _typed(value, quantity=quantity)


def _height_in(place: str, *, sheet: HeadSheet, rng: np.random.Generator) -> float:
    """A height of a deck that is bowed low in the middle and a little twisted [in]."""
    xs = [x for x, _ in sheet.outline_mm]
    ys = [y for _, y in sheet.outline_mm]
    x_mm, y_mm = sheet.spot_mm(Quantity.HEIGHT, place=place)
    u = 2.0 * (x_mm - min(xs)) / (max(xs) - min(xs)) - 1.0
    v = 2.0 * (y_mm - min(ys)) / (max(ys) - min(ys)) - 1.0
    return 0.0011 * u * u + 0.0003 * u * v - 0.0006 + float(rng.normal(0.0, 0.0001))


def again_of(expected: float | None, *, limit: Limit, rng: np.random.Generator) -> Typed:
    """A reading after the work: what the cuts make of it, or well inside where only a reading
    tells (finish, flatness); never outside, since good work was done.
    """
    low, high = _ends(limit)
    span = high - low
    middle = low + 0.45 * span if expected is None else expected
    value = middle + 0.02 * span * float(rng.normal())
    return _typed(min(max(value, low + 0.12 * span), high - 0.12 * span), quantity=limit.quantity)


def typed_of(inches: float, *, quantity: Quantity) -> Typed:
    """A length in inches as it is typed."""
    return _typed(inches * 25.4, quantity=quantity)


def _typed(value: float, *, quantity: Quantity) -> Typed:
    suffix = FACTS[quantity].suffix
    size = abs(value) if FACTS[quantity].sided else value
    text = Show(length="in").value(size, suffix=suffix, digits=_STEPS[suffix])
    return Typed(text=text, side=_side(quantity, value))


def _side(quantity: Quantity, value: float) -> str:
    if value == 0.0:
        return "flush"
    below = value > 0 if quantity is Quantity.RECESSION else value < 0
    return "below" if below else "above"


def _ends(limit: Limit) -> tuple[float, float]:
    """Both ends of a limit; an open end lies where good castings of the trade do."""
    if limit.low is not None and limit.high is not None:
        return limit.low, limit.high
    if limit.high is not None:
        return 0.1 * limit.high, limit.high
    assert limit.low is not None  # noqa: S101 - a sheet's limit has at least one end
    return limit.low, 1.1 * limit.low
