"""The ports of one head beside each other: the odd one out; and the pump's reading of the day."""

from dataclasses import dataclass
from math import isfinite, sqrt
from statistics import median

from castworthy.calc.errors import InputError
from castworthy.calc.leak.flow import STD_CM3_PER_MIN_PA_M3_PER_S
from castworthy.calc.leak.proof import vacuum_share_ratio
from castworthy.calc.outcome import Refused
from castworthy.units import Show

FEWEST_PORTS_COUNT = 4
ODD_SCORES = {
    **{4: 4.73, 5: 5.76, 6: 4.35, 7: 4.67, 8: 4.05, 9: 4.24, 10: 3.90, 11: 3.99, 12: 3.79},
    **{13: 3.85, 14: 3.71, 15: 3.76, 16: 3.64, 17: 3.68, 18: 3.59, 19: 3.63, 20: 3.57},
    **{21: 3.60, 22: 3.56, 23: 3.57, 24: 3.53},
}
"""A robust score above this is odd, by the number of ports.

The highest score of that many ports alike lies above it on one head in twenty (400,000 made heads
each, diameters normal; ``tests/calc/leak/test_leak_ports.py`` makes some again).  The usual 3.5 of
Iglewicz and Hoaglin (1993) is meant for many: of 4 to 9 ports alike it names one on 8 to 12 heads
in a hundred.  Where leaks alike are lopsided (log-normal, spread 0.5) the figures here name one on
7 heads in a hundred with 4 ports, 11 with 8, 21 with 24; a port of nine times the others' leak
(diameters spread 15 %) is found on 91 in a hundred with 5 ports, on all from 8 on."""

ODD_SCORE = 3.5
"""The same from 25 ports on."""

LIKE_SHARE = 0.10
"""Ports within a tenth of the usual leak are alike.  Common practice, no source."""

UNSEEN_PA_M3_PER_S = 1e-3
"""About 0.6 std cm3 a minute: no seat test tells a leak this small.  Common practice, no source."""

GOOD_PUMP_RATIO = 0.84
"""A sound pump pulls this share of the atmosphere (25 of 29.9 inHg).  Common practice, no
source: pumps pull 25 to 28 inHg at sea level."""

_MAD_TO_SIGMA = 1.4826


@dataclass(frozen=True, slots=True, kw_only=True)
class PortLeak:
    """A port by its place, with its leak rate, which compares ports of unlike volume, and the
    rate's standard uncertainty.
    """

    place: str
    leak_pa_m3_per_s: float
    u_leak_pa_m3_per_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PortScore:
    """How far a port lies above the usual one, in robust standard deviations."""

    place: str
    leak_pa_m3_per_s: float
    score: float
    odd: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PortComparison:
    """The ports, the leakiest first; ``odd_score`` is the score above which one is odd."""

    usual_pa_m3_per_s: float
    odd_score: float
    ports: tuple[PortScore, ...]
    odd: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpShare:
    """A port beside the pump: ``share_ratio`` of the dead-head reading, ``pump_ratio`` the share
    of the atmosphere that reading is.
    """

    share_ratio: float
    pump_ratio: float
    sentence: str
    cautions: tuple[str, ...]


def compare_ports(ports: tuple[PortLeak, ...]) -> PortComparison | Refused:
    """Find the ports that leak far more than the head's usual one.

    The middle value and the median absolute deviation stand for the usual, so a bad port does
    not hide itself, nor do two.  Ports are compared by the diameter of the hole that would pass
    their leak, its square root: leaks alike lie lopsided about their middle, diameters much less.
    The spread is never taken smaller than a tenth of the usual leak makes, what a seat test can
    tell, or the port's own uncertainty, so ports that tie make no odd one of a small difference.

    Parameters
    ----------
    ports : tuple of PortLeak
        Ports of one head.

    Returns
    -------
    PortComparison or Refused
        ``Refused`` below four ports.

    Raises
    ------
    InputError
        If a leak is negative or no number, or a place is given twice.

    References
    ----------
    Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993): score
    0.6745 (x - median) / MAD (value from memory); bounds by own simulation
    (:data:`ODD_SCORES`).

    """
    places = [port.place for port in ports]
    for port in ports:
        if not (isfinite(port.leak_pa_m3_per_s) and port.leak_pa_m3_per_s >= 0.0):
            raise InputError(
                f"The leak of {port.place} must be 0 or more, got {port.leak_pa_m3_per_s:g}."
            )
        if places.count(port.place) > 1:
            raise InputError(f"{port.place} is given twice; keep its latest log.")
    if len(ports) < FEWEST_PORTS_COUNT:
        return Refused(
            code="too-few-ports",
            reason=f"No port can be called odd among {len(ports)}.",
            remedy=f"Log {FEWEST_PORTS_COUNT} ports of this head or more.",
        )
    usual = median(port.leak_pa_m3_per_s for port in ports)
    middle = median(sqrt(port.leak_pa_m3_per_s) for port in ports)
    mad = median(abs(sqrt(port.leak_pa_m3_per_s) - middle) for port in ports)
    like = max(LIKE_SHARE * usual, UNSEEN_PA_M3_PER_S)
    spread = max(_MAD_TO_SIGMA * mad, sqrt(usual + like) - sqrt(usual))
    bound = ODD_SCORES.get(len(ports), ODD_SCORE)
    scores = tuple(
        _scored(port, middle=middle, spread=spread, bound=bound)
        for port in sorted(ports, key=lambda port: (-port.leak_pa_m3_per_s, port.place))
    )
    odd = tuple(each for each in scores if each.odd)
    return PortComparison(
        usual_pa_m3_per_s=usual,
        odd_score=bound,
        ports=scores,
        odd=tuple(each.place for each in odd),
        sentence=_sentence(odd, usual=usual, count=len(ports)),
    )


def compare_with_pump(
    *, held_kpa: float, dead_head_kpa: float, atmosphere_kpa: float, show: Show
) -> PumpShare:
    """A port's vacuum beside the pump's own reading of the day.

    The ceiling of a pump falls with altitude and weather, about 1 inHg for every 1,000 ft, so
    the share is what compares from day to day.

    Parameters
    ----------
    held_kpa
        vacuum of the port [kPa], scalar, a positive figure
    dead_head_kpa
        vacuum of the pump against a closed line the same day [kPa], scalar
    atmosphere_kpa
        absolute pressure of the air at the bench [kPa], scalar
    show
        units of the sentence

    Returns
    -------
    PumpShare
        Shares and what to say of them.

    Raises
    ------
    InputError
        If the pump pulls more than the atmosphere, or the port holds more than the pump.

    References
    ----------
    Common practice, no source.

    """
    if not 0.0 < dead_head_kpa <= atmosphere_kpa:
        raise InputError(
            f"A pump pulls at most the atmosphere of {atmosphere_kpa:.1f} kPa, got "
            f"{dead_head_kpa:.1f} kPa; check the atmosphere and the gauge."
        )
    share = vacuum_share_ratio(held_kpa=held_kpa, dead_head_kpa=dead_head_kpa)
    pump = dead_head_kpa / atmosphere_kpa
    vacuum = show.of_vacuum()
    held, dead = (vacuum.value(each, suffix="kpa") for each in (held_kpa, dead_head_kpa))
    weak = (
        f"The pump's own {dead} is {pump:.0%} of the atmosphere; a sound pump reaches "
        f"{GOOD_PUMP_RATIO:.0%}. Look for a leak in line or adapter before blaming a seat.",
    )
    return PumpShare(
        share_ratio=share,
        pump_ratio=pump,
        sentence=f"Holds {held}, {share:.0%} of the pump's {dead} today.",
        cautions=weak if pump < GOOD_PUMP_RATIO else (),
    )


def _scored(port: PortLeak, *, middle: float, spread: float, bound: float) -> PortScore:
    """The score of a port, its own uncertainty below its leak counted where it is larger."""
    leak = port.leak_pa_m3_per_s
    own = sqrt(leak) - sqrt(max(leak - port.u_leak_pa_m3_per_s, 0.0))
    score = (sqrt(leak) - middle) / max(spread, own)
    return PortScore(
        place=port.place,
        leak_pa_m3_per_s=leak,
        score=score,
        odd=score > bound,
    )


def _sentence(odd: tuple[PortScore, ...], *, usual: float, count: int) -> str:
    leak = f"{usual / STD_CM3_PER_MIN_PA_M3_PER_S:.3g} std cm³/min"
    if not odd:
        return f"No odd one out among {count} ports; the usual leak is {leak}."
    worst = odd[0]
    if usual >= UNSEEN_PA_M3_PER_S:
        much = f"{worst.leak_pa_m3_per_s / usual:.1f} times the usual {leak}"
    else:
        own = worst.leak_pa_m3_per_s / STD_CM3_PER_MIN_PA_M3_PER_S
        much = f"{own:.3g} std cm³/min where the others hold"
    others = f" {', '.join(each.place for each in odd[1:])} too." if len(odd) > 1 else ""
    return (
        f"{worst.place} is the odd one out of {count}: it leaks {much}.{others} Look at its seat "
        "first; guide, seal, plugs and port walls leak alike. By chance alone ports alike show an "
        "odd one on about one head in twenty."
    )
