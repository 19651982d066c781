"""How likely all limits hold after the plan, by drawing from the plan's own model."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf

import numpy as np
from numpy.typing import NDArray

_CERTAIN = 8.0
"""Standard uncertainties from both limits beyond which a row is not drawn (one in 1e15)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Predicted:
    """A value with the independent errors behind it: standard uncertainty by source.

    An error shared by several values (the deck cut, a seat cut, one spring height behind two
    loads) has the same key in each.
    """

    value: float
    low: float | None
    high: float | None
    errors: dict[object, float]

    @property
    def u(self) -> float:
        """Standard uncertainty of the value."""
        return hypot(*self.errors.values()) if self.errors else 0.0


def holds_all(
    predicted: Sequence[Predicted], *, rng: np.random.Generator, draws_count: int
) -> float:
    """Share of draws in which every value lies within its limits.

    Parameters
    ----------
    predicted : sequence of Predicted
        Values in the units of their quantities.
    rng : Generator
        Where the draws come from.
    draws_count : int
        Number of draws [-], > 0.

    Returns
    -------
    float
        Probability [-].

    References
    ----------
    JCGM 101:2008, clause 7 (Monte Carlo propagation).

    """
    alive = np.ones(draws_count, dtype=np.bool_)
    shared = _shared(predicted)
    drawn: dict[object, NDArray[np.float64]] = {}
    for one in predicted:
        low = -inf if one.low is None else one.low
        high = inf if one.high is None else one.high
        u = one.u
        if u == 0.0 or min(one.value - low, high - one.value) > _CERTAIN * u:
            if not low - 1e-6 <= one.value <= high + 1e-6:
                return 0.0
            continue
        values = np.full(draws_count, one.value)
        own = 0.0
        for key, coefficient in one.errors.items():
            if key in shared:
                if key not in drawn:
                    drawn[key] = rng.standard_normal(draws_count)
                values += coefficient * drawn[key]
            else:
                own = hypot(own, coefficient)
        if own > 0.0:
            values += own * rng.standard_normal(draws_count)
        alive &= (values >= low) & (values <= high)
    return float(alive.mean())


def _shared(predicted: Sequence[Predicted]) -> set[object]:
    seen: set[object] = set()
    shared: set[object] = set()
    for one in predicted:
        for key in one.errors:
            (shared if key in seen else seen).add(key)
    return shared
