"""Which of several readings of one finish decides: the worst, or the 16 % rule."""

from math import inf

from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, ToleranceRule

READINGS_PER_EXCESS = 6
"""One reading in six, two in twelve may lie beyond the limit under the 16 % rule."""


def deciding_value(values: tuple[float, ...], *, limit: Limit, rule: ToleranceRule) -> int:
    """Index of the reading that decides about a surface read at several places.

    Parameters
    ----------
    values : tuple of float
        Readings in the unit of the limit.
    limit : Limit
        The limit; the reading farthest beyond (or nearest to) a bound is the worst.
    rule : ToleranceRule
        Max rule: the worst decides.  16 % rule: one in six may lie beyond, so the worst
        ``n // 6`` are left out first.

    Returns
    -------
    int
        Place of the deciding reading in ``values``; the first of equals.

    Raises
    ------
    InputError
        If there is no reading, or the limit has no bound.

    References
    ----------
    ISO 4288:1996, 5.2 (16 % rule; one in the first six, two in the first twelve) and 5.3
    (max rule).

    """
    if not values:
        raise InputError("No reading of the finish was given; trace the surface first.")
    if limit.low is None and limit.high is None:
        raise InputError(f"The limit of {limit.quantity} has neither low nor high; give one.")
    low = -inf if limit.low is None else limit.low
    high = inf if limit.high is None else limit.high
    excess = [max(low - value, value - high) for value in values]
    worst_first = sorted(range(len(values)), key=lambda at: -excess[at])
    left_out_count = len(values) // READINGS_PER_EXCESS if rule is ToleranceRule.SIXTEEN else 0
    return worst_first[left_out_count]
