"""Which spring goes to which valve, so that their seat loads come out best."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.spring import SpringLaw


class BestBy(StrEnum):
    """What a matched set is best at."""

    WORST = "worst load"
    SQUARES = "sum of squares"


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSpring:
    """A spring of the set under its own name."""

    name: str
    law: SpringLaw


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringPlace:
    """A valve's place: its installed height and the seat load wanted there."""

    name: str
    installed_mm: float
    wanted_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """One spring at one valve: the shim under it (0 for none), its height, load and error."""

    valve: str
    spring: str
    shim_mm: float
    height_mm: float
    load_n: float
    error_n: float
    u_load_n: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchedSet:
    """A spring for every valve, in the valves' order, and what the set is worth.

    ``spread_n`` is the largest load less the smallest.
    """

    pairs: tuple[Matched, ...]
    worst_error_n: float
    rms_error_n: float
    spread_n: float
    left_over: tuple[str, ...]


def match_springs(
    springs: Sequence[NamedSpring],
    *,
    places: Sequence[SpringPlace],
    best_by: BestBy = BestBy.WORST,
    shims_mm: Sequence[float] = (),
) -> MatchedSet | Refused:
    """Spring to valve by assignment: the least worst load error, or the least sum of squares.

    With ``WORST`` the worst error is as small as any assignment makes it, and among those sets
    the sum of squares is least.

    Parameters
    ----------
    springs : sequence of NamedSpring
        The springs at hand, as many as valves or more.
    places : sequence of SpringPlace
        The valves.
    best_by : BestBy
        What the set is best at.
    shims_mm : sequence of float
        Thicknesses of which at most one may go under each spring [mm]; empty for none.

    Returns
    -------
    MatchedSet or Refused
        ``Refused`` where there are fewer springs than valves.

    Raises
    ------
    InputError
        If there is no valve, a name comes twice, or a shim is negative.

    References
    ----------
    Linear sum assignment (scipy); bottleneck assignment by halving over the errors (textbook).

    """
    _check(springs, places=places, shims_mm=shims_mm)
    if len(springs) < len(places):
        return Refused(
            code="too-few-springs",
            reason=f"{len(places)} valves want a spring each; springs at hand: {len(springs)}.",
            remedy=f"Measure {len(places) - len(springs)} more.",
        )
    choices = [
        [_best(spring, place=place, shims_mm=shims_mm) for spring in springs] for place in places
    ]
    errors = np.array([[abs(each.error_n) for each in row] for row in choices])
    bound = _bottleneck(errors) if best_by is BestBy.WORST else float(errors.max())
    return _set(choices, columns=_assign(errors, bound), springs=springs)


def as_given(springs: Sequence[NamedSpring], *, places: Sequence[SpringPlace]) -> MatchedSet:
    """The springs where they are: first spring at the first valve, and so on, without shims.

    Parameters
    ----------
    springs : sequence of NamedSpring
        The springs in order, as many as valves or more.
    places : sequence of SpringPlace
        The valves in order.

    Returns
    -------
    MatchedSet
        To compare a matched set with.

    Raises
    ------
    InputError
        If there are fewer springs than valves, no valve, or a name comes twice.

    References
    ----------
    Hooke's law.

    """
    _check(springs, places=places, shims_mm=())
    if len(springs) < len(places):
        raise InputError(
            f"Every valve has a spring, got {len(springs)} springs for {len(places)} valves."
        )
    choices = [[_best(spring, place=place, shims_mm=()) for spring in springs] for place in places]
    return _set(choices, columns=list(range(len(places))), springs=springs)


def _check(
    springs: Sequence[NamedSpring], *, places: Sequence[SpringPlace], shims_mm: Sequence[float]
) -> None:
    names = [each.name for each in springs]
    valves = [each.name for each in places]
    if not places or len({*names}) < len(names) or len({*valves}) < len(valves):
        raise InputError(
            "Springs are matched to one valve or more, every name once, got "
            f"springs {', '.join(names)} and valves {', '.join(valves)}."
        )
    if any(not shim >= 0.0 for shim in shims_mm):
        raise InputError(f"A shim is not thinner than 0, got {min(shims_mm):.3f} mm.")


def _best(spring: NamedSpring, *, place: SpringPlace, shims_mm: Sequence[float]) -> Matched:
    """The spring at the valve with the shim that brings its load nearest."""
    law = spring.law
    shim = min(
        sorted({0.0, *shims_mm}),
        key=lambda t: abs(law.load_n(place.installed_mm - t) - place.wanted_n),
    )
    height = place.installed_mm - shim
    return Matched(
        valve=place.name,
        spring=spring.name,
        shim_mm=shim,
        height_mm=height,
        load_n=law.load_n(height),
        error_n=law.load_n(height) - place.wanted_n,
        u_load_n=law.u_load_n(height),
    )


def _bottleneck(errors: NDArray[np.float64]) -> float:
    """Smallest worst error that any assignment reaches."""
    levels = np.unique(errors)
    low, high = 0, len(levels) - 1
    while low < high:
        middle = (low + high) // 2
        beyond = (errors > levels[middle]).astype(float)
        rows, columns = linear_sum_assignment(beyond)
        if beyond[rows, columns].sum() == 0:
            high = middle
        else:
            low = middle + 1
    return float(levels[low])


def _assign(errors: NDArray[np.float64], bound: float) -> list[int]:
    """Columns of the least sum of squares that keeps every error within the bound."""
    squares = errors**2
    barred = 1.0 + squares[errors <= bound].max() * len(errors) * 2.0
    cost = np.where(errors <= bound, squares, barred)
    rows, columns = linear_sum_assignment(cost)
    return [int(column) for _, column in sorted(zip(rows, columns, strict=True))]


def _set(
    choices: Sequence[Sequence[Matched]], *, columns: Sequence[int], springs: Sequence[NamedSpring]
) -> MatchedSet:
    pairs = tuple(row[column] for row, column in zip(choices, columns, strict=True))
    used = {each.spring for each in pairs}
    loads = [each.load_n for each in pairs]
    return MatchedSet(
        pairs=pairs,
        worst_error_n=max(abs(each.error_n) for each in pairs),
        rms_error_n=sqrt(sum(each.error_n**2 for each in pairs) / len(pairs)),
        spread_n=max(loads) - min(loads),
        left_over=tuple(each.name for each in springs if each.name not in used),
    )
