"""What the tolerances of wire and groove leave of press and stand."""

from dataclasses import dataclass
from enum import StrEnum
from math import hypot, inf, isfinite, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.errors import InputError
from castworthy.calc.sealing.groove import Groove, RingFit, fit_of

SIGMAS_RATIO = 3.0
"""Standard deviations that a tolerance stands for where sizes scatter about their middle.
Common practice, no source: a machine that holds its tolerance holds it to three."""

_BATCH_COUNT = 1 << 14
_ALLOWANCE_MM = 1e-6

Floats = NDArray[np.float64]
Span = tuple[float, float]


class Spread(StrEnum):
    """How sizes lie within their tolerance: about the middle, or anywhere alike."""

    NORMAL = "normal"
    EVEN = "even"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerances:
    """How far wire, depth and width may be off either way [mm]."""

    wire_mm: float = 0.0
    depth_mm: float = 0.0
    width_mm: float = 0.0

    def __post_init__(self) -> None:
        sizes = (self.wire_mm, self.depth_mm, self.width_mm)
        if not all(isfinite(size) and size >= 0.0 for size in sizes):
            raise InputError(
                "A tolerance is 0 mm or more either way, got "
                f"{', '.join(f'{size:g}' for size in sizes)} mm; give it without a sign."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Spans of press and stand [mm], lowest first: worst case and root-sum-square.

    ``stand_upper_worst_mm`` is the worst case if the pressed wire flows upward.
    ``within_probability`` is the share of rings whose stand is inside its limits where sizes
    scatter normally, ``None`` without limits.
    """

    press_worst_mm: Span
    press_rss_mm: Span
    stand_worst_mm: Span
    stand_rss_mm: Span
    stand_upper_worst_mm: Span
    within_probability: float | None


def stack_of(
    groove: Groove,
    *,
    tolerances: Tolerances,
    stand_low_mm: float | None = None,
    stand_high_mm: float | None = None,
) -> Stack:
    """Carry the tolerances through press and stand.

    Parameters
    ----------
    groove
        wire and groove [mm]
    tolerances
        of wire, depth and width [mm]
    stand_low_mm, stand_high_mm
        limits of the stand [mm], scalars; ``None`` leaves that side open

    Returns
    -------
    Stack
        worst case, root-sum-square, and the share inside by the normal distribution

    Raises
    ------
    InputError
        If a tolerance is as large as its size, or the limits stand the wrong way round.

    References
    ----------
    Both are differences of two sizes, so the worst case adds the tolerances and the
    root-sum-square adds their squares (JCGM 100:2008, 5.1.2, equal coverage of each).

    """
    _check(groove, tolerances=tolerances)
    low, high = _limits(stand_low_mm, stand_high_mm)
    fit, t = fit_of(groove), tolerances
    stand_rss = hypot(t.wire_mm, t.depth_mm)
    probability = None
    if stand_low_mm is not None or stand_high_mm is not None:
        probability = conformance_probability(
            fit.stand_mm, u=stand_rss / SIGMAS_RATIO, low=low, high=high
        )
    return Stack(
        press_worst_mm=_about(fit.press_mm, t.wire_mm + t.width_mm),
        press_rss_mm=_about(fit.press_mm, hypot(t.wire_mm, t.width_mm)),
        stand_worst_mm=_about(fit.stand_mm, t.wire_mm + t.depth_mm),
        stand_rss_mm=_about(fit.stand_mm, stand_rss),
        stand_upper_worst_mm=(
            _moved(groove, tolerances=t, sign=-1.0).stand_upper_mm,
            _moved(groove, tolerances=t, sign=1.0).stand_upper_mm,
        ),
        within_probability=probability,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RingShares:
    """What many drawn rings come to: shares [-], and mean and scatter of stand and press [mm].

    ``within_probability`` is the share whose stand is inside its limits; ``sure_probability``
    the share that stays inside even if the pressed wire flows upward; ``held_probability``
    the share that is held by a press at all.
    """

    rings_count: int
    within_probability: float
    sure_probability: float
    held_probability: float
    stand_mean_mm: float
    u_stand_mm: float
    press_mean_mm: float
    u_press_mm: float


def draw_rings(
    groove: Groove,
    *,
    tolerances: Tolerances,
    rng: np.random.Generator,
    rings_count: int = 1_000_000,
    stand_low_mm: float | None = None,
    stand_high_mm: float | None = None,
    spread: Spread = Spread.NORMAL,
) -> RingShares:
    """Draw many rings within the tolerances and count those inside the limits.

    Parameters
    ----------
    groove
        wire and groove [mm]
    tolerances
        of wire, depth and width [mm]; three standard deviations of a normal spread
    rng
        where the draws come from
    rings_count
        rings drawn [-], >= 2
    stand_low_mm, stand_high_mm
        limits of the stand [mm], scalars; ``None`` leaves that side open
    spread
        how sizes lie within their tolerance

    Returns
    -------
    RingShares
        shares of the rings drawn [-]; a stand on a limit is inside, to 1 nm

    Raises
    ------
    InputError
        If fewer than two rings are asked for, a tolerance is as large as its size, or the
        limits stand the wrong way round.

    References
    ----------
    JCGM 101:2008, clause 7 (Monte Carlo propagation); normal and rectangular: 6.4.

    """
    _check(groove, tolerances=tolerances)
    if rings_count < 2:
        raise InputError(f"At least two rings are drawn, got {rings_count}.")
    limits = _limits(stand_low_mm, stand_high_mm)
    tally = np.zeros(7)
    left = rings_count
    while left:
        count = min(left, _BATCH_COUNT)
        tally += _batch(groove, tolerances=tolerances, rng=rng, size=(spread, count), limits=limits)
        left -= count
    return _shares(tally, groove=groove, rings_count=rings_count)


def _batch(
    groove: Groove,
    *,
    tolerances: Tolerances,
    rng: np.random.Generator,
    size: tuple[Spread, int],
    limits: Span,
) -> Floats:
    """Counts and sums of one batch; stand and press counted from the middle of their spans."""
    d, h, w = _sizes(groove, tolerances=tolerances, rng=rng, size=size)
    low, high = limits
    stand, press = d - h, d - w
    inside = stand >= low
    sure = inside & (stand + _rise(press, w) <= high)
    inside &= stand <= high
    fit = fit_of(groove)
    stand -= fit.stand_mm
    held = np.count_nonzero(press > 0.0)
    press -= fit.press_mm
    return np.array(
        [
            np.count_nonzero(inside),
            np.count_nonzero(sure),
            held,
            stand.sum(),
            np.square(stand).sum(),
            press.sum(),
            np.square(press).sum(),
        ]
    )


def _sizes(
    groove: Groove,
    *,
    tolerances: Tolerances,
    rng: np.random.Generator,
    size: tuple[Spread, int],
) -> Floats:
    """Wire, depth and width of many rings, shape (3, n) [mm]."""
    spread, count = size
    if spread is Spread.NORMAL:
        drawn = rng.standard_normal((3, count))
        drawn /= SIGMAS_RATIO
    else:
        drawn = rng.random((3, count))
        drawn *= 2.0
        drawn -= 1.0
    middles = (groove.wire_mm, groove.depth_mm, groove.width_mm)
    either = (tolerances.wire_mm, tolerances.depth_mm, tolerances.width_mm)
    for row, middle, tol in zip(drawn, middles, either, strict=True):
        row *= tol
        row += middle
    return drawn


def _rise(press: Floats, w: Floats) -> Floats:
    """How much higher the wire can stand: w + pi (d^2 - w^2) / (4 w) - d, with d = w + press."""
    p = np.maximum(press, 0.0)
    return p * ((pi / 2.0 - 1.0) + (pi / 4.0) * p / w)


def _shares(tally: Floats, *, groove: Groove, rings_count: int) -> RingShares:
    n, fit = rings_count, fit_of(groove)
    inside, sure, held, stand, stand2, press, press2 = (float(v) for v in tally)
    return RingShares(
        rings_count=n,
        within_probability=inside / n,
        sure_probability=sure / n,
        held_probability=held / n,
        stand_mean_mm=fit.stand_mm + stand / n,
        u_stand_mm=sqrt(max(stand2 - stand * stand / n, 0.0) / (n - 1)),
        press_mean_mm=fit.press_mm + press / n,
        u_press_mm=sqrt(max(press2 - press * press / n, 0.0) / (n - 1)),
    )


def _about(middle: float, either: float) -> Span:
    return middle - either, middle + either


def _moved(groove: Groove, *, tolerances: Tolerances, sign: float) -> RingFit:
    """The fit at the end of the tolerances where the wire stands highest (+1) or lowest (-1)."""
    return fit_of(
        Groove(
            wire_mm=groove.wire_mm + sign * tolerances.wire_mm,
            depth_mm=groove.depth_mm - sign * tolerances.depth_mm,
            width_mm=groove.width_mm - sign * tolerances.width_mm,
            diameter_mm=groove.diameter_mm,
        )
    )


def _limits(low: float | None, high: float | None) -> Span:
    """Both limits with the allowance of the comparison; an open side is infinite."""
    bottom = -inf if low is None else low - _ALLOWANCE_MM
    top = inf if high is None else high + _ALLOWANCE_MM
    if bottom > top:
        raise InputError(
            f"The low limit of a stand lies at or below the high one, got {low} and {high} mm."
        )
    return bottom, top


def _check(groove: Groove, *, tolerances: Tolerances) -> None:
    pairs = (
        ("wire", groove.wire_mm, tolerances.wire_mm),
        ("depth", groove.depth_mm, tolerances.depth_mm),
        ("width", groove.width_mm, tolerances.width_mm),
    )
    for name, size, tol in pairs:
        if tol >= size:
            raise InputError(
                f"The tolerance of the {name} is smaller than the {name} itself, got "
                f"{tol:g} mm on {size:g} mm; check the unit."
            )
