"""One branch of the plan (deck cut or none) as a mixed-integer linear problem.

Within a branch the standard uncertainty of every predicted quantity is linear in columns that
say which operations are done, so that limits tightened by it stay linear.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from itertools import product
from math import hypot, inf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components
from scipy.special import ndtri

from castworthy.calc.head import Rule
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.model import Model, Row, Terms, Trigger

SLACK = 1e-6
"""A value this far past its limit still lies on it (1 nm)."""

MOST_MARGIN = 100.0
"""Margins are counted up to this many standard uncertainties; beyond it nothing is at stake."""

Bounds = Collection[int]
"""Indices of bounds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """How far values are kept from their limits, in their own standard uncertainty.

    ``factor`` counts for limits under the guarded rule, ``margin`` for every limit that some
    work can shift, whatever its rule.  With ``pace`` (a standard uncertainty for each row) the
    problem gets a column ``gain``: all those margins grow by ``gain * pace``.
    """

    factor: float
    margin: float = 0.0
    pace: Mapping[int, float] | None = None


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
    ``gain`` is the column by which margins grow, ``slack`` the column by which an elastic bound
    gives way; ``wholly_broken`` are elastic bounds that nothing in this branch keeps.
    ``column_blocks`` and ``row_blocks`` number the parts that hang together by the deck cut
    only (-1: the deck itself).
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
    guard_factor: float
    gain: int | None
    slack: Mapping[int, int]
    wholly_broken: frozenset[int]
    impossible: bool
    column_blocks: NDArray[np.intp]
    row_blocks: NDArray[np.intp]

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
    guard: Guard,
    kept: Bounds | None = None,
    elastic: Bounds = (),
) -> Problem:
    """Lay the bounds over the model for one branch.

    ``kept`` are the bounds laid on (all by default), ``elastic`` those of them that may give
    way.
    """
    layer = _Layer(model, cut=cut, guard=guard)
    for index in range(len(bounds)) if kept is None else sorted(kept):
        layer.lay(index, bounds[index], elastic=index in elastic)
    return layer.problem()


class _Layer:
    def __init__(self, model: Model, *, cut: bool, guard: Guard) -> None:
        columns = model.columns
        self.model = model
        self.cut = cut
        self.guard = guard
        self.lower, self.upper = list(columns.lower), list(columns.upper)
        self.integer, self.cost = list(columns.integer), list(columns.cost)
        self.rows: list[tuple[Terms, float, float]] = []
        self.spreads: dict[int, Spread] = {}
        self.slack: dict[int, int] = {}
        self.broken: set[int] = set()
        self.impossible = False
        self.gain: int | None = None
        self.nested = {
            used: (valve, step)
            for valve, v in model.valves.items()
            for step, used in enumerate((v.seat_used, v.face_used))
        }
        self._set_branch()
        if guard.pace is not None:
            self.gain = self.column(MOST_MARGIN)
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
        shifts = movable(self.model, row=row)
        k = self.factor(row, shifts=shifts)
        if k > 0.0:
            spread = self.spread(bound.row)
            room -= k * spread.least
            for step in spread.steps:
                terms[step.column] = terms.get(step.column, 0.0) + k * step.adds
        if self.gain is not None and self.guard.pace is not None and shifts:
            terms[self.gain] = self.guard.pace[bound.row]
        if -SLACK <= room < 0.0:
            room = 0.0
        if elastic:
            self.slack[index] = self.column(inf)
            terms[self.slack[index]] = -max((abs(k) for k in row.terms.values()), default=1.0)
        self.rows.append((terms, -inf, room))

    def factor(self, row: Row, *, shifts: bool) -> float:
        guarded = row.limit is not None and row.limit.rule is Rule.GUARDED
        return max(self.guard.factor if guarded else 0.0, self.guard.margin if shifts else 0.0)

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

    def problem(self) -> Problem:
        cost = {c: k for c, k in enumerate(self.cost) if k}
        self.rows.append((cost, -inf, inf))
        starts = np.cumsum([0, *(len(terms) for terms, _, _ in self.rows)])
        columns = [c for terms, _, _ in self.rows for c in terms]
        values = [k for terms, _, _ in self.rows for k in terms.values()]
        matrix = csr_array((values, columns, starts), shape=(len(self.rows), len(self.lower)))
        integer = np.array(self.integer)
        column_blocks, row_blocks = self._blocks(matrix)
        return Problem(
            matrix=matrix,
            row_low=np.array([low for _, low, _ in self.rows]),
            row_high=np.array([high for _, _, high in self.rows]),
            lower=np.array(self.lower),
            upper=np.array(self.upper),
            integer=integer,
            cost=np.array(self.cost),
            cost_row=len(self.rows) - 1,
            choices=integer & (np.arange(len(integer)) < len(self.model.columns.cost)),
            depth=self.model.deck.depth,
            cut=self.cut,
            guard_factor=self.guard.factor,
            gain=self.gain,
            slack=self.slack,
            wholly_broken=frozenset(self.broken),
            impossible=self.impossible,
            column_blocks=column_blocks,
            row_blocks=row_blocks,
        )

    def _blocks(self, matrix: csr_array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Which columns and rows hang together once the deck cut is decided."""
        deck = self.model.deck
        shared = [c for c in (deck.used, deck.depth, deck.a, deck.b, self.gain) if c is not None]
        own = np.ones(matrix.shape[1], dtype=np.bool_)
        own[shared] = False
        links = matrix[: len(self.rows) - 1].tocoo()
        mine = own[links.col]
        rows, columns = links.row[mine], links.col[mine]
        count = matrix.shape[1]
        graph = csr_array(
            (np.ones(len(rows)), (rows + count, columns)),
            shape=(count + matrix.shape[0], count + matrix.shape[0]),
        )
        _, labels = connected_components(graph, directed=False)
        column_blocks = np.where(own, labels[:count], -1)
        row_blocks = np.full(matrix.shape[0], -1)
        row_blocks[rows] = labels[:count][columns]
        return column_blocks, row_blocks
