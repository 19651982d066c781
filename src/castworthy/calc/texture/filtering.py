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
    overhang = min(ceil(REACH * cutoff_mm / spacing_mm), n)
    size = fft.next_fast_len(n + overhang, real=True)
    frequency = fft.rfftfreq(size, d=spacing_mm)
    transmission = np.exp(-log(2.0) * (cutoff_mm * frequency) ** 2)
    transform = fft.rfft(height_um, size)
    sums = fft.irfft(transform * transmission, size)[:n]
    moments = _Moments(n, spacing_mm=spacing_mm, cutoff_mm=cutoff_mm)
    if ends is Ends.DROPPED:
        return moments.average(sums)
    turn = 2j * log(2.0) / (2.0 * pi) * cutoff_mm**2 * frequency
    leaning = fft.irfft(transform * transmission * turn, size)[:n]
    return moments.line(sums, leaning)


class _Moments:
    """Weight, first and second moment of the part of the window that lies on the trace.

    The weighting function is a normal density of standard deviation
    ``alpha * cutoff / sqrt(2 pi)``, so the moments are closed.
    """

    def __init__(self, n: int, *, spacing_mm: float, cutoff_mm: float) -> None:
        sigma = ALPHA * cutoff_mm / sqrt(2.0 * pi)
        reach = min(ceil(REACH * cutoff_mm / spacing_mm), n)
        ends = (np.arange(reach), np.arange(n - reach, n))
        self.near = np.arange(n) if 2 * reach >= n else np.concatenate(ends)
        at = self.near.astype(np.float64)
        left = -(at + 0.5) * spacing_mm / sigma
        right = (n - 0.5 - at) * spacing_mm / sigma
        at_left, at_right = _density(left), _density(right)
        self.weight = ndtr(right) - ndtr(left)
        self.first = sigma * (at_left - at_right)
        self.second = sigma**2 * (self.weight + left * at_left - right * at_right)

    def average(self, sums: NDArray[np.float64]) -> NDArray[np.float64]:
        """Weighted mean where the window hangs over."""
        sums[self.near] /= self.weight
        return sums

    def line(self, sums: NDArray[np.float64], leaning: NDArray[np.float64]) -> NDArray[np.float64]:
        """Weighted straight line at its middle, where the window hangs over."""
        S0, S1 = sums[self.near], leaning[self.near]
        m0, m1, m2 = self.weight, self.first, self.second
        sums[self.near] = (m2 * S0 - m1 * S1) / (m0 * m2 - m1**2)
        return sums


def _density(x: NDArray[np.float64]) -> NDArray[np.float64]:
    result: NDArray[np.float64] = np.exp(-0.5 * x**2) / sqrt(2.0 * pi)
    return result
