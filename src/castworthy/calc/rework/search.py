"""Looks for the plan that is best by an objective, over both branches: no deck cut, deck cut."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from math import inf

from castworthy.calc.rework.model import Model
from castworthy.calc.rework.problem import SLACK, Bound, Problem, build_problem
from castworthy.calc.rework.results import Objective
from castworthy.calc.rework.solve import Answer, Stage, best, minimum

STAGES = {
    Objective.COST: (Stage.COST, Stage.DEPTH, Stage.WORK),
    Objective.DECK: (Stage.DEPTH, Stage.COST, Stage.WORK),
    Objective.SUREST: (Stage.MARGIN, Stage.COST, Stage.DEPTH, Stage.WORK),
}
"""What each objective is best at, in order."""

_TIE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The least and the most deck cut with which some plan keeps every limit [mm]."""

    low_mm: float
    high_mm: float


class Search:
    """One head's plans under guarded or bare limits, with the deck cut free or fixed [mm]."""

    def __init__(
        self,
        model: Model,
        *,
        bounds: tuple[Bound, ...],
        guarded: bool = True,
        fixed_mm: float | None = None,
    ) -> None:
        """Lay nothing out yet: each branch is built when it is first asked for."""
        self.model = model
        self.bounds = bounds
        self.guarded = guarded
        self.fixed_mm = fixed_mm

    @cached_property
    def no_cut(self) -> Problem:
        """The branch without a deck cut."""
        return self._built(cut=False)

    @cached_property
    def with_cut(self) -> Problem:
        """The branch with a deck cut."""
        return self._built(cut=True)

    @cached_property
    def span(self) -> Span | None:
        """The span of deck cuts, or ``None`` when no plan keeps every limit."""
        stays = self._depth(self.no_cut, deepest=False)
        least = self._depth(self.with_cut, deepest=False)
        if least is None:
            return None if stays is None else Span(low_mm=0.0, high_mm=0.0)
        most = self._depth(self.with_cut, deepest=True)
        high = least if most is None else max(most, least)
        return Span(low_mm=least if stays is None else 0.0, high_mm=high)

    def answer(self, objective: Objective) -> Answer | None:
        """The best plan by an objective, or ``None`` when no plan keeps every limit."""
        found: Answer | None = None
        for problem in self._branches(with_margin=objective is Objective.SUREST):
            if objective is Objective.DECK and found is not None:
                break
            if objective is Objective.COST and found is not None:
                problem = problem.with_cost(high=found.reached[0] - _TIE)
            other = best(problem, stages=STAGES[objective])
            if other is not None and (found is None or _better(other.reached, found.reached)):
                found = other
        return found

    def _branches(self, *, with_margin: bool) -> Iterable[Problem]:
        if self.fixed_mm is None or self.fixed_mm == 0.0:
            yield self._built(cut=False, with_margin=True) if with_margin else self.no_cut
        if self.fixed_mm is None or self.fixed_mm > 0.0:
            problem = self._built(cut=True, with_margin=True) if with_margin else self.with_cut
            if self.fixed_mm is not None:
                yield problem.with_depth(low_mm=self.fixed_mm, high_mm=self.fixed_mm)
            elif self.span is not None:
                low = self.span.low_mm - SLACK if self.span.low_mm > 0.0 else -inf
                yield problem.with_depth(low_mm=low, high_mm=self.span.high_mm + SLACK)

    def _built(self, *, cut: bool, with_margin: bool = False) -> Problem:
        return build_problem(
            self.model, bounds=self.bounds, cut=cut, guarded=self.guarded, with_margin=with_margin
        )

    @staticmethod
    def _depth(problem: Problem, *, deepest: bool) -> float | None:
        aims = problem.cost * 0.0
        aims[problem.depth] = -1000.0 if deepest else 1000.0
        x = minimum(problem, aims=aims)
        return None if x is None else float(x[problem.depth])


def _better(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    for mine, theirs in zip(one, other, strict=True):
        if abs(mine - theirs) > _TIE:
            return mine < theirs
    return False
