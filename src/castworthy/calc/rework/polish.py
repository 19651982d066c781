"""Settles what costs nothing: the least tilt, then every value as near its aim as the work allows.

The operations, their number, the deck cut and the objective stay as they were found.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, eye_array, hstack, vstack

from castworthy.calc.rework.model import Model, Row, Terms, u_of
from castworthy.calc.rework.problem import Problem
from castworthy.calc.rework.solve import Answer

_AIM, _MIDDLE, _NEAR_LIMIT, _METAL = 3.0, 1.0, 10.0, 1e-3
_CLEAR = 0.6
_LEAST_HALF = 1e-3
_DIGITS = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class _Target:
    """Where a sum of terms should come to lie, how far off it may lie free, what more costs."""

    terms: Terms
    goal: float
    weight: float
    free: float = 0.0


def polished(model: Model, *, answer: Answer) -> NDArray[np.float64]:
    """The choice of an answer with its free amounts settled, rounded to 1e-9 mm.

    References
    ----------
    No outside source.

    """
    x, problem = answer.x, answer.problem
    depth = float(x[problem.depth])
    problem = problem.with_depth(low_mm=depth, high_mm=depth)
    deck = model.deck
    if problem.cut and deck.a is not None and deck.b is not None:
        level = [_Target(terms={c: 1.0}, goal=0.0, weight=1.0) for c in (deck.a, deck.b)]
        x = _settled(problem, x, level)
        for column in (deck.a, deck.b):
            tilt = float(x[column])
            problem = problem.with_column(column, low=tilt, high=tilt)
    x = _settled(problem, x, [*_aims(model, answer=answer), *_metal(model)])
    return np.round(x, _DIGITS) + 0.0


def _aims(model: Model, *, answer: Answer) -> Iterable[_Target]:
    """Each value to its aim, or else the middle of its span; none into the outer parts of it.

    Distances count in half guarded spans.  What follows from another reading has no aim of its
    own.
    """
    for row in model.rows:
        limit = row.limit
        if limit is None:
            continue
        scale = max((abs(k) for k in row.terms.values()), default=1.0)
        half = scale
        if limit.low is not None and limit.high is not None:
            guard = answer.guard_factor * u_of(row, x=answer.x)
            half = (limit.high - limit.low) / 2.0
            half = half - guard if half > 2.0 * guard else half
            half = max(half, _LEAST_HALF * scale)
            middle = (limit.low + limit.high) / 2.0
            yield _target(row, middle, _NEAR_LIMIT, half, free=_CLEAR)
            if limit.aim is None and row.rests_on == (row.quantity, row.place):
                yield _target(row, middle, _MIDDLE, half)
        if limit.aim is not None:
            yield _target(row, limit.aim, _AIM, half)


def _target(row: Row, goal: float, weight: float, half: float, *, free: float = 0.0) -> _Target:
    terms = {column: k / half for column, k in row.terms.items()}
    return _Target(terms=terms, goal=(goal - row.value) / half, weight=weight, free=free)


def _metal(model: Model) -> Iterable[_Target]:
    for v in model.valves.values():
        for column in (v.seat, v.face, v.tip):
            yield _Target(terms={column: 1.0}, goal=0.0, weight=_METAL)


def _settled(
    problem: Problem, x: NDArray[np.float64], targets: Sequence[_Target]
) -> NDArray[np.float64]:
    """Move the free amounts to the least weighted distance from the targets."""
    free = np.flatnonzero(~problem.integer & (problem.upper > problem.lower))
    held = x.copy()
    held[free] = 0.0
    part = problem.matrix[:, free]
    shift = problem.matrix @ held
    used = np.flatnonzero(np.diff(part.indptr))
    index = {int(column): i for i, column in enumerate(free)}
    near = [t for t in targets if any(column in index for column in t.terms)]
    if not near or not len(free):
        return x
    sums = _sums(near, index)
    free_span = np.array([t.free for t in near])
    goals = np.array([t.goal - sum(k * held[c] for c, k in t.terms.items()) for t in near])
    off = eye_array(len(near), format="csr")
    none = csr_array((len(used), len(near)))
    matrix = vstack((hstack((part[used], none)), hstack((sums, -off)), hstack((sums, off))))
    open_end = np.full(len(near), np.inf)
    result = milp(
        np.concatenate((np.zeros(len(free)), [t.weight for t in near])),
        bounds=Bounds(
            np.concatenate((problem.lower[free], np.zeros(len(near)))),
            np.concatenate((problem.upper[free], open_end)),
        ),
        constraints=LinearConstraint(
            matrix.tocsr(),
            np.concatenate(((problem.row_low - shift)[used], -open_end, goals - free_span)),
            np.concatenate(((problem.row_high - shift)[used], goals + free_span, open_end)),
        ),
    )
    if result.status != 0:
        return x
    moved = held
    moved[free] = result.x[: len(free)]
    return moved


def _sums(targets: Sequence[_Target], index: dict[int, int]) -> csr_array:
    rows, columns, values = [], [], []
    for i, target in enumerate(targets):
        for column, k in target.terms.items():
            if column in index:
                rows.append(i)
                columns.append(index[column])
                values.append(k)
    return csr_array((values, (rows, columns)), shape=(len(targets), len(index)))
