"""The least cut that cleans a face, level or tilted, and what a trial cut leaves.

Heights are over the machine's datum.  Stock is c(x, y) = h - P(x, y) >= 0 everywhere, as the
rework plan counts it; a cut is set by its stock over the highest point.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.form import CleanUp, Heights, Plane
from castworthy.calc.deck.frame import checked, over
from castworthy.calc.errors import InputError

TOUCH_MM = 1e-9
"""Stock below this is none."""

_SLACK = 1e-9
_MOST_ADDED = 32
_MOST_ROUNDS = 60

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """A face after a trial cut: what is left uncut.

    ``uncut`` has shape (n,), true where the old surface stays.  ``uncut_ratio`` is their share of
    the points; ``deepest_mm`` how far the lowest of them lies under the new plane, 0 when clean.
    """

    plane: Plane
    uncut: NDArray[np.bool_]
    uncut_ratio: float
    deepest_mm: float


def clean_up_level(heights: Heights) -> CleanUp:
    """The least cut with the cutter plane at the datum that cleans the whole face.

    Parameters
    ----------
    heights
        points of shape (n,) over the machine's datum [mm]

    Returns
    -------
    CleanUp
        highest less lowest point [mm]; the lowest cleans last

    Raises
    ------
    InputError
        If the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source.

    """
    points = checked(heights)
    return _clean(points, a=0.0, b=0.0)


def clean_up_tilted(heights: Heights, *, largest_tilt_ratio: float) -> CleanUp:
    """The cut with the least largest stock that cleans the face, tilted within a bound.

    Of the tilts that share it, the one with the least mean stock.  A linear program over few
    points; those that its plane misses join until none is missed, so the answer is exact over
    all points (to 1e-9 of their range).

    Parameters
    ----------
    heights
        points of shape (n,) over the machine's datum [mm]
    largest_tilt_ratio
        bound of the plane's slope along x and along y each [-], scalar >= 0

    Returns
    -------
    CleanUp
        the largest stock anywhere [mm] and the plane left

    Raises
    ------
    InputError
        If the bound is negative, or the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source; the program is a bounded minimum zone.

    """
    if largest_tilt_ratio < 0:
        raise InputError(f"A largest tilt is not negative, got {largest_tilt_ratio:g}.")
    points = checked(heights)
    if largest_tilt_ratio == 0 or len(points.z_mm) < 2:
        return _clean(points, a=0.0, b=0.0)
    a, b = _tilt(points, most=largest_tilt_ratio)
    return _clean(points, a=a, b=b)


def trial_cut(
    heights: Heights, *, cut_mm: float, a_ratio: float = 0.0, b_ratio: float = 0.0
) -> Trial:
    """What a cut of some depth leaves uncut.

    Parameters
    ----------
    heights
        points of shape (n,) over the machine's datum [mm]
    cut_mm
        stock over the highest point [mm], scalar >= 0
    a_ratio, b_ratio
        slope of the new plane along x and y [-], scalars

    Returns
    -------
    Trial
        the plane and the points it leaves

    Raises
    ------
    InputError
        If the cut is negative, or the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source.

    """
    if cut_mm < 0:
        raise InputError(f"A cut is not negative, got {cut_mm:g} mm.")
    points = checked(heights)
    highest = int(np.argmax(points.z_mm))
    x, y, z = (float(v[highest]) for v in (points.x_mm, points.y_mm, points.z_mm))
    plane = Plane(level_mm=z - cut_mm - a_ratio * x - b_ratio * y, a_ratio=a_ratio, b_ratio=b_ratio)
    stock = over(plane, heights=points)
    uncut = stock < -TOUCH_MM
    return Trial(
        plane=plane,
        uncut=uncut,
        uncut_ratio=float(uncut.mean()),
        deepest_mm=max(0.0, float(-stock.min())) if uncut.any() else 0.0,
    )


def uncut_ratio(
    heights: Heights, *, cut_mm: float, a_ratio: float = 0.0, b_ratio: float = 0.0
) -> float:
    """Share of the points that a trial cut leaves uncut.

    Parameters
    ----------
    heights
        points of shape (n,) over the machine's datum [mm]
    cut_mm
        stock over the highest point [mm], scalar >= 0
    a_ratio, b_ratio
        slope of the new plane along x and y [-], scalars

    Returns
    -------
    float
        0 (clean) to 1 [-]

    References
    ----------
    Common practice, no source.

    """
    return trial_cut(heights, cut_mm=cut_mm, a_ratio=a_ratio, b_ratio=b_ratio).uncut_ratio


def _clean(points: Heights, *, a: float, b: float) -> CleanUp:
    """The highest plane of a slope that no point lies under."""
    rest = over(Plane(level_mm=0.0, a_ratio=a, b_ratio=b), heights=points)
    last = int(np.argmin(rest))
    stock = rest - rest[last]
    return CleanUp(
        cut_mm=float(stock.max()),
        mean_cut_mm=float(stock.mean()),
        plane=Plane(level_mm=float(rest[last]), a_ratio=a, b_ratio=b),
        last_x_mm=float(points.x_mm[last]),
        last_y_mm=float(points.y_mm[last]),
        highest_cut_mm=float(stock[np.argmax(points.z_mm)]),
    )


def _tilt(points: Heights, *, most: float) -> tuple[float, float]:
    """The best slope, by rounds of a small program and one pass over all points each."""
    x, y = points.x_mm, points.y_mm
    ends = [x.argmin(), x.argmax(), y.argmin(), y.argmax()]
    at = np.unique(np.concatenate((minimum_zone(points).contacts, ends)))
    scale = _Scale.of(points)
    for _ in range(_MOST_ROUNDS):
        a, b, largest, level = scale.best(points, at=at, most=most)
        rest = over(Plane(level_mm=level, a_ratio=a, b_ratio=b), heights=points)
        slack = _SLACK * scale.range_mm
        missed = np.flatnonzero((rest < -slack) | (rest > largest + slack))
        missed = np.setdiff1d(missed, at)
        if not missed.size:
            break
        out = np.maximum(-rest[missed], rest[missed] - largest)
        worst = missed[np.argsort(out)[-_MOST_ADDED:]]
        at = np.union1d(at, worst)
    return float(np.clip(a, -most, most)), float(np.clip(b, -most, most))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Middle of the points and how far they reach, so that the program's figures are near 1."""

    x_mm: float
    y_mm: float
    z_mm: float
    reach_mm: float
    range_mm: float
    mean_x: float
    mean_y: float

    @classmethod
    def of(cls, points: Heights) -> "_Scale":
        x, y, z = points.x_mm, points.y_mm, points.z_mm
        reach = max(float(np.ptp(x)), float(np.ptp(y))) / 2 or 1.0
        middle_x, middle_y = float(x.min() + x.max()) / 2, float(y.min() + y.max()) / 2
        return cls(
            x_mm=middle_x,
            y_mm=middle_y,
            z_mm=float(z.min()),
            reach_mm=reach,
            range_mm=float(np.ptp(z)) or 1.0,
            mean_x=(float(x.mean()) - middle_x) / reach,
            mean_y=(float(y.mean()) - middle_y) / reach,
        )

    def best(
        self, points: Heights, *, at: NDArray[np.intp], most: float
    ) -> tuple[float, float, float, float]:
        """Slopes, largest stock and level of the best plane for some of the points.

        Unknowns a, b, level, largest stock; first the least largest stock, then with that held
        the least mean stock, which is the highest plane at the points' mean.
        """
        u = (points.x_mm[at] - self.x_mm) / self.reach_mm
        v = (points.y_mm[at] - self.y_mm) / self.reach_mm
        w = (points.z_mm[at] - self.z_mm) / self.range_mm
        one, none = np.ones(len(at)), np.zeros(len(at))
        rows = np.vstack(
            (np.column_stack((u, v, one, none)), np.column_stack((-u, -v, -one, -one)))
        )
        bounds = np.concatenate((w, -w))
        tilt = most * self.reach_mm / self.range_mm
        free = [(-tilt, tilt), (-tilt, tilt), (None, None)]
        least = _solved((0, 0, 0, 1), rows=rows, bounds=bounds, free=[*free, (0, None)])
        largest = float(least[3]) * (1 + _SLACK) + _SLACK
        a, b, level, _ = _solved(
            (-self.mean_x, -self.mean_y, -1, 0),
            rows=rows,
            bounds=bounds,
            free=[*free, (0, largest)],
        )
        a, b = (float(slope) * self.range_mm / self.reach_mm for slope in (a, b))
        level = self.z_mm + float(level) * self.range_mm - a * self.x_mm - b * self.y_mm
        return a, b, largest * self.range_mm, level


def _solved(
    cost: tuple[float, ...],
    *,
    rows: Floats,
    bounds: Floats,
    free: list[tuple[float | None, float | None]],
) -> Floats:
    answer = linprog(cost, A_ub=rows, b_ub=bounds, bounds=free, method="highs")
    return np.asarray(answer.x, dtype=np.float64)
