"""Runs the solver, and takes objectives one after the other."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

from castworthy.calc.rework.problem import Problem

_OPTIMAL, _INFEASIBLE = 0, 2
_DEPTH_SCALE = 1000.0
_SAME = 1e-7
"""A later objective may cost an earlier one this much (nm, or 1e-7 of the price unit)."""

Column = int
"""Index of a column."""


class SolverStoppedError(RuntimeError):
    """The solver neither found the optimum nor proved that there is none."""


class Stage(StrEnum):
    """One thing to be best at; a plan goes through several in order."""

    COST = "cost"
    DEPTH = "depth"
    WORK = "number of operations"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """Where a branch ends: what is chosen, the values reached, and the problem held to them."""

    x: NDArray[np.float64]
    reached: tuple[float, ...]
    problem: Problem

    @property
    def guard_factor(self) -> float:
        """How many standard uncertainties guarded limits are kept at."""
        return self.problem.guard_factor


def minimum(problem: Problem, *, aims_ratio: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """The choice with the least ``aims_ratio @ x``, or ``None`` when there is none at all.

    Parameters
    ----------
    problem : Problem
        The problem.
    aims_ratio : (n,) array
        Weight of each column.

    Returns
    -------
    (n,) array or None
        Integer columns are whole; the others are optimal for them.

    Raises
    ------
    SolverStoppedError
        If the solver gives up.

    References
    ----------
    HiGHS through ``scipy.optimize.milp``, gap 0.

    """
    if problem.impossible:
        return None
    blocks = problem.column_blocks
    rest = np.clip(0.0, problem.lower, problem.upper)
    active = {-1, *blocks[(rest != 0.0) | (aims_ratio < 0.0)].tolist()}
    while True:
        x = _partly(problem, aims_ratio, rest=rest, active=np.array(sorted(active)))
        if x is None:
            return None
        broken = set(problem.row_blocks[_broken_rows(problem, x)].tolist()) - active
        if not broken:
            return x
        active |= broken


def farthest(problem: Problem, *, column: Column) -> float | None:
    """The largest value a continuous column can take, or ``None`` when nothing is possible.

    The bound of the relaxed problem is tried first: it mostly holds.

    Parameters
    ----------
    problem : Problem
        The problem.
    column : Column
        Index of the column.

    References
    ----------
    HiGHS through ``scipy.optimize.milp``.

    """
    aims = np.zeros(len(problem.lower))
    aims[column] = -1000.0
    relaxed = minimum(replace(problem, integer=np.zeros_like(problem.integer)), aims_ratio=aims)
    if relaxed is None:
        return None
    most = float(relaxed[column])
    if minimum(problem.with_column(column, low=most), aims_ratio=problem.cost) is not None:
        return most
    x = minimum(problem.with_column(column, high=most + _SAME), aims_ratio=aims)
    return None if x is None else float(x[column])


def best(problem: Problem, *, stages: Sequence[Stage], floor_mm: float = -inf) -> Answer | None:
    """The best choice by the first stage, among those by the second, and so on.

    Parameters
    ----------
    problem : Problem
        The problem.
    stages : sequence of Stage
        What to be best at.
    floor_mm : float
        A deck cut known to be the least possible [mm].

    References
    ----------
    Lexicographic optimisation, each stage held while the next is sought; no outside source.

    """
    reached: list[float] = []
    x: NDArray[np.float64] | None = None
    for stage in stages:
        found = x
        if x is None or not _settled(problem, stage, x, floor_mm):
            found = minimum(problem, aims_ratio=_weights(problem, stage))
        if found is None:
            if x is None:
                return None
            found = x
        x = found
        reached.append(_value(problem, stage, x))
        problem = _held(problem, stage, reached[-1])
    return None if x is None else Answer(x=x, reached=tuple(reached), problem=problem)


def _broken_rows(problem: Problem, x: NDArray[np.float64]) -> NDArray[np.bool_]:
    sums = problem.matrix @ x
    broken: NDArray[np.bool_] = (sums < problem.row_low - _SAME) | (sums > problem.row_high + _SAME)
    return broken


def _partly(
    problem: Problem,
    aims: NDArray[np.float64],
    *,
    rest: NDArray[np.float64],
    active: NDArray[np.intp],
) -> NDArray[np.float64] | None:
    """The best choice when only the active blocks may work and only their rows count.

    A block at rest adds nothing to the objective, so this is a bound on the whole problem;
    where the rows of the blocks at rest hold as well, it is the optimum of the whole.
    """
    columns = np.isin(problem.column_blocks, active)
    rows = np.flatnonzero(np.isin(problem.row_blocks, active))
    x = rest.copy()
    part = problem.matrix[rows][:, np.flatnonzero(columns)]
    shift = np.zeros(len(rows))
    if not columns.all():
        x[columns] = 0.0
        shift = (problem.matrix @ x)[rows]
    integer = problem.integer[columns]
    result = milp(
        aims[columns],
        integrality=integer.astype(np.uint8),
        bounds=Bounds(problem.lower[columns], problem.upper[columns]),
        constraints=LinearConstraint(
            part, problem.row_low[rows] - shift, problem.row_high[rows] - shift
        ),
        options={"mip_rel_gap": 0.0},
    )
    if result.status == _INFEASIBLE:
        return None
    if result.status != _OPTIMAL:
        raise SolverStoppedError(f"The solver stopped on the rework plan: {result.message}")
    found = np.asarray(result.x, dtype=np.float64)
    x[columns] = np.where(integer, np.round(found), found)
    free = columns & ~problem.integer & (problem.upper > problem.lower)
    if problem.integer.any() and free.any() and aims[free].any():
        return _held_whole(problem, x, free=free, aims=aims, rows=rows)
    return x


def _held_whole(
    problem: Problem,
    x: NDArray[np.float64],
    *,
    free: NDArray[np.bool_],
    aims: NDArray[np.float64],
    rows: NDArray[np.intp],
) -> NDArray[np.float64]:
    """Move only the free columns of a choice to the least ``aims @ x``.

    Parameters
    ----------
    problem : Problem
        The problem.
    x : (n,) array
        A choice that keeps every row.
    free : (n,) array
        Which columns may move.
    aims : (n,) array
        Weight of each column.
    rows : (m,) array
        The rows that count.

    References
    ----------
    HiGHS through ``scipy.optimize.milp``.

    """
    held = np.where(free, 0.0, x)
    part = problem.matrix[rows][:, np.flatnonzero(free)]
    used = np.flatnonzero(np.diff(part.indptr))
    shift = (problem.matrix @ held)[rows][used]
    result = milp(
        aims[free],
        bounds=Bounds(problem.lower[free], problem.upper[free]),
        constraints=LinearConstraint(
            part[used], problem.row_low[rows][used] - shift, problem.row_high[rows][used] - shift
        ),
    )
    if result.status != _OPTIMAL:
        return x
    moved = held
    moved[free] = result.x
    return moved


def _weights(problem: Problem, stage: Stage) -> NDArray[np.float64]:
    aims = np.zeros(len(problem.lower))
    match stage:
        case Stage.COST:
            aims[:] = problem.cost
        case Stage.DEPTH:
            aims[problem.depth] = _DEPTH_SCALE
        case Stage.WORK:
            aims[problem.choices] = 1.0
        case _:
            pass
    return aims


def _value(problem: Problem, stage: Stage, x: NDArray[np.float64]) -> float:
    value = float(_weights(problem, stage) @ x)
    return value / _DEPTH_SCALE if stage is Stage.DEPTH else value


def _held(problem: Problem, stage: Stage, value: float) -> Problem:
    match stage:
        case Stage.COST:
            return problem.with_cost(high=value + _SAME * max(1.0, abs(value)))
        case Stage.DEPTH:
            return problem.with_depth(low_mm=-inf, high_mm=value)
        case _:
            return problem


def _settled(problem: Problem, stage: Stage, x: NDArray[np.float64], floor_mm: float) -> bool:
    """True when a stage cannot better what is already reached."""
    if stage is Stage.DEPTH:
        least = max(float(problem.lower[problem.depth]), floor_mm)
        return bool(x[problem.depth] <= least + _SAME / 100.0)
    if stage is Stage.WORK:
        free = problem.choices & (problem.upper > problem.lower)
        return bool((problem.cost[free] > 0.0).all())
    return False
