"""The height field of a face on an even grid, for drawing it with contours."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import cKDTree

from castworthy.calc.deck.cells import thinned
from castworthy.calc.deck.form import Heights, Plane
from castworthy.calc.deck.frame import over
from castworthy.calc.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """Heights over a plane on a grid: ``over_um`` has shape (rows, columns), y up its rows."""

    x_mm: NDArray[np.float64]
    y_mm: NDArray[np.float64]
    over_um: NDArray[np.float64]


def field_of(
    heights: Heights,
    *,
    plane: Plane,
    low_mm: tuple[float, float],
    high_mm: tuple[float, float],
    columns_count: int = 90,
) -> Field:
    """Heights over a plane, on a grid over a rectangle.

    Linear over the triangles between the points, as the rework plan sees the face; outside them
    the nearest point counts.

    Parameters
    ----------
    heights
        points of shape (n,) over an area [mm]
    plane
        heights are told over it
    low_mm, high_mm
        corners (x, y) of the rectangle [mm]
    columns_count
        grid lines along x, 2 or more; as many along y as keep the cells about square

    Returns
    -------
    Field
        the grid [mm] and the heights over the plane [um]

    Raises
    ------
    InputError
        If fewer than two columns are asked for or the rectangle is empty.

    References
    ----------
    Common practice, no source.

    """
    wide, tall = high_mm[0] - low_mm[0], high_mm[1] - low_mm[1]
    if columns_count < 2 or wide <= 0.0 or tall <= 0.0:
        raise InputError("A field has two columns or more over a rectangle that is not empty.")
    rows_count = max(2, round(columns_count * tall / wide))
    x = np.linspace(low_mm[0], high_mm[0], columns_count)
    y = np.linspace(low_mm[1], high_mm[1], rows_count)
    points = thinned(heights)
    known = np.column_stack((points.x_mm, points.y_mm))
    rest_um = 1e3 * over(plane, heights=points)
    spots = np.column_stack([axis.ravel() for axis in np.meshgrid(x, y)])
    found = LinearNDInterpolator(known, rest_um)(spots)
    gaps = np.isnan(found)
    if gaps.any():
        found[gaps] = rest_um[cKDTree(known).query(spots[gaps])[1]]
    return Field(x_mm=x, y_mm=y, over_um=found.reshape(rows_count, columns_count))
