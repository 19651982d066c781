"""Sudden changes of height: the largest step between two neighbouring points.

Neighbours are the points next to each other in the rows and columns of a grid; where the points
form no grid, the points that a triangulation joins, long joins along its rim left out.  Dense
scans without a grid are first thinned to cell means.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from castworthy.calc.deck.cells import thinned
from castworthy.calc.deck.flatness import least_squares
from castworthy.calc.deck.form import Heights, Step
from castworthy.calc.deck.frame import checked, over

_SAME_MM = 1e-6
_IN_GRID_RATIO = 0.9
_LONG_RATIO = 2.5

Pairs = NDArray[np.intp]


def step_between_neighbours(heights: Heights) -> Step:
    """The largest change of height between two neighbours, over the least-squares plane.

    Parameters
    ----------
    heights
        points of shape (n,) over an area [mm]

    Returns
    -------
    Step
        the change [um], 0 or more, and its two places; the higher one last

    Raises
    ------
    InputError
        If the arrays differ in shape, hold no point or a value that is no number.

    References
    ----------
    Common practice, no source.

    """
    points = checked(heights)
    pairs = _in_rows_and_columns(points)
    if pairs is None:
        points = thinned(points)
        pairs = _in_triangles(points)
    off = over(least_squares(points).plane, heights=points)
    steps = np.abs(off[pairs[:, 0]] - off[pairs[:, 1]])
    if not steps.size:
        nowhere = (float(points.x_mm[0]), float(points.y_mm[0]))
        return Step(step_um=0.0, from_mm=nowhere, to_mm=nowhere)
    largest = int(np.argmax(steps))
    low, high = sorted(pairs[largest].tolist(), key=lambda at: float(off[at]))
    return Step(
        step_um=float(1e3 * steps[largest]),
        from_mm=(float(points.x_mm[low]), float(points.y_mm[low])),
        to_mm=(float(points.x_mm[high]), float(points.y_mm[high])),
    )


def _in_rows_and_columns(points: Heights) -> Pairs | None:
    """Pairs next to each other in rows and columns; ``None`` when the points form no grid."""
    columns, rows = (
        np.rint((v - v.min()) / _SAME_MM).astype(np.int64) for v in (points.x_mm, points.y_mm)
    )
    pairs = []
    for line, along in ((rows, columns), (columns, rows)):
        found = _next_in_line(line, along)
        met = np.zeros(len(line), dtype=np.bool_)
        met[found] = True
        if met.mean() < _IN_GRID_RATIO:
            return None
        pairs.append(found)
    return np.concatenate(pairs)


def _next_in_line(line: NDArray[np.int64], along: NDArray[np.int64]) -> Pairs:
    order = np.argsort(line * (int(along.max()) + 1) + along, kind="stable")
    same = line[order][1:] == line[order][:-1]
    return np.column_stack((order[:-1][same], order[1:][same]))


def _in_triangles(points: Heights) -> Pairs:
    spots = np.column_stack((points.x_mm, points.y_mm))
    triangles = Delaunay(spots).simplices
    edges = np.sort(np.concatenate([triangles[:, [i, j]] for i, j in ((0, 1), (1, 2), (0, 2))]))
    edges = np.unique(edges.astype(np.intp), axis=0)
    lengths = np.linalg.norm(spots[edges[:, 0]] - spots[edges[:, 1]], axis=1)
    near: Pairs = edges[lengths <= _LONG_RATIO * np.median(lengths)]
    return near
