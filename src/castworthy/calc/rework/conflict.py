"""Why there is no plan: a smallest set of limits that exclude each other.

The set is found by implicit hitting sets (A. Ignatiev, A. Previti, M. Liffiton,
J. Marques-Silva, Smallest MUS extraction with minimal hitting set dualization, CP 2015;
reference from memory, the tests hold the result against enumeration): every plan gives up some
limits, and a conflict must touch each such giving-up; the smallest set that touches all of
them and still admits no plan is a smallest conflict.
"""

from collections.abc import Collection, Sequence
from math import inf

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from castworthy.calc.rework.model import Model
from castworthy.calc.rework.problem import (
    SLACK,
    Guard,
    Problem,
    bounds_of,
    build_problem,
    guard_factor,
)
from castworthy.calc.rework.results import Conflict
from castworthy.calc.rework.solve import minimum
from castworthy.calc.rework.words import shortfall

_STILL = SLACK / 10.0


class ConflictSearch:
    """Asks which limits can be kept together, with the deck cut within a span [mm].

    ``low_mm`` 0 admits plans without a deck cut, ``high_mm`` 0 admits only those.
    """

    def __init__(
        self,
        model: Model,
        *,
        guarded: bool = True,
        low_mm: float = 0.0,
        high_mm: float = inf,
    ) -> None:
        """Take the model and the deck cuts that count."""
        self.model = model
        self.bounds = bounds_of(model)
        self.guard = Guard(factor=guard_factor(model) if guarded else 0.0)
        self.low_mm, self.high_mm = low_mm, high_mm

    def smallest(self) -> frozenset[int] | None:
        """A smallest set of bounds no plan keeps together; ``None`` when a plan keeps all.

        Empty when the rules of the work alone leave nothing.
        """
        given_up: list[frozenset[int]] = []
        while True:
            kept = _smallest_hitting(given_up)
            found = [self._given_up(problem) for problem in self.problems(self._others(kept))]
            met = [one for one in found if one is not None]
            if not met:
                return kept
            if any(not one for one in met):
                return None
            given_up += met

    def conflicts(self) -> tuple[Conflict, ...] | None:
        """The smallest conflict in words; ``None`` when a plan keeps every limit."""
        found = self.smallest()
        if found is None:
            return None
        return tuple(self.named(index) for index in sorted(found))

    def problems(self, elastic: Collection[int]) -> Sequence[Problem]:
        """Both branches with the bounds of those numbers elastic and the others held."""
        found: list[Problem] = []
        for cut in (False, True):
            if (cut and self.high_mm <= 0.0) or (not cut and self.low_mm > 0.0):
                continue
            problem = build_problem(
                self.model, bounds=self.bounds, cut=cut, guard=self.guard, elastic=elastic
            )
            if cut:
                problem = problem.with_depth(low_mm=self.low_mm, high_mm=self.high_mm)
            found.append(problem)
        return found

    def give(self, elastic: Collection[int]) -> dict[int, float] | None:
        """How far bounds give way, each in its own unit, when the least is given in all [mm].

        ``None`` when giving way in those bounds does not help.
        """
        best: dict[int, float] | None = None
        least = inf
        for problem in self.problems(elastic):
            aims = _slack_aims(problem)
            x = minimum(problem, aims_ratio=aims)
            if x is None or problem.wholly_broken:
                continue
            total = float(aims @ x)
            if total < least:
                least = total
                best = {
                    index: float(x[column]) * self._scale(index)
                    for index, column in problem.slack.items()
                    if x[column] > _STILL
                }
        return best

    def named(self, index: int) -> Conflict:
        """A bound as a member of a conflict, in words."""
        bound = self.bounds[index]
        return Conflict(
            quantity=bound.quantity,
            place=bound.place,
            bound=bound.side,
            limit=bound.limit,
            reason=shortfall(bound.quantity, place=bound.place, side=bound.side),
        )

    def _others(self, kept: frozenset[int]) -> frozenset[int]:
        return frozenset(range(len(self.bounds))) - kept

    def _scale(self, index: int) -> float:
        row = self.bounds[index].row
        if row is None:
            return 1.0
        return max((abs(k) for k in self.model.rows[row].terms.values()), default=1.0)

    @staticmethod
    def _given_up(problem: Problem) -> frozenset[int] | None:
        x = minimum(problem, aims_ratio=_slack_aims(problem))
        if x is None:
            return None
        broken = {index for index, column in problem.slack.items() if x[column] > _STILL}
        return frozenset(broken | problem.wholly_broken)


def _slack_aims(problem: Problem) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    aims = np.zeros(len(problem.lower))
    aims[list(problem.slack.values())] = 1.0
    return aims


def _smallest_hitting(sets: Sequence[frozenset[int]]) -> frozenset[int]:
    """A smallest set that shares a member with each of the sets."""
    members = sorted(frozenset().union(*sets))
    if not members:
        return frozenset()
    touches = np.array([[float(m in one) for m in members] for one in sets])
    result = milp(
        np.ones(len(members)),
        integrality=np.ones(len(members), dtype=np.uint8),
        bounds=Bounds(0.0, 1.0),
        constraints=LinearConstraint(touches, np.ones(len(sets)), np.inf),
        options={"mip_rel_gap": 0.0},
    )
    chosen = np.asarray(result.x, dtype=np.float64) > 0.5
    return frozenset(m for m, taken in zip(members, chosen, strict=True) if taken)
