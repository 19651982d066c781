"""The largest smallest margin, counted in each value's own standard uncertainty."""

from collections.abc import Callable
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.rework.model import Model, Row, u_of
from castworthy.calc.rework.problem import MOST_MARGIN, Bound, Guard, Problem, movable
from castworthy.calc.rework.solve import minimum

_SAME = 1e-7
_MOST_ROUNDS = 60

Lay = Callable[[Guard], Problem]
"""Lays a guard over one branch."""


class MarginSearch:
    """Raises the smallest margin of one head's movable values as far as it goes.

    A margin is a ratio of two functions that are linear within a branch.  From the margin
    reached, all margins are grown together at the pace of the uncertainties last found, until
    none grows: J.P. Crouzeix, J.A. Ferland, S. Schaible, An algorithm for generalized
    fractional programs, J. Optim. Theory Appl. 47 (1985) 35-49 (reference from memory; the
    tests hold the result against enumeration).
    """

    def __init__(self, model: Model, *, bounds: tuple[Bound, ...], factor: float) -> None:
        """Take the limits and the factor that guarded limits are tightened by."""
        self.model = model
        self.factor = factor
        self.counted = [
            (bound, bound.row, model.rows[bound.row])
            for bound in bounds
            if bound.row is not None and movable(model, row=model.rows[bound.row])
        ]

    def widest(self, lay: Lay, *, beat: float) -> float | None:
        """The largest margin of a branch, at most ``MOST_MARGIN``; ``None`` below ``beat``."""
        problem = lay(Guard(factor=self.factor, margin=beat))
        x = minimum(problem, aims_ratio=np.zeros(len(problem.lower)))
        if x is None:
            return None
        margin = beat
        for _ in range(_MOST_ROUNDS):
            margin = min(max(margin, self.smallest(x)), MOST_MARGIN)
            if margin == MOST_MARGIN:
                break
            problem = lay(Guard(factor=self.factor, margin=margin, pace=self._pace(x)))
            aims = np.zeros(len(problem.lower))
            aims[problem.gain] = -1.0
            x = minimum(problem, aims_ratio=aims)
            if x is None or x[problem.gain] <= _SAME:
                break
        return margin

    def smallest(self, x: NDArray[np.float64]) -> float:
        """The smallest margin of a choice."""
        least = inf
        for bound, _, row in self.counted:
            u = u_of(row, x=x)
            if u > 0.0:
                value = row.value + sum(k * x[c] for c, k in row.terms.items())
                room = bound.limit - value if bound.side == "high" else value - bound.limit
                least = min(least, room / u)
        return float(least)

    def _pace(self, x: NDArray[np.float64]) -> dict[int, float]:
        return {index: u_of(row, x=x) or _most_u(row) for _, index, row in self.counted}


def _most_u(row: Row) -> float:
    return sqrt((row.u or 0.0) ** 2 + sum(u * u for _, u in row.spread))
