"""Where a seat touches the valve's face, and the cuts that bring it to a wanted place and width."""

from dataclasses import dataclass
from enum import StrEnum
from math import cos, hypot, radians, tan

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.seat import SeatAngles, SeatBand

SAME_ANGLE_DEG = 1e-9


class ContactEdge(StrEnum):
    """Which part of the seat a valve touches first."""

    OUTER = "outer edge"
    INNER = "inner edge"
    WHOLE = "whole width"


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveFace:
    """A valve's face: its edges as radii, its angle from the plane across the axis."""

    outer_radius_mm: float
    inner_radius_mm: float
    angle_deg: float

    def __post_init__(self) -> None:
        if not 0.0 < self.inner_radius_mm < self.outer_radius_mm or not 0 <= self.angle_deg < 90:
            raise InputError(
                "A valve's face lies between an inner and a larger outer radius at 0 to below 90 "
                f"degrees, got {self.inner_radius_mm:.3f} and {self.outer_radius_mm:.3f} mm at "
                f"{self.angle_deg:g} degrees."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """The band a seat makes on a valve's face, and the line it starts from.

    Radii from the axis, ``width_mm``, ``to_outer_edge_mm`` and ``to_inner_edge_mm`` along the
    face.  ``position_ratio`` is 0 with the band's middle at the inner edge of the face, 1 at the
    outer.  ``overhang_mm`` is how much of the seat's width no face covers.  With an interference
    angle ``edge`` says where the line is and ``opening_mm`` how far the cones stand apart, square
    to the seat, at the band's other end.
    """

    outer_radius_mm: float
    inner_radius_mm: float
    width_mm: float
    overhang_mm: float
    to_outer_edge_mm: float
    to_inner_edge_mm: float
    position_ratio: float
    edge: ContactEdge
    line_radius_mm: float
    opening_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowing:
    """How deep each cutter goes from where it stands, along the axis [mm], not negative.

    ``outer_radius_mm`` and ``inner_radius_mm`` are the seat's edges after.  ``seat_sink_mm`` is
    above nought where the seat is too small on a side to be brought there by narrowing alone.
    """

    seat_sink_mm: float
    top_sink_mm: float
    throat_sink_mm: float
    outer_radius_mm: float
    inner_radius_mm: float
    u_top_sink_mm: float | None
    u_throat_sink_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginLeft:
    """A valve's margin after its face is cut [mm]."""

    margin_mm: float
    u_margin_mm: float | None
    above_least_mm: float | None


def contact_of(band: SeatBand, *, face: ValveFace, seat_angle_deg: float) -> Contact | Refused:
    """Where a seat touches a valve's face.

    Parameters
    ----------
    band : SeatBand
        The seat's edges.
    face : ValveFace
        The valve's face; its angle may differ from the seat's (interference angle).
    seat_angle_deg : float
        Angle of the seat from the plane across the axis [deg].

    Returns
    -------
    Contact or Refused
        ``Refused`` where the seat and the face do not overlap.

    References
    ----------
    Plane geometry: between cones of angles theta (seat) and phi (face) the axial gap changes by
    tan theta - tan phi for each millimetre of radius, so a steeper seat touches at its outer end.

    """
    outer = min(band.outer_radius_mm, face.outer_radius_mm)
    inner = max(band.inner_radius_mm, face.inner_radius_mm)
    if outer <= inner:
        return Refused(
            code="no-contact",
            reason=(
                f"The seat ({band.inner_radius_mm:.2f} to {band.outer_radius_mm:.2f} mm from the "
                f"axis) misses the valve's face ({face.inner_radius_mm:.2f} to "
                f"{face.outer_radius_mm:.2f} mm)."
            ),
            remedy="Measure both again, or fit the valve this seat was cut for.",
        )
    phi, theta = radians(face.angle_deg), radians(seat_angle_deg)
    edge, line = _line(outer, inner=inner, lead_deg=seat_angle_deg - face.angle_deg)
    middle = (outer + inner) / 2.0
    seat_width = (band.outer_radius_mm - band.inner_radius_mm) / cos(theta)
    return Contact(
        outer_radius_mm=outer,
        inner_radius_mm=inner,
        width_mm=(outer - inner) / cos(phi),
        overhang_mm=seat_width - (outer - inner) / cos(theta),
        to_outer_edge_mm=(face.outer_radius_mm - outer) / cos(phi),
        to_inner_edge_mm=(inner - face.inner_radius_mm) / cos(phi),
        position_ratio=(middle - face.inner_radius_mm)
        / (face.outer_radius_mm - face.inner_radius_mm),
        edge=edge,
        line_radius_mm=line,
        opening_mm=(outer - inner) * abs(tan(theta) - tan(phi)) * cos(theta),
    )


def _line(outer: float, *, inner: float, lead_deg: float) -> tuple[ContactEdge, float]:
    if abs(lead_deg) <= SAME_ANGLE_DEG:
        return ContactEdge.WHOLE, (outer + inner) / 2.0
    return (ContactEdge.OUTER, outer) if lead_deg > 0.0 else (ContactEdge.INNER, inner)


def valve_sink_mm(
    seat_sink_mm: float,
    *,
    seat_angle_deg: float,
    face_angle_deg: float,
    line_before_mm: float,
    line_after_mm: float,
) -> float:
    """How far a valve sinks when its seat is sunk or narrowed, with an interference angle.

    The valve rides on a line; where that line moves along the seat, the valve follows.  With
    equal angles it sinks as far as the seat.

    Parameters
    ----------
    seat_sink_mm : float
        Depth the seat is sunk along the axis [mm].
    seat_angle_deg, face_angle_deg : float
        Angles from the plane across the axis [deg].
    line_before_mm, line_after_mm : float
        Radius of the contact line before and after [mm].

    Returns
    -------
    float
        s + (before - after) (tan theta - tan phi) [mm], positive into the head.

    References
    ----------
    Plane geometry of two cones touching on a circle.

    """
    lead = tan(radians(seat_angle_deg)) - tan(radians(face_angle_deg))
    return seat_sink_mm + (line_before_mm - line_after_mm) * lead


def narrow(
    band: SeatBand, *, angles: SeatAngles, width_mm: float, middle_radius_mm: float
) -> Narrowing:
    """The cuts that bring a seat to a wanted width and place, with the least metal.

    A top cut brings the outer edge in, a throat cut brings the inner edge out.  Where an edge
    must go the other way, the seat is sunk first, just far enough.

    Parameters
    ----------
    band : SeatBand
        The seat as it stands (after it was sunk, before it is narrowed).
    angles : SeatAngles
        Seat, top and throat.
    width_mm : float
        Wanted width along the face [mm], positive.
    middle_radius_mm : float
        Wanted radius of the band's middle [mm].

    Returns
    -------
    Narrowing
        Depths [mm] with standard uncertainties where the band has them.

    Raises
    ------
    InputError
        If the width is not positive or the wanted band runs to the axis.

    References
    ----------
    Plane geometry; the reverse of :func:`castworthy.calc.valvetrain.seat.seat_growth`.

    """
    half = width_mm * cos(radians(angles.seat_deg)) / 2.0
    if not 0.0 < half < middle_radius_mm:
        raise InputError(
            "A seat has a width above 0 and stays clear of the axis, got "
            f"{width_mm:.3f} mm wide about radius {middle_radius_mm:.3f} mm."
        )
    outer, inner = middle_radius_mm + half, middle_radius_mm - half
    top = (band.outer_radius_mm - outer) * angles.top_slope
    throat = (inner - band.inner_radius_mm) * angles.throat_slope
    sink = max(0.0, -top, -throat)
    return Narrowing(
        seat_sink_mm=sink,
        top_sink_mm=top + sink,
        throat_sink_mm=throat + sink,
        outer_radius_mm=outer,
        inner_radius_mm=inner,
        u_top_sink_mm=_scaled(band.u_outer_radius_mm, angles.top_slope),
        u_throat_sink_mm=_scaled(band.u_inner_radius_mm, angles.throat_slope),
    )


def _scaled(u: float | None, slope: float) -> float | None:
    return None if u is None else u * slope


def margin_left(
    margin_mm: float,
    *,
    face_cut_mm: float,
    u_margin_mm: float | None = None,
    u_face_cut_mm: float | None = None,
    least_mm: float | None = None,
) -> MarginLeft:
    """A valve's margin after its face is cut.

    Parameters
    ----------
    margin_mm : float
        Margin before [mm].
    face_cut_mm : float
        Cut as axial sinking of the valve [mm], not negative.
    u_margin_mm, u_face_cut_mm : float or None
        Standard uncertainties of the reading and of the cut [mm].
    least_mm : float or None
        Least margin of the sheet [mm].

    Returns
    -------
    MarginLeft
        Margin after, and how far it stands above the least [mm].

    Raises
    ------
    InputError
        If margin or cut is negative.

    References
    ----------
    Plane geometry: the outer edge stays at the valve's diameter, so the margin falls by the cut.
    JCGM 100:2008, 5.1.2.

    """
    if not (margin_mm >= 0.0 and face_cut_mm >= 0.0):
        raise InputError(
            f"A margin and a cut are 0 or more, got {margin_mm:.4f} and {face_cut_mm:.4f} mm."
        )
    left = margin_mm - face_cut_mm
    u = None
    if u_margin_mm is not None or u_face_cut_mm is not None:
        u = hypot(u_margin_mm or 0.0, u_face_cut_mm or 0.0)
    return MarginLeft(
        margin_mm=left,
        u_margin_mm=u,
        above_least_mm=None if least_mm is None else left - least_mm,
    )
