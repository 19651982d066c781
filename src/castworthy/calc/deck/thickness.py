"""Deck thickness over the water jacket: thinnest place, core shift, and cuts left."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.errors import InputError
from castworthy.units import Show

U_THICKNESS_RATIO = 0.02
"""Standard uncertainty of an ultrasonic thickness as a share of it.
Common practice, no source: about two per cent with care."""

_SURE = 2.0
_FEWEST = 4

SIDES = (("left", "right"), ("front", "rear"))
"""What the ends along x and along y are called, small coordinate first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessPoint:
    """Thickness read at one place; ``stock_mm`` is what a planned cut takes there."""

    name: str
    x_mm: float
    y_mm: float
    thickness_mm: float
    stock_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """Deck left at a place after the planned cut, over the least thickness, and cuts it holds.

    ``cuts_count`` is how many more cuts of the given depth it stands; ``None`` when no depth of
    a later cut is given.  ``left_mm`` is ``None`` when the sheet gives no least thickness.
    """

    name: str
    after_mm: float
    left_mm: float | None
    cuts_count: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreShift:
    """One side thinner than the other beyond what the readings' scatter explains."""

    thin_side: str
    thick_side: str
    difference_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessMap:
    """What the thickness readings say together."""

    thinnest: str
    thinnest_mm: float
    spread_mm: float
    shifts: tuple[CoreShift, ...]
    left: tuple[Left, ...]
    sentences: tuple[str, ...]


def thickness_map(
    points: Sequence[ThicknessPoint],
    *,
    show: Show,
    least_mm: float | None = None,
    cut_each_mm: float | None = None,
    sides: tuple[tuple[str, str], tuple[str, str]] = SIDES,
) -> ThicknessMap:
    """Thinnest place, spread, core shift, and deck left for next time.

    A core shift is named when a plane through the readings rises from one side to the other by
    more than twice the standard uncertainty of that rise, with the readings' own scatter or
    ``U_THICKNESS_RATIO``, whichever is larger.  It needs four places or more over an area.

    Parameters
    ----------
    points
        readings over the jacket, one or more
    show
        the units of the sentences
    least_mm
        least thickness the sheet allows [mm]; ``None`` when it gives none
    cut_each_mm
        depth of a later cut [mm]; ``None`` leaves cuts uncounted
    sides
        what the ends along x and along y are called

    Returns
    -------
    ThicknessMap
        figures [mm] and sentences

    Raises
    ------
    InputError
        If there is no reading, one is not positive, or a later cut is not.

    References
    ----------
    Common practice, no source; the plane's uncertainty is that of ordinary least squares.

    """
    if not points or any(not p.thickness_mm > 0 for p in points):
        raise InputError("A thickness map needs a reading or more, each above 0 mm.")
    if cut_each_mm is not None and not cut_each_mm > 0:
        raise InputError(f"A later cut is deeper than 0, got {cut_each_mm:g} mm.")
    thick = [p.thickness_mm for p in points]
    thinnest = min(points, key=lambda p: p.thickness_mm)
    shifts = tuple(_shifts(points, sides=sides))
    left = tuple(_left(p, least=least_mm, each=cut_each_mm) for p in points)
    return ThicknessMap(
        thinnest=thinnest.name,
        thinnest_mm=thinnest.thickness_mm,
        spread_mm=max(thick) - min(thick),
        shifts=shifts,
        left=left,
        sentences=(
            f"Thinnest at {thinnest.name}: {show.value(thinnest.thickness_mm, suffix='mm')}.",
            *(_shift_sentence(shift, show=show) for shift in shifts),
            *_left_sentence(left, each=cut_each_mm, show=show),
        ),
    )


def _shifts(
    points: Sequence[ThicknessPoint], *, sides: tuple[tuple[str, str], tuple[str, str]]
) -> list[CoreShift]:
    spots = np.array([(p.x_mm, p.y_mm) for p in points])
    thick = np.array([p.thickness_mm for p in points])
    spans = np.ptp(spots, axis=0)
    ways = [way for way in (0, 1) if spans[way] > 0]
    terms = np.column_stack(
        [np.ones(len(points))]
        + [(spots[:, way] - spots[:, way].mean()) / spans[way] for way in ways]
    )
    if len(points) < _FEWEST or np.linalg.matrix_rank(terms) < terms.shape[1]:
        return []
    rises, u_rises = _plane(terms, thick)
    found = []
    for rise, u, way in zip(rises, u_rises, ways, strict=True):
        if abs(rise) > _SURE * u:
            near, far = sides[way]
            thin, full = (near, far) if rise > 0 else (far, near)
            found.append(CoreShift(thin_side=thin, thick_side=full, difference_mm=abs(float(rise))))
    return sorted(found, key=lambda shift: -shift.difference_mm)


def _plane(
    terms: NDArray[np.float64], thick: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Rise of a least-squares plane over each span, and its standard uncertainty [mm]."""
    inverse = np.linalg.inv(terms.T @ terms)
    fitted = inverse @ (terms.T @ thick)
    left = thick - terms @ fitted
    free = max(len(thick) - terms.shape[1], 1)
    scatter = max(float(np.sqrt(left @ left / free)), U_THICKNESS_RATIO * float(thick.mean()))
    return fitted[1:], scatter * np.sqrt(np.diag(inverse)[1:])


def _left(point: ThicknessPoint, *, least: float | None, each: float | None) -> Left:
    after = point.thickness_mm - point.stock_mm
    left = None if least is None else after - least
    counted = left is not None and each is not None
    return Left(
        name=point.name,
        after_mm=after,
        left_mm=left,
        cuts_count=max(floor((left or 0.0) / (each or 1.0) + 1e-9), 0) if counted else None,
    )


def _shift_sentence(shift: CoreShift, *, show: Show) -> str:
    by = show.value(shift.difference_mm, suffix="mm", difference=True)
    return (
        f"Thin on the {shift.thin_side} side: {by} less than the {shift.thick_side}; the core "
        "moved."
    )


def _left_sentence(left: Sequence[Left], *, each: float | None, show: Show) -> list[str]:
    known = [one for one in left if one.left_mm is not None]
    if not known:
        return []
    worst = min(known, key=lambda one: one.left_mm or 0.0)
    amount = worst.left_mm or 0.0
    by = show.value(abs(amount), suffix="mm", difference=True)
    if amount < 0:
        return [f"The deck at {worst.name} is too thin by {by}."]
    if worst.cuts_count is None or each is None:
        return [f"{by} left at {worst.name} before the least thickness."]
    cuts = "1 cut" if worst.cuts_count == 1 else f"{worst.cuts_count or 'no'} cuts"
    depth = show.value(each, suffix="mm", difference=True)
    return [f"{by} left at {worst.name} before the least thickness: {cuts} of {depth}."]
