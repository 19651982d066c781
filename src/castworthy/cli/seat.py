"""``castworthy seat``: what sinking a seat does to it, and the cuts that bring it back."""

from dataclasses import asdict, dataclass, replace
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.contact import (
    Contact,
    ContactEdge,
    MarginLeft,
    Narrowing,
    ValveFace,
    contact_of,
    margin_left,
    narrow,
    valve_sink_mm,
)
from castworthy.calc.valvetrain.seat import (
    SeatAngles,
    SeatBand,
    SeatGrowth,
    angle_from_included,
    axial_from_normal_mm,
    seat_band,
    seat_growth,
    seat_width_mm,
    sunk,
)
from castworthy.cli.answers import tell
from castworthy.cli.needs import check_needs
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    """The command's words, by their names; angles from the plane across the axis."""

    sink_mm: float
    u_sink_mm: float | None
    u_angle_deg: float | None
    outer_mm: float | None
    width_mm: float | None
    to_width_mm: float | None
    middle_mm: float | None
    face_outer_mm: float | None
    face_inner_mm: float | None
    face_angle_deg: float
    margin_mm: float | None
    face_cut_mm: float
    least_margin_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say; what was not asked for is ``None``."""

    angles: SeatAngles
    growth: SeatGrowth
    width_before_mm: float | None
    width_sunk_mm: float | None
    width_after_mm: float | None
    narrowing: Narrowing | None
    contact: Contact | None
    valve_sink_mm: float | None
    margin: MarginLeft | None
    show: Show


@click.command("seat")
@click.option(
    "--angle", "seat_deg", type=float, required=True, help="Angle of the seat in degrees, as 45."
)
@click.option(
    "--top", "top_deg", type=float, required=True, help="Angle of the top cut, flatter, as 30."
)
@click.option(
    "--throat",
    "throat_deg",
    type=float,
    required=True,
    help="Angle of the throat cut, steeper, as 60.",
)
@click.option(
    "--included",
    is_flag=True,
    help="The angles are included ones, across the cone: 90 for a seat of 45, 120 for 30.",
)
@click.option("--sink", "sink_mm", type=_LENGTH, help="Depth the seat is sunk, as 0.010in.")
@click.option(
    "--metal", "metal_mm", type=_LENGTH, help="In its place metal taken square to the seat."
)
@click.option("--u", "u_sink_mm", type=_LENGTH, help="Standard uncertainty of the depth.")
@click.option(
    "--u-angle", "u_angle_deg", type=float, help="Standard uncertainty of each angle, in degrees."
)
@click.option(
    "--outer", "outer_mm", type=_LENGTH, help="Diameter of the seat's outer edge now, as 1.42in."
)
@click.option("--width", "width_mm", type=_LENGTH, help="Width of the seat now, as 0.065in.")
@click.option(
    "--to-width", "to_width_mm", type=_LENGTH, help="Width wanted; else the width it has now."
)
@click.option(
    "--middle",
    "middle_mm",
    type=_LENGTH,
    help="Diameter wanted of the band's middle; else the middle of the valve's face, or where it "
    "is now.",
)
@click.option(
    "--face-outer", "face_outer_mm", type=_LENGTH, help="Outer diameter of the valve's face."
)
@click.option(
    "--face-inner", "face_inner_mm", type=_LENGTH, help="Inner diameter of the valve's face."
)
@click.option(
    "--face-angle",
    "face_angle_deg",
    type=float,
    help="Angle of the valve's face where it differs from the seat's (interference angle).",
)
@click.option("--margin", "margin_mm", type=_LENGTH, help="The valve's margin now, as 0.060in.")
@click.option(
    "--face-cut",
    "face_cut_mm",
    type=_LENGTH,
    default=0.0,
    help="Cut of the valve's face, as sinking along the axis.",
)
@click.option("--least-margin", "least_margin_mm", type=_LENGTH, help="Least margin allowed.")
@answer_options()
def seat_command(
    *,
    seat_deg: float,
    top_deg: float,
    throat_deg: float,
    included: bool,
    sink_mm: float | None,
    metal_mm: float | None,
    face_angle_deg: float | None,
    as_json: bool,
    show: str,
    **words: Any,
) -> None:
    """Work out how a seat widens when it is sunk, and how deep to narrow it again.

    Angles are from the plane across the valve's axis.  With --outer and --width the cuts from top
    and throat are for that seat; with --face-outer and --face-inner it is brought to the middle of
    the valve's face and its contact is told.
    """
    check_needs()
    angles = _angles(seat_deg, top_deg=top_deg, throat_deg=throat_deg, included=included)
    if (sink_mm is None) == (metal_mm is None):
        raise click.UsageError("Give one of --sink and --metal.")
    face_deg = angles.seat_deg
    if face_angle_deg is not None:
        face_deg = angle_from_included(face_angle_deg) if included else face_angle_deg
    asked = _Words(
        sink_mm=sink_mm
        if sink_mm is not None
        else axial_from_normal_mm(metal_mm or 0.0, angle_deg=angles.seat_deg),
        face_angle_deg=face_deg,
        **words,
    )
    told = _told(asked, angles=angles, show=Show(length=show))
    tell(told, as_json=as_json, answer=_answer, show=_print)


def _angles(seat: float, *, top_deg: float, throat_deg: float, included: bool) -> SeatAngles:
    turned = angle_from_included if included else float
    return SeatAngles(seat_deg=turned(seat), top_deg=turned(top_deg), throat_deg=turned(throat_deg))


def _told(asked: _Words, *, angles: SeatAngles, show: Show) -> _Told | Refused:
    growth = seat_growth(
        asked.sink_mm, angles=angles, u_sink_mm=asked.u_sink_mm, u_angle_deg=asked.u_angle_deg
    )
    band, face = _band(asked, angles=angles), _face(asked)
    told = _Told(
        angles=angles,
        growth=growth,
        width_before_mm=None,
        width_sunk_mm=None,
        width_after_mm=None,
        narrowing=None,
        contact=None,
        valve_sink_mm=None,
        margin=_margin(asked),
        show=show,
    )
    return told if band is None else _with_band(told, asked=asked, band=band, face=face)


def _with_band(
    told: _Told, *, asked: _Words, band: SeatBand, face: ValveFace | None
) -> _Told | Refused:
    """The same with the seat's own widths, cuts and contact."""
    angles = told.angles
    wide = sunk(band, growth=told.growth)
    width = seat_width_mm(band, angle_deg=angles.seat_deg)
    middle = asked.middle_mm
    if middle is None:
        on = band if face is None else face
        middle = on.outer_radius_mm + on.inner_radius_mm
    cuts = narrow(
        wide,
        angles=angles,
        width_mm=width if asked.to_width_mm is None else asked.to_width_mm,
        middle_radius_mm=middle / 2.0,
    )
    after = SeatBand(outer_radius_mm=cuts.outer_radius_mm, inner_radius_mm=cuts.inner_radius_mm)
    told = replace(
        told,
        width_before_mm=width,
        width_sunk_mm=seat_width_mm(wide, angle_deg=angles.seat_deg),
        width_after_mm=seat_width_mm(after, angle_deg=angles.seat_deg),
        narrowing=cuts,
    )
    if face is None:
        return told
    contact = contact_of(after, face=face, seat_angle_deg=angles.seat_deg)
    if isinstance(contact, Refused):
        return contact
    before = contact_of(band, face=face, seat_angle_deg=angles.seat_deg)
    sinks = None
    if isinstance(before, Contact):
        sinks = valve_sink_mm(
            told.growth.sink_mm + cuts.seat_sink_mm,
            seat_angle_deg=angles.seat_deg,
            face_angle_deg=face.angle_deg,
            line_before_mm=before.line_radius_mm,
            line_after_mm=contact.line_radius_mm,
        )
    return replace(told, contact=contact, valve_sink_mm=sinks)


def _band(asked: _Words, *, angles: SeatAngles) -> SeatBand | None:
    if asked.outer_mm is None and asked.width_mm is None:
        if asked.to_width_mm is not None or asked.middle_mm is not None:
            raise click.UsageError("--to-width and --middle need the seat: --outer and --width.")
        return None
    if asked.outer_mm is None or asked.width_mm is None:
        raise click.UsageError("Give --outer and --width together.")
    return seat_band(
        outer_diameter_mm=asked.outer_mm, width_mm=asked.width_mm, angle_deg=angles.seat_deg
    )


def _face(asked: _Words) -> ValveFace | None:
    if asked.face_outer_mm is None and asked.face_inner_mm is None:
        return None
    if asked.face_outer_mm is None or asked.face_inner_mm is None:
        raise click.UsageError("Give --face-outer and --face-inner together.")
    if asked.outer_mm is None:
        raise click.UsageError("The contact needs the seat as well: --outer and --width.")
    return ValveFace(
        outer_radius_mm=asked.face_outer_mm / 2.0,
        inner_radius_mm=asked.face_inner_mm / 2.0,
        angle_deg=asked.face_angle_deg,
    )


def _margin(asked: _Words) -> MarginLeft | None:
    if asked.margin_mm is None:
        return None
    return margin_left(
        asked.margin_mm, face_cut_mm=asked.face_cut_mm, least_mm=asked.least_margin_mm
    )


def _answer(told: _Told) -> dict[str, Any]:
    growth, cuts = told.growth, told.narrowing
    answer: dict[str, Any] = {
        **asdict(told.angles),
        "sink_mm": growth.sink_mm,
        "normal_stock_mm": growth.normal_stock_mm,
        "width_growth_mm": growth.width_growth_mm,
        "u_width_growth_mm": growth.u_width_growth_mm,
        "outer_radius_growth_mm": growth.outer_radius_growth_mm,
        "inner_radius_change_mm": growth.inner_radius_change_mm,
        "outer_share_mm": growth.outer_share_mm,
        "inner_share_mm": growth.inner_share_mm,
        "narrowing": {
            "seat_sink_mm": 0.0 if cuts is None else cuts.seat_sink_mm,
            "top_sink_mm": growth.sink_mm if cuts is None else cuts.top_sink_mm,
            "throat_sink_mm": growth.sink_mm if cuts is None else cuts.throat_sink_mm,
        },
        "seat": None,
        "contact": None if told.contact is None else asdict(told.contact),
        "valve_sink_mm": told.valve_sink_mm,
        "margin": None if told.margin is None else asdict(told.margin),
    }
    if cuts is not None:
        answer["seat"] = {
            "width_before_mm": told.width_before_mm,
            "width_sunk_mm": told.width_sunk_mm,
            "width_after_mm": told.width_after_mm,
            "outer_radius_mm": cuts.outer_radius_mm,
            "inner_radius_mm": cuts.inner_radius_mm,
        }
    return answer


def _print(told: _Told) -> None:
    out, show, growth = page(), told.show, told.growth
    sink, wider = (_of(each, show) for each in (growth.sink_mm, growth.width_growth_mm))
    out.print(Text(f"Sunk {sink}, the seat is {wider} wider.", style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    u = growth.u_width_growth_mm
    known = "" if u is None else f"standard uncertainty {_of(u, show)}"
    table.add_row("Wider along the face", wider, known)
    table.add_row("Metal square to the seat", _of(growth.normal_stock_mm, show))
    table.add_row("Outer edge, radius", _of(growth.outer_radius_growth_mm, show, sign="+"))
    table.add_row("Inner edge, radius", _of(growth.inner_radius_change_mm, show))
    if told.width_sunk_mm is not None and told.width_after_mm is not None:
        table.add_row("Width once sunk", _size(told.width_sunk_mm, show))
        table.add_row("Width once narrowed", _size(told.width_after_mm, show))
    _add_cuts(table, told)
    if told.valve_sink_mm is not None:
        table.add_row(
            "The valve sinks", _of(told.valve_sink_mm, show), "from the work on the seat alone"
        )
    if told.margin is not None:
        table.add_row("Margin left", _size(told.margin.margin_mm, show), _margin_words(told))
    out.print(table)
    bullets(out, "Contact", _contact_words(told))
    bullets(out, "Mind", _cautions(told))


def _add_cuts(table: Table, told: _Told) -> None:
    show, cuts = told.show, told.narrowing
    top = told.growth.sink_mm if cuts is None else cuts.top_sink_mm
    throat = told.growth.sink_mm if cuts is None else cuts.throat_sink_mm
    why = "back to the width and place it had" if cuts is None else "deeper than it stands"
    if cuts is not None and cuts.seat_sink_mm > 0.0:
        table.add_row("First the seat", _of(cuts.seat_sink_mm, show), "further, to reach there")
    table.add_row("Top cut", _of(top, show), why)
    table.add_row("Throat cut", _of(throat, show), why)


def _margin_words(told: _Told) -> str:
    above = None if told.margin is None else told.margin.above_least_mm
    if above is None:
        return ""
    side = "above" if above >= 0.0 else "below"
    return f"{_of(abs(above), told.show)} {side} the least"


def _contact_words(told: _Told) -> list[str]:
    contact, show = told.contact, told.show
    if contact is None:
        return []
    outer, inner = (
        _size(each, show) for each in (contact.to_outer_edge_mm, contact.to_inner_edge_mm)
    )
    said = [f"The band leaves {outer} of the face outside it and {inner} inside."]
    if contact.edge is not ContactEdge.WHOLE:
        said.append(
            f"It touches first at the seat's {contact.edge.value}; at the other end it stands "
            f"{_of(contact.opening_mm, show)} open."
        )
    return said


def _cautions(told: _Told) -> list[str]:
    said = []
    if told.contact is not None and told.contact.overhang_mm > 1e-6:
        said.append(
            f"{_of(told.contact.overhang_mm, told.show)} of the seat's width lies past the "
            "valve's face; narrow it or fit a larger valve."
        )
    if told.margin is not None and (told.margin.above_least_mm or 0.0) < 0.0:
        said.append("The margin falls below the least: the valve is to be renewed.")
    return said


def _of(length_mm: float, show: Show, *, sign: str = "") -> str:
    return sign + show.value(length_mm, suffix="mm", difference=True)


def _size(length_mm: float, show: Show) -> str:
    return show.value(length_mm, suffix="mm")
