"""Local flatness: the worst window of a span.

A window is a square along the face's edges.  Whatever points a square of that span can hold,
one whose left edge and lower edge each pass through a point holds them too, and a zone only
grows with its points; so those squares are enough.  Where they are more than ``MOST_WINDOWS``,
or the points more than ``MOST_POINTS`` (dense scans), squares step by an eighth of the span
instead: the answer is then never too large, but may fall short of the worst window by what an
eighth of a span can change.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.deck.flatness import least_squares, minimum_zone
from castworthy.calc.deck.form import Heights, LocalFlatness
from castworthy.calc.deck.frame import checked
from castworthy.calc.errors import InputError

MOST_WINDOWS = 1024
MOST_POINTS = 20_000
STEPS_PER_SPAN = 8

_EDGE_RATIO = 1e-9
_FEWEST = 3

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """A square from its left and lower edge, with a bound on its flatness."""

    left: float
    low: float
    at_most_um: float


def local_flatness(heights: Heights, *, windows_mm: tuple[float, ...]) -> tuple[LocalFlatness, ...]:
    """The worst window of every span: its exact minimum zone and where it lies.

    Parameters
    ----------
    heights
        points of shape (n,) [mm]
    windows_mm
        spans of the windows [mm], each > 0

    Returns
    -------
    tuple of LocalFlatness
        one per span, in the order asked; a span no window of which holds three points is 0

    Raises
    ------
    InputError
        If a span is not positive, or the arrays differ in shape or hold no point.

    References
    ----------
    Common practice, no source: a straightedge or plate of the span laid anywhere on the face.

    """
    if bad := [span for span in windows_mm if not span > 0]:
        raise InputError(f"A window of local flatness is wider than 0, got {bad[0]:g} mm.")
    points = _sorted(checked(heights))
    return tuple(_worst(points, span=span) for span in windows_mm)


def _sorted(points: Heights, *, by_y: bool = False) -> Heights:
    order = np.argsort(points.y_mm if by_y else points.x_mm)
    return Heights(x_mm=points.x_mm[order], y_mm=points.y_mm[order], z_mm=points.z_mm[order])


def _worst(points: Heights, *, span: float) -> LocalFlatness:
    windows = sorted(_windows(points, span=span), key=lambda window: -window.at_most_um)
    worst, flatness = None, -1.0
    for window in windows:
        if window.at_most_um <= flatness:
            break
        strip = _sorted(_strip(points, left=window.left, span=span), by_y=True)
        held = _between(strip, low=window.low, span=span)
        zone = minimum_zone(held)
        if zone.flatness_um > flatness:
            worst, flatness = held, zone.flatness_um
    held = worst or points
    return LocalFlatness(
        window_mm=span,
        flatness_um=max(flatness, 0.0),
        x_mm=_middle(held.x_mm),
        y_mm=_middle(held.y_mm),
        points_count=len(held.z_mm) if worst is not None else 0,
    )


def _middle(values: Floats) -> float:
    return float(values.min() + values.max()) / 2


def _windows(points: Heights, *, span: float) -> Iterator[_Window]:
    """Every window of three points or more, with a bound on its flatness by least squares."""
    starts_x, starts_y = _starts(points, span=span)
    for left in starts_x.tolist():
        strip = _sorted(_strip(points, left=left, span=span), by_y=True)
        for low in starts_y.tolist():
            held = _between(strip, low=low, span=span)
            if len(held.z_mm) >= _FEWEST:
                bound = least_squares(held).flatness_um
                yield _Window(left=left, low=low, at_most_um=bound)


def _strip(points: Heights, *, left: float, span: float) -> Heights:
    """Points from a left edge on over the span; they are sorted by x."""
    return _cut(points, by=points.x_mm, start=left, span=span)


def _between(strip: Heights, *, low: float, span: float) -> Heights:
    """Points from a lower edge on over the span; they are sorted by y."""
    return _cut(strip, by=strip.y_mm, start=low, span=span)


def _cut(points: Heights, *, by: Floats, start: float, span: float) -> Heights:
    near, far = start - span * _EDGE_RATIO, start + span * (1 + _EDGE_RATIO)
    held = slice(np.searchsorted(by, near), np.searchsorted(by, far, side="right"))
    return Heights(x_mm=points.x_mm[held], y_mm=points.y_mm[held], z_mm=points.z_mm[held])


def _starts(points: Heights, *, span: float) -> tuple[Floats, Floats]:
    """Left and lower edges of the windows: at the points, else stepped."""
    x, y = points.x_mm, points.y_mm
    if len(x) <= MOST_POINTS:
        lefts, lows = _at_points(x, span=span), _at_points(y, span=span)
        if len(lefts) * len(lows) <= MOST_WINDOWS:
            return lefts, lows
    return _stepped(x, span=span), _stepped(y, span=span)


def _at_points(values: Floats, *, span: float) -> Floats:
    """Places of points up to the first from which a window reaches the far edge."""
    places = np.unique(values)
    reaching = int(np.searchsorted(places, places[-1] - span * (1 + _EDGE_RATIO)))
    return places[: reaching + 1]


def _stepped(values: Floats, *, span: float) -> Floats:
    low, high = float(values.min()), float(values.max())
    free = max(high - low - span, 0.0)
    return np.linspace(low, low + free, ceil(free / span * STEPS_PER_SPAN) + 1)
