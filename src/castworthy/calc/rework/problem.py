"""One branch of the plan (deck cut or none) as a mixed-integer linear problem.

Within a branch the standard uncertainty of every predicted quantity is linear in columns that
say which operations are done, so that limits tightened by it stay linear.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import product
from math import hypot, inf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.special import ndtri

from castworthy.calc.head import Rule
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.model import Model, Row, Terms, Trigger

SLACK = 1e-6
"""A value this far past its limit still lies on it (1 nm)."""

MOST_MARGIN = 100.0
"""Largest margin counted where nothing on a head has an uncertainty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """One side of one limit; ``row`` or ``trigger`` says how the plan keeps it."""

    quantity: Quantity
    place: str
    side: str
    limit: float
    row: int | None = None
    trigger: Trigger | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The uncertainty a row reaches once ``column`` is 1, and what that adds to the row's."""

    column: int
    adds: float
    reaches: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A row's standard uncertainty: ``least + sum of step.adds * column``."""

    least: float
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Problem:
    """``row_low <= matrix @ x <= row_high``, ``lower <= x <= upper``, some columns integer.

    ``cost`` is the price of each column, ``cost_row`` the row that holds the plan's cost and
    ``choices`` the integer columns that are work (others only pick an uncertainty).
    ``margin`` is the column of the smallest margin, ``slack`` the column by which an elastic
    bound gives way; ``wholly_broken`` are elastic bounds that nothing in this branch keeps.
    """

    matrix: csr_array
    row_low: NDArray[np.float64]
    row_high: NDArray[np.float64]
    lower: NDArray[np.float64]
    upper: NDArray[np.float64]
    integer: NDArray[np.bool_]
    cost: NDArray[np.float64]
    cost_row: int
    choices: NDArray[np.bool_]
    depth: int
    cut: bool
    spreads: Mapping[int, Spread]
    margin: int | None
    slack: Mapping[int, int]
    wholly_broken: frozenset[int]
    impossible: bool

    def with_depth(self, *, low_mm: float, high_mm: float) -> "Problem":
        """The same problem with the deck cut held within a span [mm]."""
        lower, upper = self.lower.copy(), self.upper.copy()
        lower[self.depth] = max(lower[self.depth], low_mm)
        upper[self.depth] = min(upper[self.depth], high_mm)
        empty = lower[self.depth] > upper[self.depth] + SLACK
        lower[self.depth] = min(lower[self.depth], upper[self.depth])
        return replace(self, lower=lower, upper=upper, impossible=self.impossible or empty)

    def with_column(self, column: int, *, low: float = -inf, high: float = inf) -> "Problem":
        """The same problem with one column held tighter."""
        lower, upper = self.lower.copy(), self.upper.copy()
        lower[column] = max(lower[column], low)
        upper[column] = min(upper[column], high)
        return replace(self, lower=lower, upper=upper)

    def with_cost(self, *, high: float) -> "Problem":
        """The same problem at no more than that cost."""
        row_high = self.row_high.copy()
        row_high[self.cost_row] = min(row_high[self.cost_row], high)
        return replace(self, row_high=row_high)


def guard_factor(model: Model) -> float:
    """The normal quantile of the sheet's confidence: standard uncertainties kept from a limit."""
    return float(ndtri(model.sheet.work.confidence_probability))


def bounds_of(model: Model) -> tuple[Bound, ...]:
    """Every side of every limit the plan must keep."""
    found: list[Bound] = []
    for index, row in enumerate(model.rows):
        if row.limit is None:
            continue
        for side, limit in (("low", row.limit.low), ("high", row.limit.high)):
            if limit is not None:
                found.append(
                    Bound(quantity=row.quantity, place=row.place, side=side, limit=limit, row=index)
                )
    found += [
        Bound(quantity=t.quantity, place=t.place, side=t.bound, limit=t.limit, trigger=t)
        for t in model.triggers
    ]
    return tuple(found)


def movable(model: Model, *, row: Row) -> bool:
    """True when something the plan may choose shifts the row."""
    columns = model.columns
    return any(columns.upper[c] > columns.lower[c] for c in row.terms)


def build_problem(
    model: Model,
    *,
    bounds: tuple[Bound, ...],
    cut: bool,
    guarded: bool = True,
    kept: Collection[int] | None = None,
    elastic: Collection[int] = (),
    with_margin: bool = False,
) -> Problem:
    """Lay the bounds over the model for one branch.

    ``kept`` are the bounds laid on (all by default), ``elastic`` those of them that may give
    way; ``with_margin`` adds the smallest margin as a column.
    """
    layer = _Layer(model, cut=cut, guarded=guarded)
    chosen = range(len(bounds)) if kept is None else sorted(kept)
    for index in chosen:
        layer.lay(index, bounds[index], elastic=index in elastic)
    if with_margin:
        layer.add_margin([bounds[index] for index in chosen])
    return layer.problem()


class _Layer:
    def __init__(self, model: Model, *, cut: bool, guarded: bool) -> None:
        columns = model.columns
        self.model = model
        self.cut = cut
        self.k = guard_factor(model) if guarded else 0.0
        self.lower, self.upper = list(columns.lower), list(columns.upper)
        self.integer, self.cost = list(columns.integer), list(columns.cost)
        self.rows: list[tuple[Terms, float, float]] = []
        self.spreads: dict[int, Spread] = {}
        self.slack: dict[int, int] = {}
        self.broken: set[int] = set()
        self.impossible = False
        self.margin: int | None = None
        self.nested = {
            used: (valve, step)
            for valve, v in model.valves.items()
            for step, used in enumerate((v.seat_used, v.face_used))
        }
        self._set_branch()
        for rule in (*model.work_rows, *(model.cut_rows if cut else ())):
            self.rows.append((rule.terms, rule.low, rule.high))

    def _set_branch(self) -> None:
        deck = self.model.deck
        self.lower[deck.used] = self.upper[deck.used] = 1.0 if self.cut else 0.0
        if not self.cut:
            for column in (deck.depth, deck.a, deck.b):
                if column is not None:
                    self.lower[column] = self.upper[column] = 0.0

    def column(self, upper: float, *, integer: bool = False) -> int:
        self.lower.append(0.0)
        self.upper.append(upper)
        self.integer.append(integer)
        self.cost.append(0.0)
        return len(self.lower) - 1

    def lay(self, index: int, bound: Bound, *, elastic: bool) -> None:
        if bound.row is None:
            self._lay_trigger(index, bound, elastic=elastic)
            return
        row = self.model.rows[bound.row]
        sign = 1.0 if bound.side == "high" else -1.0
        terms = {column: sign * k for column, k in row.terms.items()}
        room = sign * (bound.limit - row.value)
        if row.limit is not None and row.limit.rule is Rule.GUARDED and self.k > 0.0:
            spread = self.spread(bound.row)
            room -= self.k * spread.least
            for step in spread.steps:
                terms[step.column] = terms.get(step.column, 0.0) + self.k * step.adds
        if -SLACK <= room < 0.0:
            room = 0.0
        if elastic:
            self.slack[index] = self.column(inf)
            terms[self.slack[index]] = -max((abs(k) for k in row.terms.values()), default=1.0)
        self.rows.append((terms, -inf, room))

    def _lay_trigger(self, index: int, bound: Bound, *, elastic: bool) -> None:
        column = None if bound.trigger is None else bound.trigger.column
        if column is None or self.upper[column] < 1.0:
            if elastic:
                self.broken.add(index)
            else:
                self.impossible = True
        elif elastic:
            self.slack[index] = self.column(1.0)
            self.rows.append(({column: 1.0, self.slack[index]: 1.0}, 1.0, inf))
        else:
            self.lower[column] = 1.0

    def spread(self, index: int) -> Spread:
        if index not in self.spreads:
            self.spreads[index] = self._spread(self.model.rows[index])
        return self.spreads[index]

    def _spread(self, row: Row) -> Spread:
        least = row.u or 0.0
        parts: list[tuple[int, float]] = []
        for column, u in row.spread:
            if column == self.model.deck.used:
                least = hypot(least, u) if self.cut else least
            else:
                parts.append((column, u * u))
        if len({self.nested[column][0] for column, _ in parts}) > 1:
            return self._spread_by_level(least, parts)
        steps: list[Step] = []
        reached = least
        for column, variance in sorted(parts, key=lambda part: self.nested[part[0]][1]):
            higher = sqrt(reached**2 + variance)
            steps.append(Step(column=column, adds=higher - reached, reaches=higher))
            reached = higher
        return Spread(least=least, steps=tuple(steps))

    def _spread_by_level(self, least: float, parts: list[tuple[int, float]]) -> Spread:
        """One column per distinct sum of the parts chosen; exactly one of them is 1."""
        groups: dict[float, list[int]] = {}
        for column, variance in parts:
            groups.setdefault(round(variance, 15), []).append(column)
        steps: list[Step] = []
        one: Terms = {}
        counts: list[Terms] = [dict.fromkeys(columns, -1.0) for columns in groups.values()]
        for chosen in product(*(range(len(columns) + 1) for columns in groups.values())):
            extra = sum(n * variance for n, variance in zip(chosen, groups, strict=True))
            reached = sqrt(least**2 + extra)
            level = self.column(1.0, integer=True)
            one[level] = 1.0
            for terms, n in zip(counts, chosen, strict=True):
                if n:
                    terms[level] = float(n)
            if reached > least:
                steps.append(Step(column=level, adds=reached - least, reaches=reached))
        self.rows.append((one, 1.0, 1.0))
        self.rows += [(terms, 0.0, 0.0) for terms in counts]
        return Spread(least=least, steps=tuple(steps))

    def add_margin(self, bounds: Iterable[Bound]) -> None:
        """``x + margin * u <= limit`` at every uncertainty ``u`` the row can have."""
        laid = [
            bound
            for bound in bounds
            if bound.row is not None and movable(self.model, row=self.model.rows[bound.row])
        ]
        most = min((self._most_margin(b) for b in laid), default=MOST_MARGIN)
        self.margin = self.column(most)
        for bound in laid:
            self._lay_margin(bound, most)

    def _lay_margin(self, bound: Bound, most: float) -> None:
        if bound.row is None or self.margin is None:
            return
        row = self.model.rows[bound.row]
        spread = self.spread(bound.row)
        sign = 1.0 if bound.side == "high" else -1.0
        room = sign * (bound.limit - row.value)
        base = {column: sign * k for column, k in row.terms.items()}
        if spread.least > 0.0:
            self.rows.append(({**base, self.margin: spread.least}, -inf, room))
        for step in spread.steps:
            loose = most * (step.reaches - spread.least)
            terms = {**base, self.margin: step.reaches}
            terms[step.column] = terms.get(step.column, 0.0) + loose
            self.rows.append((terms, -inf, room + loose))

    def _most_margin(self, bound: Bound) -> float:
        if bound.row is None:
            return MOST_MARGIN
        row = self.model.rows[bound.row]
        u = self.spread(bound.row).least
        if u == 0.0:
            return MOST_MARGIN
        sign = 1.0 if bound.side == "high" else -1.0
        best = -sign * row.value + sum(
            max(-sign * k * self.lower[c], -sign * k * self.upper[c]) for c, k in row.terms.items()
        )
        limit = row.limit
        most = (best + sign * bound.limit) / u
        if limit is not None and limit.low is not None and limit.high is not None:
            most = min(most, (limit.high - limit.low) / 2.0 / u)
        return min(max(most, 0.0), MOST_MARGIN)

    def problem(self) -> Problem:
        cost = {c: k for c, k in enumerate(self.cost) if k}
        self.rows.append((cost, -inf, inf))
        starts = np.cumsum([0, *(len(terms) for terms, _, _ in self.rows)])
        columns = [c for terms, _, _ in self.rows for c in terms]
        values = [k for terms, _, _ in self.rows for k in terms.values()]
        shape = (len(self.rows), len(self.lower))
        return Problem(
            matrix=csr_array((values, columns, starts), shape=shape),
            row_low=np.array([low for _, low, _ in self.rows]),
            row_high=np.array([high for _, _, high in self.rows]),
            lower=np.array(self.lower),
            upper=np.array(self.upper),
            integer=np.array(self.integer),
            cost=np.array(self.cost),
            cost_row=len(self.rows) - 1,
            choices=np.array(self.integer)
            & (np.arange(len(self.lower)) < len(self.model.columns.cost)),
            depth=self.model.deck.depth,
            cut=self.cut,
            spreads=self.spreads,
            margin=self.margin,
            slack=self.slack,
            wholly_broken=frozenset(self.broken),
            impossible=self.impossible,
        )
