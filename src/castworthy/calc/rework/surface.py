"""The deck as measured: height of the metal at any spot, and where the cutter touches first."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, QhullError

from castworthy.calc.head import HeadSheet, PlaceKind, Reading
from castworthy.calc.quantity import Quantity

_EDGE = 1e-9


class Surface:
    """Heights of the deck against its highest spot [mm, none above 0].

    Between the height points the surface is linear over their triangulation; outside their
    hull (and where they span no area) the nearest point counts.  Without height rows the deck
    is flat and its origin lies in the middle of the outline.
    """

    def __init__(self, sheet: HeadSheet, *, readings: Sequence[Reading]) -> None:
        """Take the height rows out of a head's readings."""
        spots = {p.name: (p.x_mm, p.y_mm) for p in sheet.places if p.kind is PlaceKind.HEIGHT}
        rows = [r for r in readings if r.quantity is Quantity.HEIGHT]
        self.measured = bool(rows)
        if rows:
            self.spots_mm = np.array([spots[r.place] for r in rows], dtype=np.float64)
            heights = np.array([r.value for r in rows], dtype=np.float64)
        else:
            self.spots_mm = np.array([sheet.spot_mm(Quantity.HEAD_HEIGHT, place="")])
            heights = np.zeros(1)
        self.heights_mm = heights - heights.max()
        first = int(np.argmax(self.heights_mm))
        self.origin_mm = (float(self.spots_mm[first, 0]), float(self.spots_mm[first, 1]))
        self._triangles = _triangulation(self.spots_mm)

    @property
    def range_mm(self) -> float:
        """Highest to lowest height point."""
        return float(-self.heights_mm.min())

    @property
    def bow_mm(self) -> float:
        """Highest to lowest height point off the least-squares plane."""
        if len(self.heights_mm) < 3:
            return self.range_mm
        plane = np.column_stack((np.ones(len(self.spots_mm)), self.spots_mm))
        fit, *_ = np.linalg.lstsq(plane, self.heights_mm, rcond=None)
        off = self.heights_mm - plane @ fit
        return float(off.max() - off.min())

    def at(self, spots_mm: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
        """Heights at spots of the deck [mm]."""
        wanted = np.asarray(spots_mm, dtype=np.float64).reshape(-1, 2)
        gaps = np.linalg.norm(wanted[:, None, :] - self.spots_mm[None, :, :], axis=2)
        heights: NDArray[np.float64] = self.heights_mm[np.argmin(gaps, axis=1)]
        if self._triangles is None:
            return heights
        found = self._triangles.find_simplex(wanted, tol=_EDGE)
        inside = np.flatnonzero(found >= 0)
        corners = self._triangles.simplices[found[inside]]
        for spot, corner in zip(inside, corners, strict=True):
            heights[spot] = _on_triangle(
                wanted[spot], self.spots_mm[corner], self.heights_mm[corner]
            )
        return heights


def _on_triangle(
    spot: NDArray[np.float64], corners: NDArray[np.float64], heights: NDArray[np.float64]
) -> float:
    """Height on the plane through three corners (by areas: no threads are woken for a 3 by 3)."""
    (ax, ay), (bx, by) = (corners[:2] - corners[2]).tolist()
    x, y = (spot - corners[2]).tolist()
    area = ax * by - bx * ay
    first, second = (x * by - bx * y) / area, (ax * y - x * ay) / area
    shares = np.clip((first, second, 1.0 - first - second), 0.0, 1.0)
    return float(shares @ heights)


def _triangulation(spots: NDArray[np.float64]) -> Delaunay | None:
    centred = spots - spots.mean(axis=0)
    if len(spots) < 3 or np.linalg.matrix_rank(centred, tol=_EDGE * (1 + np.abs(spots).max())) < 2:
        return None
    try:
        return Delaunay(spots)
    except QhullError:
        return None
