"""Valve seats: angles, stock, and how a seat's edges move when a cutter goes deeper.

Angles are measured from the plane across the valve's axis: 45 or 30 usual.  A top cut is flatter
than the seat, a throat cut steeper.  Depths are axial, positive into the head.
"""

from dataclasses import dataclass
from math import cos, radians, tan

from castworthy.calc.errors import InputError
from castworthy.calc.valvetrain.first_order import combined_u


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatAngles:
    """Angles of the seat and of the cuts on either side of it [deg]."""

    seat_deg: float
    top_deg: float
    throat_deg: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.top_deg < self.seat_deg < self.throat_deg < 90.0:
            raise InputError(
                "A top cut is flatter than the seat and a throat cut steeper, from 0 to below 90 "
                f"degrees; got top {self.top_deg:g}, seat {self.seat_deg:g}, throat "
                f"{self.throat_deg:g}. Are they included angles?"
            )

    @property
    def top_slope(self) -> float:
        """Depth for each millimetre the outer edge moves [-]."""
        return _tan(self.seat_deg) - _tan(self.top_deg)

    @property
    def throat_slope(self) -> float:
        """Depth for each millimetre the inner edge moves [-]."""
        return _tan(self.throat_deg) - _tan(self.seat_deg)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatBand:
    """A seat between its edges, radii from the valve's axis [mm]."""

    outer_radius_mm: float
    inner_radius_mm: float
    u_outer_radius_mm: float | None = None
    u_inner_radius_mm: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.inner_radius_mm < self.outer_radius_mm:
            raise InputError(
                "A seat's inner edge lies inside its outer edge, got radii "
                f"{self.inner_radius_mm:.3f} and {self.outer_radius_mm:.3f} mm."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatGrowth:
    """What sinking a seat does to it: the change of each edge's radius and of the width [mm].

    ``width_growth_mm`` is along the face; ``normal_stock_mm`` is the metal taken square to it.
    The shares are those of the outer and of the inner edge in the width.
    """

    sink_mm: float
    normal_stock_mm: float
    outer_radius_growth_mm: float
    inner_radius_change_mm: float
    width_growth_mm: float
    outer_share_mm: float
    inner_share_mm: float
    u_normal_stock_mm: float | None
    u_width_growth_mm: float | None


def angle_from_included(included_deg: float) -> float:
    """A seat's angle from the plane across the axis, where a manual quotes the included one.

    Parameters
    ----------
    included_deg : float
        Angle between opposite sides of the cone [deg], above 0 and at most 180.

    Returns
    -------
    float
        90 - included / 2 [deg]: 90 gives 45, 120 gives 30.

    Raises
    ------
    InputError
        If the angle is no cone's.

    References
    ----------
    Plane geometry.  Cutters of 88 and 118 degrees for seats of 46 and 31: common practice,
    no source.

    """
    if not 0.0 < included_deg <= 180.0:
        raise InputError(
            f"An included angle lies above 0 and at most 180 degrees, got {included_deg:g}."
        )
    return 90.0 - included_deg / 2.0


def axial_from_normal_mm(normal_mm: float, *, angle_deg: float) -> float:
    """How far a valve sinks for metal taken square to its seat or face.

    Parameters
    ----------
    normal_mm : float
        Metal taken square to the cone [mm], scalar.
    angle_deg : float
        Angle of the cone from the plane across the axis [deg].

    Returns
    -------
    float
        normal / cos(angle) [mm]: 1.414 times at 45, 1.155 times at 30 degrees.

    Raises
    ------
    InputError
        If the angle is not from 0 to below 90 degrees.

    References
    ----------
    Plane geometry.

    """
    return normal_mm / _cos(angle_deg)


def seat_growth(
    sink_mm: float,
    *,
    angles: SeatAngles,
    u_sink_mm: float | None = None,
    u_angle_deg: float | None = None,
) -> SeatGrowth:
    """How a seat widens when it is sunk between cuts that stay where they are.

    With seat theta, top alpha and throat beta the outer edge moves out by
    s / (tan theta - tan alpha), the inner edge in by s / (tan beta - tan theta).

    Parameters
    ----------
    sink_mm : float
        Depth the seat is sunk along the axis [mm], not negative.
    angles : SeatAngles
        Seat, top and throat.
    u_sink_mm : float or None
        Standard uncertainty of the depth [mm].
    u_angle_deg : float or None
        Standard uncertainty of each of the three angles, independent [deg].

    Returns
    -------
    SeatGrowth
        Growth [mm], with standard uncertainties where the inputs have them.

    Raises
    ------
    InputError
        If the depth or an uncertainty is negative.

    References
    ----------
    Plane geometry of the meeting of two cones; JCGM 100:2008, 5.1.2.

    """
    if not sink_mm >= 0.0:
        raise InputError(f"A seat is sunk by 0 or more, got {sink_mm:.4f} mm.")
    cosine = _cos(angles.seat_deg)
    outer, inner = sink_mm / angles.top_slope, sink_mm / angles.throat_slope
    values = {
        "sink": sink_mm,
        "seat": angles.seat_deg,
        "top": angles.top_deg,
        "throat": angles.throat_deg,
    }
    u = {"sink": u_sink_mm, "seat": u_angle_deg, "top": u_angle_deg, "throat": u_angle_deg}
    return SeatGrowth(
        sink_mm=sink_mm,
        normal_stock_mm=sink_mm * cosine,
        outer_radius_growth_mm=outer,
        inner_radius_change_mm=-inner,
        width_growth_mm=(outer + inner) / cosine,
        outer_share_mm=outer / cosine,
        inner_share_mm=inner / cosine,
        u_normal_stock_mm=combined_u(
            lambda v: v["sink"] * cos(radians(v["seat"])), values=values, u=u
        ),
        u_width_growth_mm=combined_u(_width_growth, values=values, u=u),
    )


def seat_band(*, outer_diameter_mm: float, width_mm: float, angle_deg: float) -> SeatBand:
    """A seat from what is measured of it: the diameter of its outer edge and its width.

    Parameters
    ----------
    outer_diameter_mm : float
        Diameter of the outer edge [mm].
    width_mm : float
        Width along the face [mm].
    angle_deg : float
        Angle of the seat from the plane across the axis [deg].

    Returns
    -------
    SeatBand
        Its edges [mm].

    Raises
    ------
    InputError
        If the width is not positive or runs past the axis.

    References
    ----------
    Plane geometry: the width covers width * cos(angle) of the radius.

    """
    outer = outer_diameter_mm / 2.0
    return SeatBand(outer_radius_mm=outer, inner_radius_mm=outer - width_mm * _cos(angle_deg))


def seat_width_mm(band: SeatBand, *, angle_deg: float) -> float:
    """Width of a seat along its face.

    Parameters
    ----------
    band : SeatBand
        The seat's edges.
    angle_deg : float
        Angle of the seat from the plane across the axis [deg].

    Returns
    -------
    float
        (outer - inner) / cos(angle) [mm].

    Raises
    ------
    InputError
        If the angle is not from 0 to below 90 degrees.

    References
    ----------
    Plane geometry.

    """
    return (band.outer_radius_mm - band.inner_radius_mm) / _cos(angle_deg)


def sunk(band: SeatBand, *, growth: SeatGrowth) -> SeatBand:
    """A seat after it is sunk.

    Parameters
    ----------
    band : SeatBand
        The seat before.
    growth : SeatGrowth
        What sinking does to it.

    Returns
    -------
    SeatBand
        The seat after, before it is narrowed.

    Raises
    ------
    InputError
        If the inner edge would run to the axis.

    References
    ----------
    Plane geometry.

    """
    return SeatBand(
        outer_radius_mm=band.outer_radius_mm + growth.outer_radius_growth_mm,
        inner_radius_mm=band.inner_radius_mm + growth.inner_radius_change_mm,
        u_outer_radius_mm=band.u_outer_radius_mm,
        u_inner_radius_mm=band.u_inner_radius_mm,
    )


def _width_growth(v: dict[str, float]) -> float:
    theta, alpha, beta = (_tan(v[name]) for name in ("seat", "top", "throat"))
    edges = 1.0 / (theta - alpha) + 1.0 / (beta - theta)
    return v["sink"] * edges / cos(radians(v["seat"]))


def _tan(angle_deg: float) -> float:
    return tan(radians(angle_deg))


def _cos(angle_deg: float) -> float:
    if not 0.0 <= angle_deg < 90.0:
        raise InputError(
            f"A seat's angle lies from 0 to below 90 degrees, got {angle_deg:g}; is it an "
            "included angle?"
        )
    return cos(radians(angle_deg))
