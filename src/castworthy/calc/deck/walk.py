"""The order in which a person walks a grid: there along one row, back along the next."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

_ROW_RATIO = 0.25


def walking_order(places_mm: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """Indices of places in snake order along the face's longer way.

    Rows part where the gap across exceeds a quarter of the largest one, so that places that are
    a little out of line stay in their row.

    Parameters
    ----------
    places_mm
        (x, y) of every place [mm]

    Returns
    -------
    tuple of int
        the first row from its start to its end, the next one back, and so on

    References
    ----------
    Common practice, no source.

    """
    spots = np.asarray(places_mm, dtype=np.float64).reshape(-1, 2)
    if not len(spots):
        return ()
    length, width = np.ptp(spots, axis=0)
    along, across = (spots[:, 0], spots[:, 1]) if length >= width else (spots[:, 1], spots[:, 0])
    walked: list[int] = []
    for number, row in enumerate(_rows(across)):
        in_order = row[np.argsort(along[row], kind="stable")]
        walked += (in_order if number % 2 == 0 else in_order[::-1]).tolist()
    return tuple(walked)


def _rows(across: NDArray[np.float64]) -> list[NDArray[np.intp]]:
    order = np.argsort(across, kind="stable")
    gaps = np.diff(across[order])
    if not gaps.size:
        return [order]
    return np.split(order, np.flatnonzero(gaps > _ROW_RATIO * gaps.max()) + 1)
