"""Runs the solver, and takes objectives one after the other."""

from collections.abc import Sequence
from dataclasses import dataclass
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


class SolverStoppedError(RuntimeError):
    """The solver neither found the optimum nor proved that there is none."""


class Stage(StrEnum):
    """One thing to be best at; a plan goes through several in order."""

    COST = "cost"
    DEPTH = "depth"
    MARGIN = "margin"
    WORK = "number of operations"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """Where a branch ends: what is chosen, the values reached, and the problem held to them."""

    x: NDArray[np.float64]
    reached: tuple[float, ...]
    problem: Problem


def minimum(problem: Problem, *, aims: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """The choice with the least ``aims @ x``, or ``None`` when there is none at all.

    Parameters
    ----------
    problem : Problem
        The problem.
    aims : (n,) array
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
    x = _run(problem, aims, integer=problem.integer)
    if x is None or not problem.integer.any():
        return x
    return _made_whole(problem, aims, x)


def best(problem: Problem, *, stages: Sequence[Stage]) -> Answer | None:
    """The best choice by the first stage, among those by the second, and so on."""
    reached: list[float] = []
    x: NDArray[np.float64] | None = None
    for stage in stages:
        if x is not None and _settled(problem, stage):
            reached.append(_value(problem, stage, x))
            continue
        found = minimum(problem, aims=_weights(problem, stage))
        if found is None:
            if x is None:
                return None
            found = x
        x = found
        reached.append(_value(problem, stage, x))
        problem = _held(problem, stage, reached[-1])
    return None if x is None else Answer(x=x, reached=tuple(reached), problem=problem)


def _run(
    problem: Problem, aims: NDArray[np.float64], *, integer: NDArray[np.bool_]
) -> NDArray[np.float64] | None:
    result = milp(
        aims,
        integrality=integer.astype(np.uint8),
        bounds=Bounds(problem.lower, problem.upper),
        constraints=LinearConstraint(problem.matrix, problem.row_low, problem.row_high),
        options={"mip_rel_gap": 0.0},
    )
    if result.status == _OPTIMAL:
        return np.asarray(result.x, dtype=np.float64)
    if result.status == _INFEASIBLE:
        return None
    raise SolverStoppedError(f"The solver stopped on the rework plan: {result.message}")


def _made_whole(
    problem: Problem, aims: NDArray[np.float64], x: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Round the integer columns and solve the others again, free of the solver's tolerance."""
    whole = np.where(problem.integer, np.round(x), x)
    free = ~problem.integer & (problem.upper > problem.lower)
    if not free.any() or not aims[free].any():
        return whole
    return held_whole(problem, whole, free=free, aims=aims)


def held_whole(
    problem: Problem,
    x: NDArray[np.float64],
    *,
    free: NDArray[np.bool_],
    aims: NDArray[np.float64],
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

    References
    ----------
    HiGHS through ``scipy.optimize.milp``.

    """
    held = np.where(free, 0.0, x)
    part = problem.matrix[:, np.flatnonzero(free)]
    shift = problem.matrix @ held
    used = np.flatnonzero(np.diff(part.indptr))
    result = milp(
        aims[free],
        bounds=Bounds(problem.lower[free], problem.upper[free]),
        constraints=LinearConstraint(
            part[used], (problem.row_low - shift)[used], (problem.row_high - shift)[used]
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
        case Stage.MARGIN if problem.margin is not None:
            aims[problem.margin] = -1.0
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
        case Stage.MARGIN if problem.margin is not None:
            return problem.with_column(problem.margin, low=-value - _SAME)
        case _:
            return problem


def _settled(problem: Problem, stage: Stage) -> bool:
    """True when a stage cannot better what is already held."""
    if stage is Stage.DEPTH:
        return bool(problem.upper[problem.depth] <= problem.lower[problem.depth])
    if stage is Stage.WORK:
        free = problem.choices & (problem.upper > problem.lower)
        return bool((problem.cost[free] > 0.0).all())
    return False
