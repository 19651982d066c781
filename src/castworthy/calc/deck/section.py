"""A section through the face: its height along a line, for drawing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, cKDTree

from castworthy.calc.deck.cells import thinned
from castworthy.calc.deck.form import Heights
from castworthy.calc.errors import InputError

_ON_LINE_MM = 1e-9

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """Heights along a line; three arrays of shape (n,) and the way from its start."""

    x_mm: NDArray[np.float64]
    y_mm: NDArray[np.float64]
    way_mm: NDArray[np.float64]
    z_mm: NDArray[np.float64]


def section(
    heights: Heights,
    *,
    from_mm: tuple[float, float],
    to_mm: tuple[float, float],
    points_count: int = 101,
) -> Section:
    """Height of the face along a line, as the rework plan sees it.

    Linear over the triangles between points; outside them the nearest point counts.

    Parameters
    ----------
    heights
        points of shape (n,) over an area [mm]; dense scans are thinned to cell means
    from_mm, to_mm
        ends of the line (x, y) [mm]
    points_count
        how many places along it, 2 or more

    Returns
    -------
    Section
        places, way from the start and heights [mm]

    Raises
    ------
    InputError
        If fewer than two places are asked for, or the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source.

    """
    if points_count < 2:
        raise InputError(f"A section has two places or more, got {points_count}.")
    points = thinned(heights)
    share = np.linspace(0.0, 1.0, points_count)
    start, end = np.array(from_mm), np.array(to_mm)
    length = float(np.hypot(*(end - start)))
    spots = start + np.outer(share, end - start)
    known = np.column_stack((points.x_mm, points.y_mm))
    z = points.z_mm[cKDTree(known).query(spots)[1]]
    way, height = _crossings(known, points.z_mm, start=start, along=(end - start) / (length or 1.0))
    if way.size:
        inside = (share * length >= way[0]) & (share * length <= way[-1])
        z[inside] = np.interp(share[inside] * length, way, height)
    return Section(x_mm=spots[:, 0], y_mm=spots[:, 1], way_mm=share * length, z_mm=z)


def _crossings(known: Floats, z: Floats, *, start: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Where a line crosses the sides of the triangles: the way from its start, and the height.

    Between two crossings the height is linear, so they hold the whole section.
    """
    triangles = Delaunay(known).simplices
    sides = np.concatenate([triangles[:, [i, j]] for i, j in ((0, 1), (1, 2), (0, 2))])
    off = (known - start) @ np.array([-along[1], along[0]])
    off[np.abs(off) < _ON_LINE_MM] = 0.0
    met = sides[off[sides[:, 0]] * off[sides[:, 1]] <= 0]
    one, other = np.concatenate((met, met[:, ::-1])).T
    gap = off[one] - off[other]
    share = np.where(gap == 0, 0.0, off[one] / np.where(gap == 0, 1.0, gap))
    way = (known - start) @ along
    crossed = way[one] + share * (way[other] - way[one])
    order = np.argsort(crossed, kind="stable")
    return crossed[order], (z[one] + share * (z[other] - z[one]))[order]
