"""Dense scans thinned to the means of square cells, where neighbours and sections are sought."""

import numpy as np

from castworthy.calc.deck.form import Heights
from castworthy.calc.deck.frame import checked

MOST_POINTS = 20_000
"""Above this many points a face is thinned before its points are joined to triangles."""


def thinned(heights: Heights, *, most_count: int = MOST_POINTS) -> Heights:
    """The points as they are, or the means of square cells when there are too many.

    Parameters
    ----------
    heights
        points of shape (n,) [mm]
    most_count
        about how many points are kept

    Returns
    -------
    Heights
        the same points, or one per occupied cell: its mean place and mean height

    Raises
    ------
    InputError
        If the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source.

    """
    points = checked(heights)
    if len(points.z_mm) <= most_count:
        return points
    x, y = points.x_mm - points.x_mm.min(), points.y_mm - points.y_mm.min()
    length, width = float(x.max()), float(y.max())
    pitch = max((length * width / most_count) ** 0.5, max(length, width) / most_count)
    across = int(width // pitch) + 1
    cell = (x // pitch).astype(np.intp) * across + (y // pitch).astype(np.intp)
    counts = np.bincount(cell)
    filled = np.flatnonzero(counts)
    x_mm, y_mm, z_mm = (
        np.bincount(cell, weights=values)[filled] / counts[filled]
        for values in (points.x_mm, points.y_mm, points.z_mm)
    )
    return Heights(x_mm=x_mm, y_mm=y_mm, z_mm=z_mm)
