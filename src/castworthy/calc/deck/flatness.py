"""Flatness of a face: the minimum zone, exact, and least squares.

Distances are taken along z.  Where the points lean by more than ``LEVEL_RATIO`` they are first
turned so that the plane found lies level, and the fit is made again; the width is then
corrected by 1 / sqrt(1 + a2 + b2).  Without a turn the width along z is exact to about the
square of the lean, 1e-6 of it at most.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot, isfinite
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.deck.exchange import FLAT_RATIO, Band, independent_terms, narrowest_band
from castworthy.calc.deck.form import Heights, Plane
from castworthy.calc.deck.frame import Turn, checked, lean_ratio, over
from castworthy.calc.errors import InputError

LEVEL_RATIO = 1e-3
"""Points that lean by more than this are turned level first."""

_TURNS = 4
_SAMPLE = 8192
_CHUNK = 16_384
_MOST_PER_CHUNK = 64
_GOLDEN = 0.6180339887498949

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """The narrowest pair of parallel planes that holds every point.

    ``plane`` lies in the middle.  ``contacts`` are the indices of the points that hold the
    planes, ``sides`` +1 for the upper plane and -1 for the lower, ``shares_ratio`` how the
    width follows each contact: d(width) / d(z_i) = side * share; each side sums to 1.
    """

    flatness_um: float
    plane: Plane
    contacts: Indices
    sides: Floats
    shares_ratio: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastSquares:
    """Peak to valley about the least-squares plane [um]."""

    flatness_um: float
    plane: Plane


def minimum_zone(heights: Heights) -> Zone:
    """The narrowest pair of parallel planes that holds every point, exact.

    A sample is solved by the exchange; one pass over all points finds those outside; they join
    the sample until none is outside.  The answer is then the optimum over all points, however
    few of them were weighed.

    Parameters
    ----------
    heights
        points of shape (n,), n >= 1 [mm]; points in a line give their straightness, points at
        one spot their difference, three points over an area are flat

    Returns
    -------
    Zone
        width [um], its middle plane and the contact points

    Raises
    ------
    InputError
        If the arrays differ in shape, hold no point or a value that is no number.

    References
    ----------
    ISO 12781-1:2011, minimum zone reference planes (named from memory); constraint generation
    over a sample is a textbook method of linear programming.

    """
    plane, lean, (band, contacts) = _levelled(checked(heights), fit=_narrowest)
    held = band.shares_ratio > FLAT_RATIO
    if not held.any():
        held[:] = True
    return Zone(
        flatness_um=2e3 * band.half_mm * lean,
        plane=plane,
        contacts=contacts[held],
        sides=band.sides[held],
        shares_ratio=2.0 * band.shares_ratio[held],
    )


def least_squares(heights: Heights) -> LeastSquares:
    """Peak to valley about the least-squares plane.

    Parameters
    ----------
    heights
        points of shape (n,), n >= 1 [mm]

    Returns
    -------
    LeastSquares
        peak to valley [um] and the plane

    Raises
    ------
    InputError
        If the arrays differ in shape, hold no point or a value that is no number.

    References
    ----------
    ISO 12781-1:2011, least squares reference plane (named from memory).

    """
    plane, lean, peak_to_valley = _levelled(checked(heights), fit=_squares)
    return LeastSquares(flatness_um=1e3 * peak_to_valley * lean, plane=plane)


def _levelled(
    points: Heights, *, fit: Callable[[Heights], tuple[Plane, Found]]
) -> tuple[Plane, float, Found]:
    """A fit along z, made again in the frame of its own plane while that leans too much."""
    plane, found = fit(points)
    leaning = plane
    for _ in range(_TURNS):
        if hypot(leaning.a_ratio, leaning.b_ratio) <= LEVEL_RATIO:
            break
        turn = Turn.of(plane, heights=points)
        leaning, found = fit(turn.level(points))
        plane = turn.back(leaning)
    return plane, lean_ratio(leaning), found


def _narrowest(points: Heights) -> tuple[Plane, tuple[Band, Indices]]:
    """The narrowest band along z: its plane, and the band with its contacts among all points."""
    count = len(points.z_mm)
    at = _sample(count)
    frame = _Frame.of(points, at=at)
    if frame.terms < 3 and len(at) < count:
        at = np.arange(count)
        frame = _Frame.of(points, at=at)
    while True:
        band = frame.band(points, at=at)
        plane = frame.plane(band)
        if len(at) == count:
            break
        missed = _outside(points, plane=plane, half_mm=band.half_mm)
        missed = np.setdiff1d(missed, at, assume_unique=True)
        if not missed.size:
            break
        at = np.union1d(at, missed)
    return plane, (band, at[band.contacts])


def _sample(count: int) -> Indices:
    """All points, or some thousands spread evenly and out of step with any grid."""
    if count <= 2 * _SAMPLE:
        return np.arange(count)
    return np.unique((np.arange(1, _SAMPLE + 1) * _GOLDEN % 1.0 * count).astype(np.intp))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Frame:
    """Terms 1, x, y centred and scaled to entries near 1, in directions the points span."""

    middle_mm: Floats
    reach_mm: float
    directions: Floats

    @classmethod
    def of(cls, points: Heights, *, at: Indices) -> "_Frame":
        """The frame of some of the points."""
        spots = (points.x_mm[at], points.y_mm[at], points.z_mm[at])
        middle = np.array([(v.min() + v.max()) / 2 for v in spots])
        if not np.isfinite(middle).all():
            raise InputError("A height or its place is no number; take that point out.")
        reach = max(float(v.max() - v.min()) for v in spots[:2]) / 2 or 1.0
        bare = cls(middle_mm=middle, reach_mm=reach, directions=np.eye(3))
        directions = independent_terms(bare.of_points(points, at=at))
        return cls(middle_mm=middle, reach_mm=reach, directions=directions)

    @property
    def terms(self) -> int:
        """How many directions the points span: 3 over an area, 2 in a line."""
        return int(self.directions.shape[1])

    def of_points(self, points: Heights, *, at: Indices) -> Floats:
        """The terms of some of the points, (n, r)."""
        x, y, _ = self.middle_mm
        plain = np.column_stack(
            (
                np.ones(len(at)),
                (points.x_mm[at] - x) / self.reach_mm,
                (points.y_mm[at] - y) / self.reach_mm,
            )
        )
        return plain @ self.directions

    def band(self, points: Heights, *, at: Indices) -> Band:
        """The narrowest band of some of the points."""
        terms = self.of_points(points, at=at)
        return narrowest_band(points.z_mm[at] - self.middle_mm[2], terms_ratio=terms)

    def plane(self, band: Band) -> Plane:
        """The middle of a band as a plane in x and y."""
        c, p, q = self.directions @ band.coefficients
        a, b = p / self.reach_mm, q / self.reach_mm
        x, y, z = self.middle_mm
        return Plane(level_mm=float(z + c - a * x - b * y), a_ratio=float(a), b_ratio=float(b))


def _outside(points: Heights, *, plane: Plane, half_mm: float) -> Indices:
    """Points outside a band about a plane; of many in one stretch the furthest out."""
    margin = FLAT_RATIO * (half_mm + abs(plane.level_mm) + float(np.abs(points.z_mm[:1]).max()))
    edge = half_mm + margin
    found: list[Indices] = []
    for start in range(0, len(points.z_mm), _CHUNK):
        stretch = slice(start, start + _CHUNK)
        off = over(
            plane,
            heights=Heights(
                x_mm=points.x_mm[stretch], y_mm=points.y_mm[stretch], z_mm=points.z_mm[stretch]
            ),
        )
        high, low = float(off.max()), float(off.min())
        if not isfinite(high - low):
            raise InputError("A height or its place is no number; take that point out.")
        if high > edge or low < -edge:
            out = np.flatnonzero(np.abs(off) > edge)
            if len(out) > _MOST_PER_CHUNK:
                out = out[np.argpartition(np.abs(off[out]), -_MOST_PER_CHUNK)[-_MOST_PER_CHUNK:]]
            found.append(out + start)
    return np.concatenate(found) if found else np.array([], dtype=np.intp)


def _squares(points: Heights) -> tuple[Plane, float]:
    """The least-squares plane along z and the heights' range about it."""
    x0, y0, z0 = (float(v.mean()) for v in (points.x_mm, points.y_mm, points.z_mm))
    if not isfinite(x0 + y0 + z0):
        raise InputError("A height or its place is no number; take that point out.")
    x, y, z = points.x_mm - x0, points.y_mm - y0, points.z_mm - z0
    xy = _sum(x, y)
    moments = np.array([[_sum(x, x), xy], [xy, _sum(y, y)]])
    a, b = np.linalg.pinv(moments, rcond=1e-12, hermitian=True) @ (_sum(x, z), _sum(y, z))
    z -= a * x
    z -= b * y
    plane = Plane(level_mm=float(z0 - a * x0 - b * y0), a_ratio=float(a), b_ratio=float(b))
    return plane, float(z.max() - z.min())


def _sum(one: Floats, other: Floats) -> float:
    """Sum of products, without waking a second core."""
    return float(np.einsum("i,i->", one, other))
