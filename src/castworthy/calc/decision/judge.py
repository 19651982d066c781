"""A reading against its limit, with what is known of the reading's uncertainty."""

from math import ceil, inf, isfinite, sqrt

from scipy.special import ndtr

from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, Reading, Rule
from castworthy.calc.quantity import FACTS, Quantity

MOST_REPEATS_COUNT = 50
"""Nobody reads one place more often than this; a better gauge is the remedy then."""

COARSE_SHARE = 0.1
"""A gauge should read in steps of at most this share of the span between the limits."""

_ALLOWANCES = {"mm": 1e-6, "um": 1e-3}
_OTHER_ALLOWANCE = 1e-6
_ROUNDING = 1e-12
_BISECTIONS = 60
_SIGNED = {Quantity.HEIGHT, Quantity.RECESSION, Quantity.INJECTOR_PROTRUSION, Quantity.RING_STAND}


def conformance_probability(
    value: float, *, u: float, low: float | None, high: float | None
) -> float:
    """Probability that the true value lies within the limits.

    Parameters
    ----------
    value : float
        Reading, in any unit.
    u : float
        Its standard uncertainty in the same unit, >= 0.
    low, high : float or None
        Limits in the same unit; ``None`` leaves that side open.

    Returns
    -------
    float
        ``Phi((high - value) / u) - Phi((low - value) / u)``; for ``u = 0`` 1 within the
        limits (the limits included) and 0 outside.

    Raises
    ------
    InputError
        If ``u`` is negative, a number is not finite, or ``low`` lies above ``high``.

    References
    ----------
    JCGM 106:2012, 7.2 and 7.3 (normal density of the measurand, no prior knowledge).

    """
    bottom = -inf if low is None else low
    top = inf if high is None else high
    if not (isfinite(value) and isfinite(u) and u >= 0.0):
        raise InputError(f"A reading needs a finite value and u >= 0 (got {value} with u {u}).")
    if bottom > top:
        raise InputError(f"The low limit must not lie above the high one (got {low} and {high}).")
    if u == 0.0:
        return 1.0 if bottom <= value <= top else 0.0
    below, above = (bottom - value) / u, (top - value) / u
    if below > 0.0:
        below, above = -above, -below
    return float(ndtr(above) - ndtr(below))


def judge(reading: Reading, *, limit: Limit, confidence_probability: float) -> Judgement:
    """Judge one reading by one limit.

    Parameters
    ----------
    reading : Reading
        The reading, in the unit of its quantity.
    limit : Limit
        The limit of that quantity, in the same unit.
    confidence_probability : float
        Conformance probability asked for, between 0.5 and 1.

    Returns
    -------
    Judgement
        Guarded rule: inside at or above the confidence, outside at or below one minus it,
        otherwise too close to call, with the number of readings or the uncertainty that
        would settle the same value.  Simple rule, or no gauge known: the bare value against
        the limits, a value on a limit inside, to 1 nm.  A value within its limits is never
        called outside, however poor the gauge; it is too close to call.

    Raises
    ------
    InputError
        If the limit is of another quantity, has no bound, or the confidence is out of range.

    References
    ----------
    JCGM 106:2012, 8.3 (decision rules); ISO 14253-1:2017 (guard bands by probability).

    """
    _check(reading, limit=limit, confidence_probability=confidence_probability)
    low, high = limit.low, limit.high
    excess = _excess(reading.value, low=low, high=high)
    within = excess <= _ALLOWANCES.get(FACTS[reading.quantity].suffix, _OTHER_ALLOWANCE)
    u = reading.u
    probability = None
    verdict = Verdict.INSIDE if within else Verdict.OUTSIDE
    rule_applied = limit.rule if u is not None else Rule.SIMPLE
    repeats_count = u_wanted = None
    if u is not None:
        nearest = min(max(reading.value, _or(low, -inf)), _or(high, inf)) if within else None
        probability = conformance_probability(
            reading.value if nearest is None else nearest, u=u, low=low, high=high
        )
        if rule_applied is Rule.GUARDED:
            verdict = guarded_verdict(
                probability, within=within, confidence_probability=confidence_probability
            )
    if verdict is Verdict.CLOSE:
        u_wanted = _u_wanted(reading, limit=limit, confidence=confidence_probability)
        repeats_count = _repeats_count(reading, u_wanted=u_wanted)
    return Judgement(
        quantity=reading.quantity,
        place=reading.place,
        verdict=verdict,
        value=reading.value,
        u=u,
        probability=probability,
        low=low,
        high=high,
        aim=limit.aim,
        excess=excess,
        rule=limit.rule,
        rule_applied=rule_applied,
        repeats_count=repeats_count,
        u_wanted=u_wanted,
        coarse=_coarse(reading, limit=limit),
        source=limit.source,
    )


def guarded_verdict(
    inside_probability: float, *, within: bool, confidence_probability: float
) -> Verdict:
    """The verdict of a conformance probability.

    Parameters
    ----------
    inside_probability : float
        Probability that the true value lies within its limits.
    within : bool
        Whether the value itself lies within; it is then never called outside.
    confidence_probability : float
        Conformance probability asked for.

    Returns
    -------
    Verdict
        Inside at or above the confidence, outside at or below one minus it, else too close.

    References
    ----------
    JCGM 106:2012, 8.3.

    """
    if inside_probability >= confidence_probability - _ROUNDING:
        return Verdict.INSIDE
    if inside_probability <= 1.0 - confidence_probability + _ROUNDING and not within:
        return Verdict.OUTSIDE
    return Verdict.CLOSE


def span_of(limit: Limit) -> float | None:
    """Width of a limit in its quantity's unit; ``None`` where one side is truly open.

    A single upper limit on something that cannot be negative spans from zero.
    """
    if limit.high is None:
        return None
    if limit.low is not None:
        return limit.high - limit.low
    return None if limit.quantity in _SIGNED else limit.high


def _check(reading: Reading, *, limit: Limit, confidence_probability: float) -> None:
    if reading.quantity is not limit.quantity:
        raise InputError(
            f"A reading of {reading.quantity} cannot be judged by a limit of {limit.quantity}; "
            "pass the limit of its own quantity."
        )
    if limit.low is None and limit.high is None:
        raise InputError(f"The limit of {limit.quantity} has neither low nor high; give one.")
    if not 0.5 < confidence_probability < 1.0:
        raise InputError(
            f"confidence_probability must lie between 0.5 and 1 (got {confidence_probability})."
        )


def _or(bound: float | None, otherwise: float) -> float:
    return otherwise if bound is None else bound


def _excess(value: float, *, low: float | None, high: float | None) -> float:
    return max(_or(low, -inf) - value, value - _or(high, inf))


def _u_wanted(reading: Reading, *, limit: Limit, confidence: float) -> float | None:
    """The largest uncertainty below the present one that settles the same value, by bisection."""

    def settled(u: float) -> bool:
        p = conformance_probability(reading.value, u=u, low=limit.low, high=limit.high)
        within = _excess(reading.value, low=limit.low, high=limit.high) <= 0.0
        verdict = guarded_verdict(p, within=within, confidence_probability=confidence)
        return verdict is not Verdict.CLOSE

    good, bad = 0.0, reading.u or 0.0
    for _ in range(_BISECTIONS):
        middle = (good + bad) / 2
        if settled(middle):
            good = middle
        else:
            bad = middle
    smallest = _ALLOWANCES.get(FACTS[reading.quantity].suffix, _OTHER_ALLOWANCE)
    return good if good > smallest else None


def _repeats_count(reading: Reading, *, u_wanted: float | None) -> int | None:
    """Readings in all that bring the uncertainty of the mean down to the one wanted."""
    if u_wanted is None or reading.u is None or u_wanted <= reading.u_bias:
        return None
    random = sqrt(max(reading.u**2 - reading.u_bias**2, 0.0)) * sqrt(reading.repeats_count)
    count = ceil(random**2 / (u_wanted**2 - reading.u_bias**2) - 1e-9)
    return count if reading.repeats_count < count <= MOST_REPEATS_COUNT else None


def _coarse(reading: Reading, *, limit: Limit) -> bool:
    span = span_of(limit)
    if reading.resolution is None or span is None:
        return False
    return reading.resolution > COARSE_SHARE * span * (1.0 + 1e-9)
