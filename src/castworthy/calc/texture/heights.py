"""Height parameters of a roughness profile cut into equal sections."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Edition


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """Height parameters [um] and shape numbers; the section values in order along the trace."""

    ra_um: float
    rq_um: float
    rz_um: float
    rt_um: float
    rp_um: float
    rv_um: float
    rsk: float
    rku: float
    section_ra_um: tuple[float, ...]
    section_rz_um: tuple[float, ...]


def heights(section_um: NDArray[np.float64], *, edition: Edition) -> Heights:
    """Height parameters about the mean line (height zero).

    Both editions: Rz, Rp, Rv are means over the sections, Rt runs over the evaluation
    length.  Edition 2021 takes Ra, Rq, Rsk, Rku over the evaluation length; edition 1997
    takes them per section and averages (for Ra that is the same figure).

    Parameters
    ----------
    section_um : ndarray of shape (sections, points)
        Roughness heights, one row per section [um].
    edition : Edition
        Whose definitions.

    Returns
    -------
    Heights
        The parameters; ``rsk`` and ``rku`` are 0 where a profile has no height at all.

    References
    ----------
    ISO 21920-2:2021, height parameters (Ra, Rq, Rsk, Rku over the evaluation length; Rz, Rp,
    Rv means over section lengths) and ISO 4287:1997, 4.1 and 4.2 with ISO 4288:1996, 4.4
    (means over sampling lengths): value from memory.

    """
    section_ra = np.abs(section_um).mean(axis=1)
    squares = section_um * section_um
    whole = edition is Edition.ISO_21920_2021
    m2 = _mean(squares, whole=whole)
    m3 = _mean(squares * section_um, whole=whole)
    m4 = _mean(squares * squares, whole=whole)
    peak, pit = section_um.max(axis=1), -section_um.min(axis=1)
    section_rz = peak + pit
    Rq = np.sqrt(m2)
    standing = m2 > 0.0
    divisor = np.where(standing, m2, 1.0)
    return Heights(
        ra_um=float(section_ra.mean()),
        rq_um=float(Rq.mean()),
        rz_um=float(section_rz.mean()),
        rt_um=float(peak.max() + pit.max()),
        rp_um=float(peak.mean()),
        rv_um=float(pit.mean()),
        rsk=float(np.where(standing, m3 / divisor**1.5, 0.0).mean()),
        rku=float(np.where(standing, m4 / divisor**2, 0.0).mean()),
        section_ra_um=tuple(section_ra.tolist()),
        section_rz_um=tuple(section_rz.tolist()),
    )


def _mean(values: NDArray[np.float64], *, whole: bool) -> NDArray[np.float64]:
    return np.array([values.mean()]) if whole else values.mean(axis=1)


def u_of_mean_um(section_um: tuple[float, ...], *, u_stylus_ratio: float) -> float:
    """Standard uncertainty of a parameter from the scatter of its sections and the stylus.

    Parameters
    ----------
    section_um : tuple of float
        The parameter in each section [um].
    u_stylus_ratio : float
        Relative standard uncertainty of the instrument's gain [-].

    Returns
    -------
    float
        ``sqrt(s^2 / n + (u_stylus * mean)^2)`` [um]; one section alone shows no scatter and
        leaves the stylus.

    References
    ----------
    JCGM 100:2008, 4.2.3 (scatter of the mean) and 5.1.2 (sum of squares).

    """
    n = len(section_um)
    mean = sum(section_um) / n
    s2 = sum((value - mean) ** 2 for value in section_um) / (n - 1) if n > 1 else 0.0
    return sqrt(s2 / n + (u_stylus_ratio * mean) ** 2)
