"""The ideal cusp a round insert leaves at one feed: its height and its roughness."""

from dataclasses import dataclass
from math import asin, isclose, sqrt

from scipy.optimize import brentq

from castworthy.calc.errors import InputError

WIDEST_SHARE_RATIO = 1.0
"""Feed over insert radius up to which the arcs still meet on the round of the insert."""

SMALL_RATIO = 0.02
"""Share of the radius under which four terms of the series hold every digit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cusp:
    """Height and arithmetical mean of the ideal profile, by exact arc and by parabola [um]."""

    rt_um: float
    ra_um: float
    parabola_rt_um: float
    parabola_ra_um: float


def cusp(*, feed_mm: float, nose_mm: float) -> Cusp:
    """Ideal profile of one insert: arcs of its radius side by side at the feed.

    With f the feed and r the radius, the arc lies ``z(x) = r - sqrt(r^2 - x^2)`` above its
    lowest point for ``|x| <= f/2``.  Its mean line and the mean departure from it are closed
    integrals; no parabola is put in its place.

    Parameters
    ----------
    feed_mm : float
        Feed per revolution [mm], scalar, > 0.
    nose_mm : float
        Radius of the insert [mm], scalar; the feed is at most this radius.

    Returns
    -------
    Cusp
        ``rt_um = r - sqrt(r^2 - f^2/4)`` and its exact Ra; parabola ``f^2/(8 r)`` and
        ``f^2/(18 sqrt(3) r)``.

    Raises
    ------
    InputError
        If a length is not positive, or the feed is wider than the insert's radius.

    References
    ----------
    Circle geometry; the parabola is the textbook's shortened form.

    """
    if not (feed_mm > 0.0 and nose_mm > 0.0):
        raise InputError(
            f"Feed and insert radius must be above 0 mm (got {feed_mm} and {nose_mm})."
        )
    if feed_mm > WIDEST_SHARE_RATIO * nose_mm:
        raise InputError(
            f"A feed of {feed_mm:g} mm is wider than the insert's radius of {nose_mm:g} mm: its "
            "flanks would cut; take a smaller feed or a larger insert."
        )
    f, r = feed_mm, nose_mm
    half = f / 2.0
    mean = _arc_area(half, r) / half
    x0 = sqrt(mean * (2.0 * r - mean))
    Ra = 2.0 * (mean * x0 - _arc_area(x0, r)) / half
    return Cusp(
        rt_um=1000.0 * _arc_height(half, r),
        ra_um=1000.0 * Ra,
        parabola_rt_um=1000.0 * f * f / (8.0 * r),
        parabola_ra_um=1000.0 * f * f / (18.0 * sqrt(3.0) * r),
    )


def _arc_height(x: float, r: float) -> float:
    """Height of the arc above its lowest point, without loss of digits at small x."""
    return x * x / (r + sqrt(r * r - x * x))


def _arc_area(x: float, r: float) -> float:
    """Area under the arc from its lowest point to x; by its series where terms would cancel."""
    t = x / r
    if t < SMALL_RATIO:
        return r * r * t**3 * (1.0 / 6.0 + t**2 / 40.0 + t**4 / 112.0 + 5.0 * t**6 / 1152.0)
    return r * x - 0.5 * (x * sqrt(r * r - x * x) + r * r * asin(t))


def ideal_feed_mm(*, ra_um: float, nose_mm: float) -> float | None:
    """Feed per revolution at which the ideal cusp has a given Ra.

    Parameters
    ----------
    ra_um : float
        Arithmetical mean deviation wanted [um], > 0.
    nose_mm : float
        Radius of the insert [mm], > 0.

    Returns
    -------
    float or None
        Feed [mm]; ``None`` where it would be wider than the insert's radius.

    Raises
    ------
    InputError
        If either is not positive.

    References
    ----------
    Exact arc as in :func:`cusp`.

    """
    if not (ra_um > 0.0 and nose_mm > 0.0):
        raise InputError(f"Ra and insert radius must be above zero (got {ra_um} and {nose_mm}).")
    widest = WIDEST_SHARE_RATIO * nose_mm
    highest_um = cusp(feed_mm=widest, nose_mm=nose_mm).ra_um
    if highest_um <= ra_um:
        return widest if isclose(highest_um, ra_um, rel_tol=1e-9) else None
    finest = min(widest, 0.5 * sqrt(18.0 * sqrt(3.0) * nose_mm * ra_um / 1000.0))
    return float(
        brentq(
            lambda f: cusp(feed_mm=f, nose_mm=nose_mm).ra_um - ra_um,
            finest,
            widest,
            xtol=1e-12,
            rtol=1e-12,
        )
    )
