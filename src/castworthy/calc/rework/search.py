"""Looks for the plan that is best by an objective, over both branches: no deck cut, deck cut."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, partial
from math import inf

from castworthy.calc.rework.model import Model
from castworthy.calc.rework.problem import (
    Bound,
    Guard,
    Problem,
    build_problem,
    guard_factor,
)
from castworthy.calc.rework.results import Objective
from castworthy.calc.rework.solve import Answer, Stage, best, farthest, minimum
from castworthy.calc.rework.surest import MarginSearch

STAGES = {
    Objective.COST: (Stage.COST, Stage.DEPTH, Stage.WORK),
    Objective.DECK: (Stage.DEPTH, Stage.COST, Stage.WORK),
    Objective.SUREST: (Stage.COST, Stage.DEPTH, Stage.WORK),
}
"""What each objective is best at, in order; the surest is so among plans of the widest margin."""

_CHEAPER = 1e-5
"""How much cheaper a deck cut must be to count: ten times the solver's own tolerance."""
_SAME = 1e-7


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
        self.factor = guard_factor(model) if guarded else 0.0
        self.fixed_mm = fixed_mm

    @cached_property
    def no_cut(self) -> Problem:
        """The branch without a deck cut."""
        return self._lay(Guard(factor=self.factor), cut=False)

    @cached_property
    def with_cut(self) -> Problem:
        """The branch with a deck cut."""
        return self._lay(Guard(factor=self.factor), cut=True)

    @cached_property
    def stays(self) -> bool:
        """True when some plan without a deck cut keeps every limit."""
        return minimum(self.no_cut, aims_ratio=self.no_cut.cost) is not None

    @cached_property
    def shallowest_mm(self) -> float | None:
        """The least deck cut with which some plan keeps every limit; ``None`` when none does."""
        aims = self.with_cut.cost * 0.0
        aims[self.with_cut.depth] = 1000.0
        x = minimum(self.with_cut, aims_ratio=aims)
        return None if x is None else float(x[self.with_cut.depth])

    @cached_property
    def span(self) -> Span | None:
        """The span of deck cuts, or ``None`` when no plan keeps every limit."""
        deepest = farthest(self.with_cut, column=self.with_cut.depth)
        if self.stays:
            return Span(low_mm=0.0, high_mm=deepest or 0.0)
        if self.shallowest_mm is None or deepest is None:
            return None
        return Span(low_mm=self.shallowest_mm, high_mm=max(deepest, self.shallowest_mm))

    def answer(self, objective: Objective) -> Answer | None:
        """The best plan by an objective, or ``None`` when no plan keeps every limit."""
        margin = self.margin if objective is Objective.SUREST else 0.0
        if margin is None:
            return None
        guard = Guard(factor=self.factor, margin=max(margin - _SAME, 0.0))
        found: Answer | None = None
        for cut in self._branches():
            if objective is Objective.DECK and found is not None:
                break
            problem = self._at_depth(guard, cut=cut)
            if found is not None:
                problem = problem.with_cost(high=found.reached[0] - _CHEAPER)
            other = best(problem, stages=STAGES[objective], floor_mm=self._floor_mm)
            if other is not None and (found is None or other.reached[0] < found.reached[0] - _SAME):
                found = other
        return found

    @property
    def margin(self) -> float | None:
        """The widest smallest margin of any plan; ``None`` when there is no plan at all."""
        search = MarginSearch(self.model, bounds=self.bounds, factor=self.factor)
        widest: float | None = None
        for cut in self._branches():
            beat = 0.0 if widest is None else widest + _CHEAPER / 10.0
            lay = partial(self._at_depth, cut=cut)
            found = search.widest(lay, beat=beat)
            widest = widest if found is None else found
        return widest

    @property
    def _floor_mm(self) -> float:
        """A deck cut nothing can undercut, where that is known already."""
        known = "shallowest_mm" in self.__dict__ and self.shallowest_mm is not None
        return self.shallowest_mm or -inf if known else -inf

    def _branches(self) -> Iterable[bool]:
        if not self.fixed_mm:
            yield False
        if self.fixed_mm is None or self.fixed_mm > 0.0:
            yield True

    def _at_depth(self, guard: Guard, *, cut: bool) -> Problem:
        problem = self.with_cut if cut else self.no_cut
        if guard.margin > 0.0 or guard.pace is not None:
            problem = self._lay(guard, cut=cut)
        if cut and self.fixed_mm is not None:
            return problem.with_depth(low_mm=self.fixed_mm, high_mm=self.fixed_mm)
        return problem

    def _lay(self, guard: Guard, *, cut: bool) -> Problem:
        return build_problem(self.model, bounds=self.bounds, cut=cut, guard=guard)
