"""The port's filling curve through a log of pressures, a stray tap left out."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import stdtrit

from castworthy.calc.leak.flow import clock_of, flow_function, ratio_at

FEWEST_FOR_STRAYS_COUNT = 6
"""Among fewer readings nobody can say which one is stray."""

STRAY_SCATTERS = 5.0
STRAY_PROBABILITY = 0.001
MOST_THINNED_COUNT = 300
_MAD_TO_SIGMA = 1.4826
_FULL_RATIO = 0.98
_EXACT_RATIO = 1e-9
_FEWEST_FOR_DRIFT_COUNT = 10
_MOST_ALIKE = 0.95

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filling:
    """The fitted curve: the port's clock at the first reading and its turns a second.

    ``covariance`` is that of the two, shape (2, 2).  ``strays`` marks readings left out, shape
    (n,).  ``alike_ratio`` is how far each reading's miss repeats its neighbour's (0 none, 1
    wholly): a curve of another shape shows there.  ``shift_slopes`` is what clock and turns move
    by with a shift of every reading, counted in atmospheres, shape (2,).
    """

    clock_ratio: float
    turns_hz: float
    covariance: Floats
    freedom_count: int
    scatter_kpa: float
    strays: NDArray[np.bool_]
    alike_ratio: float
    shift_slopes: Floats


def fit_filling(
    time_s: Floats,
    *,
    pressure_kpa: Floats,
    atmosphere_kpa: float,
    step_kpa: float,
    time_step_s: float,
) -> Filling:
    """Fit the filling curve by least squares.

    A robust fit (soft L1 loss, started from the middle of all slopes) asks about readings more
    than five scatters off; those that the curve through the others would meet by chance once in a
    thousand logs are left out, the rest are fitted plainly.  Where the gauge's steps hide the
    scatter, rounding does not average out over many readings, and the uncertainty says so.

    Parameters
    ----------
    time_s
        times from the first reading [s], shape (n,), n >= 3, rising
    pressure_kpa
        absolute pressures [kPa], shape (n,), at least three below 0.98 of the atmosphere
    atmosphere_kpa
        absolute pressure outside [kPa], scalar
    step_kpa
        the step the gauge reads in [kPa], scalar; 0 where none is known
    time_step_s
        the step of the clock [s], scalar; a coarse clock makes no reading of a steep rise stray

    Returns
    -------
    Filling
        The curve.

    References
    ----------
    JCGM 100:2008, H.3 (least squares); Theil (1950), Sen (1968) for the start; Huber, Robust
    Statistics, for the loss; deleted residuals by Student's t with Bonferroni's share
    (textbook).

    """
    r = pressure_kpa / atmosphere_kpa
    step = step_kpa / atmosphere_kpa
    span = float(time_s[-1])
    t = time_s / span
    floor = max(step / sqrt(12.0), _EXACT_RATIO)
    theta = _middle_line(t, r)
    scatter = _scatter(_miss(theta, t, r), floor=floor)
    theta = _solved(theta, t, r, scatter=scatter)
    late = time_step_s / span * np.abs(_slopes(theta, t, r)[:, 0] * theta[1])
    asked = _asked(_miss(theta, t, r), floor=floor, late=late)
    strays = _confirmed(asked, theta=theta, t=t, r=r, floor=floor, late=late)
    keep = ~strays
    theta = _solved(theta, t[keep], r[keep], scatter=None)
    miss = _miss(theta, t[keep], r[keep])
    freedom = max(len(miss) - 2, 1)
    s = float(np.sqrt(miss @ miss / freedom))
    alike = _alike(miss) if s >= step / 2.0 else 0.0
    J = _slopes(theta, t[keep], r[keep])
    variance = _variance(s, step=step, count=len(miss)) * (1.0 + alike) / (1.0 - alike)
    scale = np.array([1.0, 1.0 / span])
    inverse = np.linalg.pinv(J.T @ J)
    covariance = np.asarray(variance * inverse * np.outer(scale, scale), dtype=np.float64)
    return Filling(
        clock_ratio=float(theta[0]),
        turns_hz=float(theta[1]) / span,
        covariance=covariance,
        freedom_count=freedom,
        scatter_kpa=s * atmosphere_kpa,
        strays=strays,
        alike_ratio=alike,
        shift_slopes=scale * (inverse @ J.sum(axis=0)),
    )


def with_vacuum(pressure_kpa: Floats, *, atmosphere_kpa: float) -> NDArray[np.bool_]:
    """Readings that still show a vacuum to speak of.

    Parameters
    ----------
    pressure_kpa
        absolute pressures [kPa], shape (n,)
    atmosphere_kpa
        absolute pressure outside [kPa], scalar

    Returns
    -------
    ndarray
        below 0.98 of the atmosphere, shape (n,)

    References
    ----------
    Common practice, no source.

    """
    return np.asarray(pressure_kpa < _FULL_RATIO * atmosphere_kpa)


def _miss(theta: Floats, t: Floats, r: Floats) -> Floats:
    return ratio_at(theta[0] + theta[1] * t) - r


def _slopes(theta: Floats, t: Floats, r: Floats) -> Floats:
    """What the curve moves by with each parameter: dr/dtau is psi."""
    psi = flow_function(ratio_at(theta[0] + theta[1] * t))
    return np.column_stack([psi, psi * t])


def _solved(theta: Floats, t: Floats, r: Floats, *, scatter: float | None) -> Floats:
    """Least squares, or soft L1 where a scatter is given."""
    found = least_squares(
        _miss,
        theta,
        jac=_slopes,
        args=(t, r),
        loss="linear" if scatter is None else "soft_l1",
        f_scale=scatter or 1.0,
        x_scale="jac",
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
    )
    return np.asarray(found.x)


def _middle_line(t: Floats, r: Floats) -> Floats:
    """Clock against time: the middle of all slopes between readings, and of all starts."""
    there = np.flatnonzero(r < _FULL_RATIO)
    if len(there) > MOST_THINNED_COUNT:
        there = there[np.linspace(0, len(there) - 1, MOST_THINNED_COUNT).astype(int)]
    x, y = t[there], clock_of(r[there])
    i, j = np.triu_indices(len(x), k=1)
    k = float(np.median((y[j] - y[i]) / (x[j] - x[i])))
    return np.array([float(np.median(y - k * x)), k])


def _scatter(miss: Floats, *, floor: float) -> float:
    return max(_MAD_TO_SIGMA * float(np.median(np.abs(miss - np.median(miss)))), floor)


def _asked(miss: Floats, *, floor: float, late: Floats) -> NDArray[np.bool_]:
    """Readings to ask about: beyond five robust scatters."""
    if len(miss) < FEWEST_FOR_STRAYS_COUNT:
        return np.zeros(len(miss), dtype=bool)
    return np.asarray(np.abs(miss) > STRAY_SCATTERS * _scatter(miss, floor=floor) + late)


def _confirmed(
    asked: NDArray[np.bool_], *, theta: Floats, t: Floats, r: Floats, floor: float, late: Floats
) -> NDArray[np.bool_]:
    """Those asked about that the curve through the others would meet once in a thousand logs."""
    keep = ~asked
    if not asked.any() or keep.sum() <= 2:
        return asked
    theta = _solved(theta, t[keep], r[keep], scatter=None)
    miss = _miss(theta, t, r)
    freedom = int(keep.sum()) - 2
    s = max(float(np.sqrt(miss[keep] @ miss[keep] / freedom)), floor)
    most = float(stdtrit(freedom, 1.0 - STRAY_PROBABILITY / (2.0 * len(t))))
    return asked & (np.abs(miss) > most * s + late)


def _alike(miss: Floats) -> float:
    """Lag-one autocorrelation of the misses, 0 where chance explains it."""
    total = float(miss @ miss)
    if len(miss) < _FEWEST_FOR_DRIFT_COUNT or total == 0.0:
        return 0.0
    found = float(miss[1:] @ miss[:-1]) / total
    return min(found, _MOST_ALIKE) if found > 2.0 / sqrt(len(miss)) else 0.0


def _variance(s: float, *, step: float, count: int) -> float:
    """Variance of one reading; rounding that no scatter shakes out counts at the two ends."""
    if s >= step / 2.0:
        return s**2
    return max(s**2, step**2 / 12.0 * max(1.0, count / 6.0))
