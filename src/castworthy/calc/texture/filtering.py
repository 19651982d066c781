"""The line taken off a trace and the Gaussian filter that parts waviness from roughness."""

from math import ceil, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.special import ndtr

from castworthy.calc.errors import InputError
from castworthy.calc.texture.profile import Ends

ALPHA = sqrt(log(2.0) / pi)
"""Constant of the filter: half the amplitude passes at the cut-off."""

REACH = 1.25
"""Cut-offs after which a weight is below 1e-9 of the whole and counts as nothing."""

SHORTEST = 8.0
"""Waves per cut-off of which less than 1e-19 passes."""


def levelled(height_um: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take the least-squares line off a trace.

    Parameters
    ----------
    height_um : ndarray of shape (n,)
        Heights at even spacing [um].

    Returns
    -------
    ndarray of shape (n,)
        Heights above the line [um].

    References
    ----------
    ISO 21920-2:2021, association of the nominal form; straight-line regression.

    """
    n = len(height_um)
    x = np.arange(n) - (n - 1) / 2.0
    slope = (x @ height_um) / (n * (n * n - 1.0) / 12.0)
    flat: NDArray[np.float64] = height_um - height_um.mean()
    flat -= slope * x
    return flat


def mean_line(
    height_um: NDArray[np.float64],
    *,
    spacing_mm: float,
    cutoff_mm: float,
    ends: Ends = Ends.DROPPED,
) -> NDArray[np.float64]:
    """Gaussian mean line of a trace: what is longer than the cut-off.

    The weights are those of the standard with no cut of the window, applied by their exact
    Fourier transform.  Near the ends the window hangs over: ``Ends.DROPPED`` divides by the
    weight that lies on the trace (the caller drops that part), ``Ends.REGRESSION`` fits a
    weighted straight line there, so that the whole trace counts.

    Parameters
    ----------
    height_um : ndarray of shape (n,)
        Heights [um].
    spacing_mm : float
        Distance between points [mm], > 0.
    cutoff_mm : float
        Wavelength at which half the amplitude passes [mm], > 0.
    ends : Ends
        What happens where the window hangs over.

    Returns
    -------
    ndarray of shape (n,)
        Mean line [um].

    Raises
    ------
    InputError
        If spacing or cut-off is not positive.

    References
    ----------
    ISO 16610-21:2011, 4.1 (weights), 4.2 (transmission), 4.3 (end effects);
    ISO 16610-31 with p = 1 (regression).

    """
    if not (spacing_mm > 0.0 and cutoff_mm > 0.0):
        raise InputError(
            "A filter needs a spacing and a cut-off above zero "
            f"(got {spacing_mm} mm and {cutoff_mm} mm)."
        )
    n = len(height_um)
    reach = min(ceil(REACH * cutoff_mm / spacing_mm), n)
    size = fft.next_fast_len(n + reach, real=True)
    transform = fft.rfft(height_um, size)
    passing_count = min(len(transform), ceil(SHORTEST * size * spacing_mm / cutoff_mm) + 1)
    frequency = np.arange(passing_count) / (size * spacing_mm)
    transform[:passing_count] *= np.exp(-log(2.0) * (cutoff_mm * frequency) ** 2)
    transform[passing_count:] = 0.0
    sums: NDArray[np.float64] = fft.irfft(transform, size)[:n]
    sigma = ALPHA * cutoff_mm / sqrt(2.0 * pi)
    leaning: NDArray[np.float64] | None = None
    if ends is Ends.REGRESSION:
        turn = 2j * log(2.0) / (2.0 * pi) * cutoff_mm**2 / sigma
        transform[:passing_count] *= turn * frequency
        leaning = fft.irfft(transform, size)[:n]
    _right_the_ends(sums, leaning, reach=reach, step=spacing_mm / sigma)
    return sums


def _right_the_ends(
    sums: NDArray[np.float64],
    leaning: NDArray[np.float64] | None,
    *,
    reach: int,
    step: float,
) -> None:
    """Correct in place what the window lacks near both ends, each seen from its own side.

    ``leaning`` holds the weighted sums of height times distance; ``step`` is the spacing.
    Distances count in standard deviations of the weights.
    """
    n = len(sums)
    at = np.arange(min(reach, n - n // 2), dtype=np.float64)
    left, right = -(at + 0.5) * step, (n - 0.5 - at) * step
    m0 = ndtr(right) - ndtr(left)
    for turned, count in ((slice(None), len(at)), (slice(None, None, -1), min(reach, n // 2))):
        S0 = sums[turned][:count]
        if leaning is None:
            S0 /= m0[:count]
            continue
        S1 = leaning[turned][:count] * (1.0 if turned.step is None else -1.0)
        S0[:] = _line_at_middle(S0, S1, left=left[:count], right=right[:count])


def _line_at_middle(
    S0: NDArray[np.float64],
    S1: NDArray[np.float64],
    *,
    left: NDArray[np.float64],
    right: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Weighted straight line at the middle of windows that reach from left to right.

    ``S0`` and ``S1`` are the weighted sums of the heights and of the heights times their
    distance; the weights are a normal density, so its moments over the window are closed.
    Distances count in its standard deviation.
    """
    at_left, at_right = (np.exp(-0.5 * x**2) / sqrt(2.0 * pi) for x in (left, right))
    m0 = ndtr(right) - ndtr(left)
    m1 = at_left - at_right
    m2 = m0 + left * at_left - right * at_right
    line: NDArray[np.float64] = (m2 * S0 - m1 * S1) / (m0 * m2 - m1**2)
    return line
