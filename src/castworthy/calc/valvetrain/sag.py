"""Used springs: what they have lost against a new one, and whether they stand square."""

from dataclasses import dataclass
from math import asin, degrees

from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.errors import InputError

LEAST_SHARE_RATIO = 0.90
"""Load a used spring keeps of a new one's (value from memory: not more than 10 % below new)."""

LARGEST_LEAN_DEG = 2.0
"""Lean of a spring standing on a plate (common practice, no source: 1.7 mm on 48 mm)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sag:
    """A used spring against a new one at the same height.

    ``probability`` is that its share of the load is no less than the least; ``None`` where no
    uncertainty is known.
    """

    share_ratio: float
    u_share_ratio: float | None
    lost_n: float
    inside: bool
    probability: float | None


def sag(
    load_n: float,
    *,
    new_load_n: float,
    u_load_n: float | None = None,
    least_share_ratio: float = LEAST_SHARE_RATIO,
) -> Sag:
    """What a used spring has lost against a new one at the same height.

    Shims restore height that seat work took; they do not mend a tired spring.

    Parameters
    ----------
    load_n : float
        Load of the spring [N].
    new_load_n : float
        Load of a new one at that height [N], from the sheet.
    u_load_n : float or None
        Standard uncertainty of the load read [N].
    least_share_ratio : float
        Least share of the new load that is kept [-].

    Returns
    -------
    Sag
        Share kept, and whether it is enough.

    Raises
    ------
    InputError
        If a load cannot be.

    References
    ----------
    Not more than 10 % below new: common practice, no source.  JCGM 106:2012, 7.2.

    """
    if not (load_n >= 0.0 and new_load_n > 0.0):
        raise InputError(
            f"A new spring's load is above 0 and a used one's not below, got {new_load_n:.1f} "
            f"and {load_n:.1f} N."
        )
    share = load_n / new_load_n
    u = None if u_load_n is None else u_load_n / new_load_n
    return Sag(
        share_ratio=share,
        u_share_ratio=u,
        lost_n=new_load_n - load_n,
        inside=share >= least_share_ratio,
        probability=None
        if u is None
        else conformance_probability(share, u=u, low=least_share_ratio, high=None),
    )


def lean_deg(out_of_square_mm: float, *, free_mm: float) -> float:
    """Lean of a spring that stands on a plate beside a square.

    Parameters
    ----------
    out_of_square_mm : float
        Largest gap between its top and the square [mm].
    free_mm : float
        Free height [mm].

    Returns
    -------
    float
        Angle [deg]: 1.7 mm on 48 mm is 2.0.

    Raises
    ------
    InputError
        If the gap is negative or not below the height.

    References
    ----------
    Plane geometry; limits of 1.5 to 1.7 mm or 2 degrees: common practice, no source.

    """
    if not 0.0 <= out_of_square_mm < free_mm:
        raise InputError(
            "A gap to the square is 0 or more and less than the spring's height, got "
            f"{out_of_square_mm:.3f} and {free_mm:.3f} mm."
        )
    return degrees(asin(out_of_square_mm / free_mm))
