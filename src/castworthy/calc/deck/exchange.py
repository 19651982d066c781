"""The narrowest band that holds heights about a fitted surface: Chebyshev's exchange, exact.

Least half-width t with -t <= z_i - f_i c <= t over all points.  That is a linear program in
(c, t); its dual starts from any r + 1 points and gives one of them up for the point that
stands furthest out, until none stands out.  After pivots that gain nothing (grids are full of
ties) Bland's rule takes over, so it ends.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FLAT_RATIO = 1e-13
"""A point stands out when it passes the band by more than this share of the heights."""

_RANK = 1e-9
_PIVOT = 1e-10
_PATIENCE = 8
_MOST_PIVOTS = 20_000

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Band:
    """The narrowest band: its middle, half its width, and the points that hold it there.

    ``coefficients`` has shape (r,).  ``contacts``, ``sides`` (+1 on the upper edge, -1 on the
    lower) and ``shares_ratio`` have one entry per contact; the shares are the program's
    multipliers, one half in all on each edge: d(2 t) / d(z_i) = 2 * side * share.
    """

    coefficients: Floats
    half_mm: float
    contacts: Indices
    sides: Floats
    shares_ratio: Floats


@dataclass(slots=True)
class _Reference:
    """The points that hold the band just now, and the side each holds."""

    points: Indices
    sides: Floats


def independent_terms(terms_ratio: Floats) -> Floats:
    """Orthonormal directions (k, r) that the rows of an (n, k) array span, by greedy choice.

    Parameters
    ----------
    terms_ratio
        (n, k) array, one row per point, entries near 1 [-]

    Returns
    -------
    (k, r) array
        r is 3 for points over an area, 2 for points in a line, 1 for points at one spot.

    References
    ----------
    Gram-Schmidt with row pivoting, a textbook method.

    """
    left = terms_ratio.copy()
    directions: list[Floats] = []
    for _ in range(terms_ratio.shape[1]):
        furthest = left[np.argmax(np.einsum("ij,ij->i", left, left))]
        length = float(np.linalg.norm(furthest))
        if length <= _RANK:
            break
        direction = furthest / length
        directions.append(direction)
        left -= np.outer(left @ direction, direction)
    return np.column_stack(directions)


def narrowest_band(height_mm: Floats, *, terms_ratio: Floats) -> Band:
    """The narrowest band of heights about a combination of terms.

    Parameters
    ----------
    height_mm
        (n,) array of heights [mm], best centred about zero
    terms_ratio
        (n, r) array of full column rank, entries near 1 [-]

    Returns
    -------
    Band
        its middle c (r,), half-width [mm] and contacts; the half-width is 0 for n <= r

    Raises
    ------
    ArithmeticError
        If rounding keeps the exchange from ending; no such case is known.

    References
    ----------
    E. W. Cheney, Introduction to Approximation Theory (1966), chapter 2 (the exchange);
    R. G. Bland, Math. Oper. Res. 2 (1977) 103-107 (the rule against cycling).  Both named from
    memory.

    """
    z, F = height_mm, terms_ratio
    if len(z) <= F.shape[1]:
        return _through_all(z, F)
    margin = FLAT_RATIO * float(np.abs(z).max())
    held = _start(z, F)
    stalled, widest = 0, -1.0
    for _ in range(_MOST_PIVOTS):
        inverse = np.linalg.inv(np.column_stack((held.sides[:, None] * F[held.points], _ones(F))))
        solution = inverse @ (held.sides * z[held.points])
        c, t = solution[:-1], float(solution[-1])
        stalled, widest = (0, t) if t > widest + margin else (stalled + 1, max(widest, t))
        off = z - F @ c
        enters = _stands_out(off, edge=t + margin, first=stalled > _PATIENCE)
        if enters is None:
            return Band(
                coefficients=c,
                half_mm=max(t, 0.0),
                contacts=held.points,
                sides=held.sides,
                shares_ratio=np.maximum(inverse[-1], 0.0),
            )
        side = 1.0 if off[enters] > 0 else -1.0
        gained = inverse.T @ np.append(side * F[enters], 1.0)
        leaves = _gives_up(inverse[-1], gained, points=held.points, first=stalled > _PATIENCE)
        held.points[leaves], held.sides[leaves] = enters, side
    raise ArithmeticError("The exchange did not end.")


def _ones(F: Floats) -> Floats:
    return np.ones(F.shape[1] + 1)


def _through_all(z: Floats, F: Floats) -> Band:
    c = np.asarray(np.linalg.lstsq(F, z, rcond=None)[0], dtype=np.float64)
    nothing = np.zeros(len(z))
    return Band(
        coefficients=c,
        half_mm=0.0,
        contacts=np.arange(len(z)),
        sides=np.ones(len(z)),
        shares_ratio=nothing,
    )


def _start(z: Floats, F: Floats) -> _Reference:
    """Points far apart that fix a surface, and the one that stands furthest off it."""
    left = F.copy()
    points: list[int] = []
    for _ in range(F.shape[1]):
        point = int(np.argmax(np.einsum("ij,ij->i", left, left)))
        direction = left[point] / np.linalg.norm(left[point])
        left -= np.outer(left @ direction, direction)
        points.append(point)
    through = np.linalg.solve(F[points], z[points])
    off = np.abs(z - F @ through)
    off[points] = -1.0
    points.append(int(np.argmax(off)))
    weights = np.append(-np.linalg.solve(F[points[:-1]].T, F[points[-1]]), 1.0)
    if weights @ z[points] < 0:
        weights = -weights
    return _Reference(points=np.array(points), sides=np.where(weights < 0, -1.0, 1.0))


def _stands_out(off: Floats, *, edge: float, first: bool) -> int | None:
    """The point furthest outside the band (or the first one outside), if any is."""
    if first:
        outside = np.flatnonzero(np.abs(off) > edge)
        return int(outside[0]) if outside.size else None
    high, low = int(off.argmax()), int(off.argmin())
    point = high if off[high] >= -off[low] else low
    return point if abs(off[point]) > edge else None


def _gives_up(shares: Floats, gained: Floats, *, points: Indices, first: bool) -> int:
    """The contact whose share falls to nothing soonest as the new one takes its own."""
    falling = gained > _PIVOT
    steps = np.where(falling, np.maximum(shares, 0.0) / np.where(falling, gained, 1.0), np.inf)
    tied = np.flatnonzero(steps <= steps.min() * (1 + 1e-12))
    return int(tied[np.argmin(points[tied])] if first else tied[np.argmax(gained[tied])])
