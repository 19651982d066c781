"""Seats: growth when sunk, narrowing, contact, margin."""

from collections.abc import Mapping
from dataclasses import dataclass

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
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
from castworthy.records.cautions import CUTTING
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.practices import OWN_PLACES
from castworthy.units import Show
from castworthy.web.contexts.sums.form import (
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    cut,
    size,
)
from castworthy.web.contexts.sums.picture import seat_picture

_MOST_CUT_MM = 6.35


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seat:
    """The seat as it was, as sunk, and the cuts that bring it back."""

    before: SeatBand
    sunk: SeatBand
    cuts: Narrowing
    after: SeatBand
    contact: Contact | Refused | None
    valve_sinks_mm: float | None


def _work(given: Given) -> Answer:
    angles = _angles(given)
    taken = given.number("cut")
    if given.word("taken") == "metal":
        taken = axial_from_normal_mm(taken, angle_deg=angles.seat_deg)
    growth = seat_growth(taken, angles=angles)
    seat, margin = _seat(given, angles=angles, growth=growth), _margin(given)
    show = given.show
    return Answer(
        headline=f"Sunk {cut(taken, show)}, the seat is {cut(growth.width_growth_mm, show)} wider.",
        tone="inside" if seat is None else _tone(seat, margin),
        rows=(
            *_growth_rows(given, growth=growth),
            *_cut_rows(given, growth=growth, seat=seat, angles=angles),
            *_contact_rows(given, seat=seat),
            *_margin_rows(given, margin=margin),
        ),
        sentences=_asked(given),
        cautions=_cautions(given, seat=seat, margin=margin),
        svg=seat_picture(angles, growth=growth),
    )


def _angles(given: Given) -> SeatAngles:
    names = ("seat", "top", "throat")
    turned = angle_from_included if given.word("quoted") == "included" else float
    try:
        seat, top, throat = (turned(given.number(name)) for name in names)
        return SeatAngles(seat_deg=seat, top_deg=top, throat_deg=throat)
    except InputError as fault:
        raise SumFault(str(fault), field="seat") from fault


def _seat(given: Given, *, angles: SeatAngles, growth: SeatGrowth) -> _Seat | None:
    if not given.both("outer", "width"):
        return None
    width, face = given.number("width"), _face(given, angles=angles)
    before = seat_band(
        outer_diameter_mm=given.number("outer"), width_mm=width, angle_deg=angles.seat_deg
    )
    wide = sunk(before, growth=growth)
    on = before if face is None else face
    middle = given.maybe("middle")
    cuts = narrow(
        wide,
        angles=angles,
        width_mm=given.maybe("wanted") or width,
        middle_radius_mm=(on.outer_radius_mm + on.inner_radius_mm) / 2.0
        if middle is None
        else middle / 2.0,
    )
    after = SeatBand(outer_radius_mm=cuts.outer_radius_mm, inner_radius_mm=cuts.inner_radius_mm)
    was, contact = (
        None if face is None else contact_of(band, face=face, seat_angle_deg=angles.seat_deg)
        for band in (before, after)
    )
    sinks = None
    if face is not None and isinstance(was, Contact) and isinstance(contact, Contact):
        sinks = valve_sink_mm(
            growth.sink_mm + cuts.seat_sink_mm,
            seat_angle_deg=angles.seat_deg,
            face_angle_deg=face.angle_deg,
            line_before_mm=was.line_radius_mm,
            line_after_mm=contact.line_radius_mm,
        )
    return _Seat(
        before=before, sunk=wide, cuts=cuts, after=after, contact=contact, valve_sinks_mm=sinks
    )


def _face(given: Given, *, angles: SeatAngles) -> ValveFace | None:
    if not given.both("face_outer", "face_inner"):
        return None
    angle = given.maybe("face_angle")
    if angle is None:
        angle = angles.seat_deg
    elif given.word("quoted") == "included":
        angle = angle_from_included(angle)
    return ValveFace(
        outer_radius_mm=given.number("face_outer") / 2.0,
        inner_radius_mm=given.number("face_inner") / 2.0,
        angle_deg=angle,
    )


def _margin(given: Given) -> MarginLeft | None:
    margin = given.maybe("margin")
    if margin is None:
        return None
    return margin_left(
        margin,
        face_cut_mm=given.maybe("face_cut") or 0.0,
        least_mm=given.maybe("least_margin"),
    )


def _tone(seat: _Seat, margin: MarginLeft | None) -> str:
    thin = margin is not None and (margin.above_least_mm or 0.0) < 0.0
    off = isinstance(seat.contact, Refused) or (
        seat.contact is not None and seat.contact.overhang_mm > 1e-6
    )
    return "outside" if thin or off else "inside"


def _growth_rows(given: Given, *, growth: SeatGrowth) -> tuple[Row, ...]:
    show = given.show
    return (
        Row(label="Wider along the face", value=cut(growth.width_growth_mm, show)),
        Row(label="from the outer edge", value=cut(growth.outer_share_mm, show), inset=True),
        Row(label="from the inner edge", value=cut(growth.inner_share_mm, show), inset=True),
        Row(
            label="Metal square to the seat",
            value=cut(growth.normal_stock_mm, show),
            note=f"sunk {cut(growth.sink_mm, show)} along the stem",
        ),
    )


def _cut_rows(
    given: Given, *, growth: SeatGrowth, seat: _Seat | None, angles: SeatAngles
) -> tuple[Row, ...]:
    show = given.show
    if seat is None:
        back = "to the width it had"
        same = cut(growth.sink_mm, show)
        return (
            Row(label=f"Top cut, {angles.top_deg:g}°", value=f"{same} deeper", note=back),
            Row(label=f"Throat cut, {angles.throat_deg:g}°", value=f"{same} deeper", note=back),
        )
    wide, narrowed = (seat_width_mm(b, angle_deg=angles.seat_deg) for b in (seat.sunk, seat.after))
    first: tuple[Row, ...] = ()
    if seat.cuts.seat_sink_mm > 1e-9:
        further = cut(seat.cuts.seat_sink_mm, show)
        first = (Row(label="First the seat", value=f"{further} more", note="to reach that place"),)
    return (
        Row(label="Width once sunk", value=size(wide, show)),
        *first,
        Row(
            label=f"Top cut, {angles.top_deg:g}°",
            value=f"{cut(seat.cuts.top_sink_mm, show)} deeper",
            note=f"outer edge then {size(2.0 * seat.after.outer_radius_mm, show)} across",
        ),
        Row(
            label=f"Throat cut, {angles.throat_deg:g}°",
            value=f"{cut(seat.cuts.throat_sink_mm, show)} deeper",
            note=f"inner edge then {size(2.0 * seat.after.inner_radius_mm, show)} across",
        ),
        Row(label="Width once narrowed", value=size(narrowed, show)),
    )


def _contact_rows(given: Given, *, seat: _Seat | None) -> tuple[Row, ...]:
    contact = None if seat is None else seat.contact
    if not isinstance(contact, Contact):
        return ()
    show = given.show
    touches, sinks = "", () if seat is None else _sink_rows(seat, show=show)
    if contact.edge is not ContactEdge.WHOLE:
        opening = cut(contact.opening_mm, show)
        touches = f"touches first at the seat's {contact.edge.value}, {opening} open at the other"
    return (
        Row(label="Contact on the face", value=size(contact.width_mm, show), note=touches),
        Row(label="left outside it", value=size(contact.to_outer_edge_mm, show), inset=True),
        Row(label="left inside it", value=size(contact.to_inner_edge_mm, show), inset=True),
        *sinks,
    )


def _sink_rows(seat: _Seat, *, show: Show) -> tuple[Row, ...]:
    """How far the valve sinks, narrowing and interference angle counted in."""
    if seat.valve_sinks_mm is None:
        return ()
    rises = seat.valve_sinks_mm < -1e-9
    return (
        Row(
            label="The valve rises by" if rises else "The valve sinks by",
            value=cut(abs(seat.valve_sinks_mm), show),
            note="from the work on the seat; a cut off its face comes on top",
        ),
    )


def _margin_rows(given: Given, *, margin: MarginLeft | None) -> tuple[Row, ...]:
    if margin is None:
        return ()
    above, note = margin.above_least_mm, ""
    if above is not None:
        side = "above" if above >= 0.0 else "below"
        note = f"{cut(abs(above), given.show)} {side} the least"
    return (Row(label="Margin left", value=size(margin.margin_mm, given.show), note=note),)


def _asked(given: Given) -> tuple[str, ...]:
    said = []
    if not given.both("outer", "width"):
        said.append("With the seat's outer edge and width, the cuts are told for that seat.")
    elif not given.both("face_outer", "face_inner"):
        said.append("With both edges of the valve's face, the contact is told.")
    return tuple(said)


def _cautions(given: Given, *, seat: _Seat | None, margin: MarginLeft | None) -> tuple[str, ...]:
    said = []
    contact = None if seat is None else seat.contact
    if isinstance(contact, Refused):
        said.append(contact.sentence)
    if isinstance(contact, Contact) and contact.overhang_mm > 1e-6:
        past = cut(contact.overhang_mm, given.show)
        said.append(
            f"{past} of the seat's width lies past the valve's face; narrow it or fit a larger "
            "valve."
        )
    if margin is not None and (margin.above_least_mm or 0.0) < 0.0:
        said.append("The margin falls below the least: the valve is to be renewed.")
    return tuple(said)


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    valve = head.valve
    if valve is None:
        return {}
    width = head.sheet.limit_for(Quantity.SEAT_WIDTH, place=valve.name)
    margin = head.sheet.limit_for(Quantity.MARGIN, place=valve.name)
    return {
        "seat": valve.seat_angle_deg,
        "top": valve.top_angle_deg,
        "throat": valve.throat_angle_deg,
        "cut": head.planned_mm(OperationKind.SEAT),
        "width": head.here(Quantity.SEAT_WIDTH),
        "wanted": None if width is None else width.aim,
        "margin": head.here(Quantity.MARGIN),
        "face_cut": head.planned_mm(OperationKind.FACE),
        "least_margin": None if margin is None else margin.low,
    }


SEAT = Sum(
    name="seat",
    title="Seat cut",
    group="Seats and valves",
    says="How a seat widens when it is sunk, how deep to narrow it again, where it then touches.",
    parts=(
        Part(
            title="Angles",
            across=3,
            fields=(
                Field(
                    name="quoted",
                    label="Angles as",
                    choices=(("plane", "from the plane, 45"), ("included", "included, 90")),
                ),
                Field(name="seat", label="Seat", suffix="deg", usual=45.0, most=180.0),
                Field(
                    name="top",
                    label="Top cut",
                    suffix="deg",
                    usual=30.0,
                    most=180.0,
                    from_least=True,
                ),
                Field(name="throat", label="Throat cut", suffix="deg", usual=60.0, most=180.0),
            ),
        ),
        Part(
            title="The cut",
            fields=(
                Field(
                    name="taken",
                    label="Metal taken",
                    choices=(("sink", "along the stem"), ("metal", "square to the seat")),
                ),
                Field(
                    name="cut", label="How much", suffix="mm", most=_MOST_CUT_MM, from_least=True
                ),
            ),
        ),
        Part(
            title="The seat and the valve's face",
            fields=(
                Field(
                    name="outer",
                    label="Seat's outer edge",
                    suffix="mm",
                    optional=True,
                    hint="Diameter, before the cut.",
                    most=200.0,
                ),
                Field(
                    name="width",
                    label="Seat's width",
                    suffix="mm",
                    optional=True,
                    hint="Before the cut.",
                    most=12.7,
                ),
                Field(
                    name="wanted",
                    label="Width wanted",
                    suffix="mm",
                    optional=True,
                    hint="Else the width it had.",
                    most=12.7,
                ),
                Field(
                    name="middle",
                    label="Middle wanted",
                    suffix="mm",
                    optional=True,
                    hint="Diameter; else the middle of the face.",
                    most=200.0,
                ),
                Field(
                    name="face_outer",
                    label="Face's outer edge",
                    suffix="mm",
                    optional=True,
                    hint="Diameter of the valve's face.",
                    most=200.0,
                ),
                Field(
                    name="face_inner",
                    label="Face's inner edge",
                    suffix="mm",
                    optional=True,
                    hint="Diameter.",
                    most=200.0,
                ),
                Field(
                    name="face_angle",
                    label="Face's own angle",
                    suffix="deg",
                    optional=True,
                    hint="Where it has an interference angle.",
                    most=180.0,
                ),
            ),
        ),
        Part(
            title="Margin",
            fields=(
                Field(name="margin", label="Margin now", suffix="mm", optional=True, most=12.7),
                Field(
                    name="face_cut",
                    label="Cut off the face",
                    suffix="mm",
                    optional=True,
                    hint="Along the stem.",
                    most=_MOST_CUT_MM,
                    from_least=True,
                ),
                Field(
                    name="least_margin",
                    label="Least margin",
                    suffix="mm",
                    optional=True,
                    most=12.7,
                    from_least=True,
                ),
            ),
        ),
    ),
    work=_work,
    example={
        "cut": ("0.010", "0.25"),
        "outer": ("1.420", "36"),
        "width": ("0.065", "1.65"),
        "face_outer": ("1.450", "36.8"),
        "face_inner": ("1.260", "32"),
        "margin": ("0.070", "1.8"),
        "face_cut": ("0.005", "0.1"),
        "least_margin": ("0.050", "1.25"),
    },
    prefill=_prefill,
    practices=(
        "Cut the guide first: the seat is cut from it.",
        OWN_PLACES,
    ),
    cautions=(CUTTING,),
    steps=("plan", "machine"),
    operations=(OperationKind.SEAT,),
    measured=(
        Quantity.SEAT_WIDTH,
        Quantity.MARGIN,
    ),
)
