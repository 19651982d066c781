"""Flatness figures that follow from a grid of heights without another reading."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.form import Heights
from castworthy.calc.deck.local import local_flatness
from castworthy.calc.deck.uncertainty import flatness_uncertainty
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.quantity import Quantity

FROM_HEIGHTS = (Quantity.FLATNESS, Quantity.LOCAL_FLATNESS)
"""Quantities that follow from the heights of the deck's grid."""

_FEWEST = 4
_UM = 1000.0
_EDGE_MM = 1e-6

Point = tuple[float, float, float, float | None]


def form_readings(sheet: HeadSheet, *, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Flatness and local flatness of a deck whose whole grid of heights was read.

    A quantity that was read itself, or that the sheet does not limit, is not derived, nor a
    local flatness no window of which holds four places of the grid.  The
    uncertainty is that of the contact points, first order; none when a height has no gauge.

    References
    ----------
    ISO 12781-1 (minimum zone); JCGM 100:2008, 5.1.2 (first-order propagation).

    """
    points = _points(sheet, readings=readings)
    if points is None:
        return ()
    read = {reading.quantity for reading in readings}
    wanted = [
        (quantity, limit.span_mm)
        for quantity in FROM_HEIGHTS
        if quantity not in read and (limit := sheet.limit_for(quantity)) is not None
    ]
    found = ((quantity, _figure(points, span_mm=span_mm)) for quantity, span_mm in wanted)
    return tuple(
        Reading(quantity=quantity, place="", value=figure[0], u=figure[1])
        for quantity, figure in found
        if figure is not None
    )


@lru_cache(maxsize=512)
def _figure(
    points: tuple[Point, ...], *, span_mm: float | None
) -> tuple[float, float | None] | None:
    """Flatness of the whole face, or of its worst window, with its standard uncertainty [mm]."""
    heights = _heights(points)
    if span_mm is not None:
        (worst,) = local_flatness(heights, windows_mm=(span_mm,))
        if worst.points_count < _FEWEST:
            return None
        heights = _inside(heights, middle_mm=(worst.x_mm, worst.y_mm), span_mm=span_mm)
    value_um = minimum_zone(heights).flatness_um
    known = [u for *_, u in points if u is not None]
    if len(known) < len(points):
        return value_um / _UM, None
    u_um = flatness_uncertainty(heights, u_height_mm=max(known))
    return value_um / _UM, u_um / _UM


def _inside(heights: Heights, *, middle_mm: tuple[float, float], span_mm: float) -> Heights:
    """The points of a window, those on its edge too."""
    reach = span_mm / 2.0 + _EDGE_MM
    inside = (np.abs(heights.x_mm - middle_mm[0]) <= reach) & (
        np.abs(heights.y_mm - middle_mm[1]) <= reach
    )
    return Heights(x_mm=heights.x_mm[inside], y_mm=heights.y_mm[inside], z_mm=heights.z_mm[inside])


def _points(sheet: HeadSheet, *, readings: Sequence[Reading]) -> tuple[Point, ...] | None:
    places = sheet.sites_of(Quantity.HEIGHT)
    found = {r.place: r for r in readings if r.quantity is Quantity.HEIGHT}
    if len(places) < _FEWEST or any(place not in found for place in places):
        return None
    spots = {place: sheet.spot_mm(Quantity.HEIGHT, place=place) for place in places}
    return tuple((*spots[place], found[place].value, found[place].u) for place in places)


def _heights(points: tuple[Point, ...]) -> Heights:
    x, y, z = (np.array([point[axis] for point in points], dtype=np.float64) for axis in range(3))
    return Heights(x_mm=x, y_mm=y, z_mm=z)
