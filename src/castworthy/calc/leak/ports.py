"""The ports of one head beside each other: the odd one out; and the pump's reading of the day."""

from dataclasses import dataclass
from math import isfinite
from statistics import median

from castworthy.calc.errors import InputError
from castworthy.calc.leak.flow import STD_CM3_PER_MIN_PA_M3_PER_S
from castworthy.calc.leak.proof import vacuum_share_ratio
from castworthy.calc.outcome import Refused
from castworthy.units import Show

FEWEST_PORTS_COUNT = 4
ODD_SCORE = 3.5
"""A robust score above this is an outlier (Iglewicz and Hoaglin, 1993)."""

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
    """A port by its place, with its leak rate; the rate compares ports of unlike volume."""

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
    """The ports, the leakiest first."""

    usual_pa_m3_per_s: float
    spread_pa_m3_per_s: float
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
    not hide itself.  The spread is never taken smaller than a tenth of the usual leak, the ports'
    own uncertainty, or what a seat test can tell.

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
    0.6745 (x - median) / MAD, outlier above 3.5 (value from memory).

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
    mad = median(abs(port.leak_pa_m3_per_s - usual) for port in ports)
    own = median(port.u_leak_pa_m3_per_s for port in ports)
    spread = max(_MAD_TO_SIGMA * mad, own, LIKE_SHARE * usual, UNSEEN_PA_M3_PER_S)
    scores = tuple(
        _scored(port, usual=usual, spread=spread)
        for port in sorted(ports, key=lambda port: (-port.leak_pa_m3_per_s, port.place))
    )
    odd = tuple(each for each in scores if each.odd)
    return PortComparison(
        usual_pa_m3_per_s=usual,
        spread_pa_m3_per_s=spread,
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


def _scored(port: PortLeak, *, usual: float, spread: float) -> PortScore:
    score = (port.leak_pa_m3_per_s - usual) / spread
    return PortScore(
        place=port.place,
        leak_pa_m3_per_s=port.leak_pa_m3_per_s,
        score=score,
        odd=score > ODD_SCORE,
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
        "first; guide, seal, plugs and port walls leak alike."
    )
