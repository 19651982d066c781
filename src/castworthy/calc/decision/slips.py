"""Slips of the hand and eye that a reading is asked about before it is taken in.

A reading is asked about only when it is unlikely as typed and one known slip would make it
likely.  What is likely comes from its neighbours when there are three or more, else from the
limit.  The answer may be "it is right": nothing is refused.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from castworthy.calc.decision.judge import span_of
from castworthy.calc.decision.phrases import reading_phrase, subject
from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, Reading
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.units import Show

THIMBLE_TURN_MM = 0.635
"""One turn of an inch micrometer's thimble, 0.025 in."""
DIAL_TURN_MM = 2.54
"""One turn of the hand of an inch dial indicator, 0.100 in."""

_MOST_TURNS = 9
_FEWEST_NEIGHBOURS = 3
_UNLIKELY = 4.0
_FIRST_HEIGHTS_MM = 0.1
_LIKELY = 2.5
_TURN_SHARE = 1 / 4
_SPREAD_PER_MAD = 1.4826
_FAR = 10.0
_NEAR_RATIO = 2.5
_FAR_RATIO = 5.0
_SMALLEST = 1e-9
_FINEST = {"mm": 0.0254, "um": 0.05}
_FACTORS = {
    "mm": (25.4, 1 / 25.4, 25.4 / 1000, 1000 / 25.4),
    "um": (25.4 / 1000, 1000 / 25.4),
}


class SlipKind(StrEnum):
    """What may have gone wrong between the gauge and the number."""

    POWER_OF_TEN = "power of ten"
    INCH_MILLIMETRE = "inch for millimetre"
    THIMBLE_TURN = "thimble turn"
    DIAL_TURN = "dial turn"
    SIGN = "sign"
    MICROINCH_MICROMETRE = "microinch for micrometre"


_MIXED = {"mm": SlipKind.INCH_MILLIMETRE, "um": SlipKind.MICROINCH_MICROMETRE}
_MULTIPLIED = {
    SlipKind.POWER_OF_TEN,
    SlipKind.INCH_MILLIMETRE,
    SlipKind.MICROINCH_MICROMETRE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A question about one reading, in the unit of its quantity.

    ``amount`` is the factor of a power of ten or a unit, or the number of turns.
    """

    kind: SlipKind
    quantity: Quantity
    place: str
    value: float
    likely_value: float
    amount: float

    def sentence(self, show: Show) -> str:
        """The question as a person reads it."""
        typed = reading_phrase(self.value, quantity=self.quantity, show=show)
        likely = reading_phrase(self.likely_value, quantity=self.quantity, show=show)
        what = subject(self.quantity, place=self.place)
        return f"{what} reads {typed}, {self._cause(show)}: is it {likely}?"

    def _cause(self, show: Show) -> str:
        match self.kind:
            case SlipKind.POWER_OF_TEN:
                return f"which a decimal point {_places(self.amount)} over would explain"
            case SlipKind.INCH_MILLIMETRE:
                return "which inches and millimetres mixed up would explain"
            case SlipKind.MICROINCH_MICROMETRE:
                return "which microinches and micrometres mixed up would explain"
            case SlipKind.SIGN:
                return "which below and above the deck mixed up would explain"
            case SlipKind.THIMBLE_TURN:
                return f"which {_turns(self.amount, THIMBLE_TURN_MM, 'of the thimble', show)}"
            case SlipKind.DIAL_TURN:
                return f"which {_turns(self.amount, DIAL_TURN_MM, 'of the dial', show)}"


def ask_slips(
    reading: Reading, *, limit: Limit | None, neighbours: Sequence[float]
) -> tuple[Slip, ...]:
    """Slips that would make an unlikely reading likely, the likeliest first.

    Parameters
    ----------
    reading : Reading
        The reading as typed, in the unit of its quantity.
    limit : Limit or None
        The limit that rules it, in the same unit; ``None`` when the sheet has none.
    neighbours : sequence of float
        Other readings of the same quantity on this head, in the same unit, any number.

    Returns
    -------
    tuple of Slip
        Empty when the reading is likely as typed or no known slip explains it.

    Raises
    ------
    InputError
        If the limit is of another quantity.

    References
    ----------
    Common practice, no source.  Median absolute deviation scaled by 1.4826: the constant of
    the normal distribution.

    """
    if limit is not None and limit.quantity is not reading.quantity:
        raise InputError(
            f"A reading of {reading.quantity} cannot be asked about by a limit of {limit.quantity}."
        )
    expected = _expected(reading.quantity, limit=limit, neighbours=neighbours)
    if expected is None or not expected.unlikely(reading.value):
        return ()
    best: dict[SlipKind, Slip] = {}
    for kind, likely, amount in _candidates(reading, spread=expected.spread):
        known = best.get(kind)
        distance = expected.distance(likely)
        if expected.explained(reading.value, by=likely, multiplied=kind in _MULTIPLIED) and (
            known is None or distance < expected.distance(known.likely_value)
        ):
            best[kind] = Slip(
                kind=kind,
                quantity=reading.quantity,
                place=reading.place,
                value=reading.value,
                likely_value=likely,
                amount=amount,
            )
    return tuple(sorted(best.values(), key=lambda slip: expected.distance(slip.likely_value)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Around:
    """Values scatter about a centre; ``ratio`` when all of them lie on one side of zero."""

    centre: float
    spread: float
    ratio: bool

    def distance(self, value: float) -> float:
        return abs(value - self.centre) / self.spread

    def unlikely(self, value: float) -> bool:
        return self.distance(value) > _UNLIKELY

    def explained(self, value: float, *, by: float, multiplied: bool) -> bool:
        if self.distance(by) > _LIKELY:
            return False
        if not multiplied:
            return True
        if not self.ratio:
            return self.distance(value) > _FAR
        times = value / self.centre
        near = 1 / _NEAR_RATIO <= by / self.centre <= _NEAR_RATIO
        return near and not 1 / _FAR_RATIO < times < _FAR_RATIO


@dataclass(frozen=True, slots=True, kw_only=True)
class _Between:
    """Values of one sign lie in a broad range; far out is unlikely."""

    lowest: float
    low: float
    high: float
    highest: float
    spread: None = None

    def distance(self, value: float) -> float:
        return abs(value - (self.low + self.high) / 2) / (self.high - self.low)

    def unlikely(self, value: float) -> bool:
        return value != 0.0 and not self.lowest <= value <= self.highest

    def explained(self, value: float, *, by: float, multiplied: bool) -> bool:
        return self.unlikely(value) and self.low <= by <= self.high


def _expected(
    quantity: Quantity, *, limit: Limit | None, neighbours: Sequence[float]
) -> _Around | _Between | None:
    low, high = (None, None) if limit is None else (limit.low, limit.high)
    if len(neighbours) >= _FEWEST_NEIGHBOURS:
        centre = median(neighbours)
        scatter = _SPREAD_PER_MAD * median(abs(n - centre) for n in neighbours)
        finest = _FINEST.get(FACTS[quantity].suffix, abs(centre) / 20) or _SMALLEST
        floor = (high - low) / 6 if low is not None and high is not None else (high or 0.0) / 4
        ratio = min(neighbours) > 0.0 or max(neighbours) < 0.0
        return _Around(centre=centre, spread=max(scatter, finest, floor), ratio=ratio)
    if quantity is Quantity.HEIGHT:
        return _Around(centre=0.0, spread=_FIRST_HEIGHTS_MM, ratio=False)
    if low is not None and high is not None:
        spread = max((high - low) / 4, _SMALLEST)
        return _Around(centre=(low + high) / 2, spread=spread, ratio=low > 0.0 or high < 0.0)
    if high is not None and high > 0.0 and limit is not None and span_of(limit) is not None:
        return _Between(lowest=high / 50, low=high / 5, high=2 * high, highest=8 * high)
    if low is not None and low > 0.0:
        return _Between(lowest=low / 4, low=0.9 * low, high=1.5 * low, highest=4 * low)
    return None


def _candidates(
    reading: Reading, *, spread: float | None
) -> Iterator[tuple[SlipKind, float, float]]:
    value, facts = reading.value, FACTS[reading.quantity]
    for power in (1, -1, 2, -2, 3, -3):
        yield SlipKind.POWER_OF_TEN, value * 10.0**power, float(power)
    for factor in _FACTORS.get(facts.suffix, ()):
        yield _MIXED[facts.suffix], value * factor, factor
    if facts.sided:
        yield SlipKind.SIGN, -value, -1.0
    if facts.suffix == "mm" and spread is not None:
        yield from _turned(value, spread=spread)


def _turned(value: float, *, spread: float) -> Iterator[tuple[SlipKind, float, float]]:
    """Whole turns, where the expected values lie close enough to tell one turn from none."""
    for kind, turn_mm, most in (
        (SlipKind.THIMBLE_TURN, THIMBLE_TURN_MM, 1),
        (SlipKind.DIAL_TURN, DIAL_TURN_MM, _MOST_TURNS),
    ):
        if spread <= _TURN_SHARE * turn_mm:
            for turns in range(-most, most + 1):
                if turns:
                    yield kind, value + turns * turn_mm, float(turns)


def _places(power: float) -> str:
    count = abs(round(power))
    return ("one place", "two places", "three places")[count - 1]


def _turns(turns: float, turn_mm: float, of: str, show: Show) -> str:
    count = abs(round(turns))
    step = show.value(count * turn_mm, suffix="mm")
    missed = "too few" if turns > 0 else "too many"
    name = f"one turn {of}" if count == 1 else f"{count} turns {of}"
    return f"{name} {missed} ({step}) would explain"
