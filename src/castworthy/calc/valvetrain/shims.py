"""Shims under a spring: the fewest of the shop's set that bring its height or load in."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import inf

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.spring import SpringLaw

HARDENED_ABOVE_N = 355.9
"""Seat load above which the shim beside the spring is hardened (common practice, no source:
about 80 lbf)."""

MOST_SHIMS_COUNT = 3
MOST_STACKS_COUNT = 200_000
SAME_MM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Shim:
    """A shim of the shop's set."""

    thickness_mm: float
    hardened: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Shims in the order they go in, the last beside the spring; none where none is needed.

    ``error_mm`` is how far the stack is from the thickness aimed at.
    """

    shims: tuple[Shim, ...]
    thickness_mm: float
    error_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShimChoice:
    """The stack to fit, with the height and, for a known spring, the load it gives.

    ``probability`` is that of the load (or height) lying in its limits, ``None`` where no
    uncertainty is known.
    """

    stack: Stack
    height_mm: float
    u_height_mm: float | None
    load_n: float | None
    u_load_n: float | None
    probability: float | None


def stack_for(
    aim_mm: float,
    *,
    shims: Sequence[Shim],
    low_mm: float,
    high_mm: float,
    most_count: int = MOST_SHIMS_COUNT,
    least_count: int = 0,
    hardened_over_mm: float = inf,
) -> Stack | Refused:
    """The fewest shims whose thickness lies between two limits, then the nearest to the aim.

    Parameters
    ----------
    aim_mm : float
        Thickness aimed at [mm].
    shims : sequence of Shim
        The shop's set; each may be used again.
    low_mm, high_mm : float
        Limits of the thickness [mm].
    most_count : int
        Most shims in a stack.
    least_count : int
        Fewest shims in a stack.
    hardened_over_mm : float
        Thickness above which the shim beside the spring must be a hardened one [mm].

    Returns
    -------
    Stack or Refused
        ``Refused`` where no stack lies within; it names the nearest.

    Raises
    ------
    InputError
        If a shim is not thicker than 0, the limits are crossed, or the choice is endless.

    References
    ----------
    Every stack is tried; fewest shims first, hardened one beside the spring: common practice,
    no source.

    """
    _check(shims, low_mm=low_mm, high_mm=high_mm, most_count=most_count)
    nearest: Stack | None = None
    for count in range(least_count, most_count + 1):
        stacks = _stacks_of(shims, count=count, aim_mm=aim_mm, hardened_over_mm=hardened_over_mm)
        inside = [s for s in stacks if low_mm - SAME_MM <= s.thickness_mm <= high_mm + SAME_MM]
        if inside:
            return min(inside, key=lambda stack: abs(stack.error_mm))
        nearest = min(
            [*stacks, *([nearest] if nearest else [])],
            key=lambda stack: _outside(stack, low_mm=low_mm, high_mm=high_mm),
            default=None,
        )
    said = "none fits" if nearest is None else f"the nearest is {nearest.thickness_mm:.3f} mm"
    beside = " with a hardened one beside the spring" if hardened_over_mm < high_mm else ""
    return Refused(
        code="no-shims",
        reason=(
            f"No stack of up to {most_count} shims{beside} lies between {low_mm:.3f} and "
            f"{high_mm:.3f} mm; {said}."
        ),
        remedy="Get another shim, or another spring where shims would have to go below 0.",
    )


def shims_for_height(
    installed_mm: float,
    *,
    shims: Sequence[Shim],
    low_mm: float,
    high_mm: float,
    aim_mm: float | None = None,
    u_installed_mm: float | None = None,
    most_count: int = MOST_SHIMS_COUNT,
    hardened_last: bool = False,
) -> ShimChoice | Refused:
    """Shims that bring a spring's installed height between its limits.

    Parameters
    ----------
    installed_mm : float
        Height as it is, without these shims [mm].
    shims : sequence of Shim
        The shop's set.
    low_mm, high_mm : float
        Limits of the height [mm].
    aim_mm : float or None
        Height aimed at [mm]; the middle of the limits when ``None``.
    u_installed_mm : float or None
        Standard uncertainty of the height [mm].
    most_count : int
        Most shims in a stack.
    hardened_last : bool
        Whether the shim beside the spring must be a hardened one.

    Returns
    -------
    ShimChoice or Refused
        The stack and the height it gives [mm].

    Raises
    ------
    InputError
        If the limits are crossed or a shim cannot be.

    References
    ----------
    Installed height falls by the shims' thickness.  JCGM 106:2012, 7.2.

    """
    aim = (low_mm + high_mm) / 2.0 if aim_mm is None else aim_mm
    stack = stack_for(
        installed_mm - aim,
        shims=shims,
        low_mm=installed_mm - high_mm,
        high_mm=installed_mm - low_mm,
        most_count=most_count,
        hardened_over_mm=-inf if hardened_last else inf,
    )
    if isinstance(stack, Refused):
        return stack
    height = installed_mm - stack.thickness_mm
    u = u_installed_mm
    return ShimChoice(
        stack=stack,
        height_mm=height,
        u_height_mm=u,
        load_n=None,
        u_load_n=None,
        probability=None
        if u is None
        else conformance_probability(height, u=u, low=low_mm, high=high_mm),
    )


def shims_for_load(
    law: SpringLaw,
    *,
    installed_mm: float,
    shims: Sequence[Shim],
    low_n: float,
    high_n: float,
    aim_n: float | None = None,
    lift_mm: float = 0.0,
    least_coil_bind_mm: float | None = None,
    u_installed_mm: float | None = None,
    most_count: int = MOST_SHIMS_COUNT,
    hardened_above_n: float | None = HARDENED_ABOVE_N,
) -> ShimChoice | Refused:
    """Shims that bring a spring's seat load between its limits and keep its coils apart.

    Parameters
    ----------
    law : SpringLaw
        The spring.
    installed_mm : float
        Height without these shims [mm].
    shims : sequence of Shim
        The shop's set.
    low_n, high_n : float
        Limits of the seat load [N].
    aim_n : float or None
        Seat load aimed at [N]; the middle of the limits when ``None``.
    lift_mm : float
        Lift of the valve [mm].
    least_coil_bind_mm : float or None
        Least travel left at full lift [mm]; needs the solid height.
    u_installed_mm : float or None
        Standard uncertainty of the height [mm].
    most_count : int
        Most shims in a stack.
    hardened_above_n : float or None
        Seat load above which the shim beside the spring is hardened [N]; ``None`` for never.

    Returns
    -------
    ShimChoice or Refused
        The stack, the height [mm] and the load [N] it gives.

    Raises
    ------
    InputError
        If the limits are crossed, a shim cannot be, or coil bind is asked of a spring whose
        solid height is not known.

    References
    ----------
    Hooke's law; hardened shim under heavy load: common practice, no source.
    JCGM 106:2012, 7.2.

    """
    if low_n > high_n:
        raise InputError(f"A low load is at most the high one, got {low_n:.1f} and {high_n:.1f} N.")
    aim = (low_n + high_n) / 2.0 if aim_n is None else aim_n
    most = min(
        installed_mm - law.height_mm(high_n),
        _room_mm(law, open_mm=installed_mm - lift_mm, least_mm=least_coil_bind_mm),
    )
    least = installed_mm - law.height_mm(low_n)
    if most < least - SAME_MM:
        return Refused(
            code="coil-bind",
            reason=(
                f"{low_n:.0f} N takes {least:.3f} mm of shims, but only {most:.3f} mm keep the "
                "coils apart at full lift."
            ),
            remedy="Fit another spring: this one is too soft or too short for its place.",
        )
    stack = stack_for(
        installed_mm - law.height_mm(aim),
        shims=shims,
        low_mm=least,
        high_mm=max(most, least),
        most_count=most_count,
        hardened_over_mm=inf
        if hardened_above_n is None
        else installed_mm - law.height_mm(hardened_above_n) + SAME_MM,
    )
    if isinstance(stack, Refused):
        return stack
    height = installed_mm - stack.thickness_mm
    load, u = law.load_n(height), law.u_load_n(height, u_height_mm=u_installed_mm)
    return ShimChoice(
        stack=stack,
        height_mm=height,
        u_height_mm=u_installed_mm,
        load_n=load,
        u_load_n=u,
        probability=None
        if u is None
        else conformance_probability(load, u=u, low=low_n, high=high_n),
    )


def _room_mm(law: SpringLaw, *, open_mm: float, least_mm: float | None) -> float:
    if least_mm is None:
        return inf
    if law.solid_mm is None:
        raise InputError(
            f"Coil bind of at least {least_mm:.3f} mm is kept from the solid height, got none; "
            "measure it."
        )
    return open_mm - law.solid_mm - least_mm


def _check(shims: Sequence[Shim], *, low_mm: float, high_mm: float, most_count: int) -> None:
    if not low_mm <= high_mm or most_count < 0 or any(not s.thickness_mm > 0.0 for s in shims):
        raise InputError(
            "A stack is chosen between a low and a high thickness from shims thicker than 0, got "
            f"{low_mm:.3f} to {high_mm:.3f} mm and {sorted(s.thickness_mm for s in shims)}."
        )
    if (len(shims) + 1) ** most_count > MOST_STACKS_COUNT:
        raise InputError(
            f"A stack is chosen from a small set, got {len(shims)} shims up to {most_count} high; "
            "leave some out."
        )


def _stacks_of(
    shims: Sequence[Shim], *, count: int, aim_mm: float, hardened_over_mm: float
) -> list[Stack]:
    """Every stack of so many shims, a hardened one last where the stack is thick enough."""
    found = []
    for group in combinations_with_replacement(shims, count):
        ordered = tuple(sorted(group, key=lambda each: (each.hardened, -each.thickness_mm)))
        thickness = sum(each.thickness_mm for each in ordered)
        if ordered and not ordered[-1].hardened and thickness > hardened_over_mm:
            continue
        found.append(Stack(shims=ordered, thickness_mm=thickness, error_mm=thickness - aim_mm))
    return found


def _outside(stack: Stack, *, low_mm: float, high_mm: float) -> float:
    return max(low_mm - stack.thickness_mm, stack.thickness_mm - high_mm, 0.0)
