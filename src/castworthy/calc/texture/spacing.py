"""Spacing and slope of a roughness profile: profile elements (RSm) and Rdq."""

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Edition

HEIGHT_SHARE = 0.1
"""A peak or pit lower than this share of the height is no element's own."""

WIDTH_SHARE = 0.01
"""A peak or pit narrower than this share of a section is no element's own."""


def mean_element_mm(
    section_um: NDArray[np.float64], *, spacing_mm: float, edition: Edition
) -> float | None:
    """Mean width of the profile elements, RSm.

    A profile element is a peak and the pit beside it, bounded where the profile crosses the
    mean line.  Edition 2021: over the evaluation length, read in both directions (peak then
    pit, pit then peak), heights discriminated by 10 % of the highest peak and of the deepest
    pit.  Edition 1997: per section in the direction of the trace, 10 % of that section's Rz,
    the sections without a whole element left out (over the evaluation length where none has
    one).  Both: peaks and pits narrower than 1 % of
    a section belong to their neighbour.

    Parameters
    ----------
    section_um : ndarray of shape (sections, points)
        Roughness heights, one row per section [um].
    spacing_mm : float
        Distance between points [mm].
    edition : Edition
        Whose definitions.

    Returns
    -------
    float or None
        Mean width [mm]; ``None`` where not one whole element is found.

    References
    ----------
    ISO 4287:1997, 3.2.7 and 4.3.1; ISO 4288:1996, 4.5; ISO 21920-2:2021, Rsm (both
    directions and the thresholds as makers' manuals quote them): value from memory.

    """
    narrow = WIDTH_SHARE * section_um.shape[1]
    if edition is Edition.ISO_21920_2021:
        z = section_um.reshape(-1)
        crossing = _crossings(z, peak=HEIGHT_SHARE * z.max(), pit=-HEIGHT_SHARE * z.min())
        return _both_directions(_merged(crossing, narrow=narrow), spacing_mm=spacing_mm)
    means = []
    for z in section_um:
        least = HEIGHT_SHARE * float(z.max() - z.min())
        crossing = _merged(_crossings(z, peak=least, pit=least), narrow=narrow)
        pairs_count = (len(crossing) - 1) // 2
        if pairs_count > 0:
            means.append(float(crossing[2 * pairs_count] - crossing[0]) / pairs_count)
    if means:
        return spacing_mm * sum(means) / len(means)
    return mean_element_mm(section_um, spacing_mm=spacing_mm, edition=Edition.ISO_21920_2021)


def _both_directions(crossing: NDArray[np.float64], *, spacing_mm: float) -> float | None:
    if len(crossing) < 3:
        return None
    return spacing_mm * float((crossing[2:] - crossing[:-2]).mean())


def _crossings(z: NDArray[np.float64], *, peak: float, pit: float) -> NDArray[np.float64]:
    """Where the profile goes through zero between a peak and a pit that both count [points].

    A rise or fall that stays below its threshold belongs to what stood before it, so the
    crossing is the last one before the new side's threshold is passed.
    """
    counts = np.flatnonzero((z > peak) | (z < -pit))
    if len(counts) < 2:
        return np.empty(0)
    up = z[counts] > 0.0
    turns = np.flatnonzero(up[1:] != up[:-1])
    to = counts[turns + 1]
    changes = np.flatnonzero((z[1:] > 0.0) != (z[:-1] > 0.0))
    last = changes[np.searchsorted(changes, to, side="left") - 1]
    return np.asarray(last + z[last] / (z[last] - z[last + 1]))


def _merged(crossing: NDArray[np.float64], *, narrow: float) -> NDArray[np.float64]:
    """Crossings with narrow peaks and pits joined to their neighbours, the narrowest first.

    Taking out a run takes out both its crossings; of two narrow runs side by side only the
    narrower goes at once.
    """
    while len(crossing) > 2:
        width = np.diff(crossing)
        before = np.concatenate([[np.inf], width[:-1]])
        after = np.concatenate([width[1:], [np.inf]])
        goes = (width < narrow) & (width <= before) & (width < after)
        if not goes.any():
            break
        keep = np.ones(len(crossing), dtype=bool)
        keep[:-1] &= ~goes
        keep[1:] &= ~goes
        crossing = crossing[keep]
    return crossing


def rms_slope(height_um: NDArray[np.float64], *, spacing_mm: float) -> float:
    """Root-mean-square slope Rdq by the seven-point formula.

    Parameters
    ----------
    height_um : ndarray of shape (n,)
        Roughness heights over the evaluation length [um], n >= 7.
    spacing_mm : float
        Distance between points [mm].

    Returns
    -------
    float
        Slope, micrometre per micrometre [-].

    References
    ----------
    ISO 4287:1997, 4.4.1 and 3.2.9 (local slope); ISO 21920-2:2021 keeps the formula: value
    from memory.

    """
    z = height_um
    rise = 45.0 * (z[4:-2] - z[2:-4])
    rise -= 9.0 * (z[5:-1] - z[1:-5])
    rise += z[6:] - z[:-6]
    return sqrt(float(np.dot(rise, rise)) / len(rise)) / (60.0 * spacing_mm * 1000.0)
