"""The material-ratio curve and what is read from it: Rmr(c), Rk, Rpk, Rvk, Mr1, Mr2."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import CoreLine, MaterialRatio

CORE_RATIO = 0.4
"""Width of the secant that finds the core of the curve."""

CURVE_POINTS_COUNT = 501


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """The core of the curve and what stands above and lies below it; lengths um."""

    rk_um: float
    rpk_um: float
    rvk_um: float
    mr1_ratio: float
    mr2_ratio: float


def falling(height_um: NDArray[np.float64]) -> NDArray[np.float64]:
    """Heights from the highest down: the material-ratio curve at even ratios 0 to 1.

    Parameters
    ----------
    height_um : ndarray of any shape
        Roughness heights [um].

    Returns
    -------
    ndarray of shape (n,)
        Sorted heights [um].

    References
    ----------
    ISO 21920-2:2021, material ratio curve.

    """
    return np.sort(height_um, axis=None)[::-1]


def curve(falling_um: NDArray[np.float64]) -> MaterialRatio:
    """The material-ratio curve at up to 501 even ratios, for drawing.

    Parameters
    ----------
    falling_um : ndarray of shape (n,)
        Heights from the highest down [um].

    Returns
    -------
    MaterialRatio
        Height against the share of material at or above it.

    References
    ----------
    ISO 21920-2:2021, material ratio curve.

    """
    n = len(falling_um)
    at = np.linspace(0, n - 1, min(n, CURVE_POINTS_COUNT)).round().astype(np.intp)
    return MaterialRatio(height_um=falling_um[at], ratio=at / (n - 1))


def material_ratio(falling_um: NDArray[np.float64], *, level_um: float) -> float:
    """Share of material at or above a height.

    Parameters
    ----------
    falling_um : ndarray of shape (n,)
        Heights from the highest down [um].
    level_um : float
        Height above the mean line [um].

    Returns
    -------
    float
        Ratio between 0 and 1.

    References
    ----------
    ISO 21920-2:2021 and ISO 4287:1997, 4.5.1, material ratio Rmr(c).

    """
    n = len(falling_um)
    above = n - int(np.searchsorted(falling_um[::-1], level_um, side="left"))
    if above in (0, n):
        return above / n
    high, low = falling_um[above - 1], falling_um[above]
    return float((above - 1 + (high - level_um) / (high - low)) / (n - 1))


def core(falling_um: NDArray[np.float64], *, core_line: CoreLine = CoreLine.SECANT) -> Core:
    """Core height, reduced peak height, reduced pit depth and their material ratios.

    The 40 % secant of least gradient (the first, if several) finds the core.  It is itself
    the straight line (``CoreLine.SECANT``), or the least-squares line through the points
    between its feet is (``CoreLine.LEAST_SQUARES``).

    Parameters
    ----------
    falling_um : ndarray of shape (n,)
        Heights from the highest down [um], n >= 3.
    core_line : CoreLine
        How the line is laid.

    Returns
    -------
    Core
        ``rpk_um`` and ``rvk_um`` are the heights of right triangles with the area of what
        stands out of the core, on ``mr1_ratio`` and ``1 - mr2_ratio`` as base.

    References
    ----------
    ISO 13565-2:1996, clause 4; ISO 21920-2:2021, Rk, Rpk, Rvk, Rmrk1, Rmrk2.

    """
    n = len(falling_um)
    slope, at_top = _line(falling_um, core_line=core_line)
    upper, lower = at_top, at_top + slope
    Mr1 = _crossing(falling_um, level=upper)
    Mr2 = _crossing(falling_um, level=lower)
    step = 1.0 / (n - 1)
    A1 = _area(falling_um[: int(Mr1 / step) + 1] - upper, last=Mr1, step=step)
    A2 = _area(lower - falling_um[::-1][: int((1.0 - Mr2) / step) + 1], last=1.0 - Mr2, step=step)
    return Core(
        rk_um=-slope,
        rpk_um=2.0 * A1 / Mr1 if Mr1 > 0.0 else 0.0,
        rvk_um=2.0 * A2 / (1.0 - Mr2) if Mr2 < 1.0 else 0.0,
        mr1_ratio=Mr1,
        mr2_ratio=Mr2,
    )


def _line(falling_um: NDArray[np.float64], *, core_line: CoreLine) -> tuple[float, float]:
    """Slope per whole ratio and height at ratio zero."""
    n = len(falling_um)
    wide = round(CORE_RATIO * (n - 1))
    drop = falling_um[: n - wide] - falling_um[wide:]
    first = int(np.argmin(drop))
    if core_line is CoreLine.SECANT:
        slope = -float(drop[first]) * (n - 1) / wide
        return slope, float(falling_um[first]) - slope * first / (n - 1)
    inside = falling_um[first : first + wide + 1]
    x = np.arange(first, first + wide + 1) / (n - 1)
    slope = float(np.dot(x - x.mean(), inside) / np.dot(x - x.mean(), x - x.mean()))
    return slope, float(inside.mean() - slope * x.mean())


def _crossing(falling_um: NDArray[np.float64], *, level: float) -> float:
    """Ratio at which the curve passes a height."""
    n = len(falling_um)
    above = n - int(np.searchsorted(falling_um[::-1], level, side="right"))
    if above in (0, n):
        return float(above == n)
    high, low = falling_um[above - 1], falling_um[above]
    return float((above - 1 + (high - level) / (high - low)) / (n - 1))


def _area(excess: NDArray[np.float64], *, last: float, step: float) -> float:
    """Area under a curve of straight pieces that falls to zero at ``last``."""
    whole = float(excess.sum() - 0.5 * (excess[0] + excess[-1])) * step
    rest = last - (len(excess) - 1) * step
    return whole + 0.5 * float(excess[-1]) * rest
