"""Seats: stock, growth, narrowing and contact, against the cuts followed point by point."""

from dataclasses import replace
from math import cos, radians, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat, umath

from calc.valvetrain.profiles import cuts_of
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.contact import (
    Contact,
    ContactEdge,
    ValveFace,
    contact_of,
    margin_left,
    narrow,
    valve_sink_mm,
)
from castworthy.calc.valvetrain.seat import (
    SeatAngles,
    SeatBand,
    angle_from_included,
    axial_from_normal_mm,
    seat_band,
    seat_growth,
    seat_width_mm,
    sunk,
)

USUAL = SeatAngles(seat_deg=45, top_deg=30, throat_deg=60)
BAND = SeatBand(outer_radius_mm=18.0, inner_radius_mm=16.8)
FACE = ValveFace(outer_radius_mm=18.6, inner_radius_mm=16.2, angle_deg=45)

angles = st.builds(
    lambda top, seat, throat: SeatAngles(
        top_deg=top, seat_deg=top + seat, throat_deg=top + seat + throat
    ),
    st.floats(0, 25),
    st.floats(5, 25),
    st.floats(5, 25),
)
bands = st.builds(
    lambda inner, radial: SeatBand(inner_radius_mm=inner, outer_radius_mm=inner + radial),
    st.floats(10, 30),
    st.floats(0.5, 3),
)


@pytest.mark.parametrize(
    ("included", "angle"),
    # Common practice, no source: 90 and 120 for seats of 45 and 30; cutters of 88 and 118 degrees
    # for seats of 46 and 31.
    [(90, 45), (120, 30), (88, 46), (118, 31)],
)
def test_included_angles(included: float, angle: float) -> None:
    assert angle_from_included(included) == angle


@pytest.mark.parametrize(
    # The trade's own factors, three decimals (common practice, no source).
    ("angle", "factor"),
    [(45, 1.414), (30, 1.155)],
)
def test_metal_square_to_the_face_sinks_the_valve_further(angle: float, factor: float) -> None:
    assert axial_from_normal_mm(1.0, angle_deg=angle) == pytest.approx(factor, abs=0.0005)


def test_ten_thou_between_30_and_60_widens_by_53_thou() -> None:
    """By hand: 1/(1 - 1/sqrt 3) + 1/(sqrt 3 - 1), over cos 45: 5.278 times the depth."""
    grown = seat_growth(0.254, angles=USUAL)

    assert grown.width_growth_mm / 25.4 == pytest.approx(0.0528, abs=0.00005)
    by_hand = sqrt(2) * (1 / (1 - 1 / sqrt(3)) + 1 / (sqrt(3) - 1))
    assert grown.width_growth_mm == pytest.approx(0.254 * by_hand, rel=1e-12)
    assert grown.outer_radius_growth_mm == pytest.approx(0.254 * (3 + sqrt(3)) / 2, rel=1e-12)
    assert grown.inner_radius_change_mm == pytest.approx(-0.254 * (1 + sqrt(3)) / 2, rel=1e-12)
    assert grown.normal_stock_mm == pytest.approx(0.254 / sqrt(2), rel=1e-12)


@settings(max_examples=60)
@given(band=bands, angles=angles, sink=st.floats(0, 0.5))
def test_growth_is_what_the_cones_do(band: SeatBand, angles: SeatAngles, sink: float) -> None:
    cuts = cuts_of(band, angles=angles)
    grown = seat_growth(sink, angles=angles)
    if band.inner_radius_mm + grown.inner_radius_change_mm < 2:
        return
    after = replace(cuts, seat=cuts.seat + sink).band()
    told = sunk(band, growth=grown)

    assert told.outer_radius_mm == pytest.approx(after.outer_radius_mm, abs=1e-8)
    assert told.inner_radius_mm == pytest.approx(after.inner_radius_mm, abs=1e-8)
    before, now = (seat_width_mm(each, angle_deg=angles.seat_deg) for each in (band, told))
    assert now - before == pytest.approx(grown.width_growth_mm, abs=1e-9)
    assert grown.outer_share_mm + grown.inner_share_mm == pytest.approx(grown.width_growth_mm)


@settings(max_examples=60)
@given(band=bands, angles=angles, width=st.floats(0.8, 3), shift=st.floats(-1, 1))
def test_narrowing_brings_the_seat_there_with_the_least_sinking(
    band: SeatBand, angles: SeatAngles, width: float, shift: float
) -> None:
    middle = (band.outer_radius_mm + band.inner_radius_mm) / 2 + shift
    plan = narrow(band, angles=angles, width_mm=width, middle_radius_mm=middle)
    cuts = cuts_of(band, angles=angles)
    after = replace(
        cuts,
        seat=cuts.seat + plan.seat_sink_mm,
        top=cuts.top + plan.top_sink_mm,
        throat=cuts.throat + plan.throat_sink_mm,
    ).band()

    assert seat_width_mm(after, angle_deg=angles.seat_deg) == pytest.approx(width, abs=1e-7)
    assert (after.outer_radius_mm + after.inner_radius_mm) / 2 == pytest.approx(middle, abs=1e-7)
    depths = (plan.seat_sink_mm, plan.top_sink_mm, plan.throat_sink_mm)
    # A cutter cannot put metal back, and one of the three need not be touched.
    assert min(depths) == pytest.approx(0.0, abs=1e-12)


def test_narrowing_undoes_sinking_with_the_same_depth_from_both_sides() -> None:
    """Sinking the whole seat by s is all three cutters s deeper: plane geometry."""
    wide = sunk(BAND, growth=seat_growth(0.254, angles=USUAL))
    back = narrow(
        wide,
        angles=USUAL,
        width_mm=seat_width_mm(BAND, angle_deg=45),
        middle_radius_mm=(18.0 + 16.8) / 2,
    )

    assert (back.seat_sink_mm, back.top_sink_mm, back.throat_sink_mm) == pytest.approx(
        (0.0, 0.254, 0.254), abs=1e-12
    )


@settings(max_examples=60)
@given(
    band=bands,
    seat_angle=st.floats(25, 50),
    lead=st.sampled_from([-1.0, -0.5, 0.5, 1.0]),
    inset=st.floats(-0.4, 0.2),
)
def test_the_line_is_where_the_gap_closes_first(
    band: SeatBand, seat_angle: float, lead: float, inset: float
) -> None:
    face = ValveFace(
        outer_radius_mm=band.outer_radius_mm - inset,
        inner_radius_mm=band.inner_radius_mm + inset,
        angle_deg=seat_angle - lead,
    )
    found = contact_of(band, face=face, seat_angle_deg=seat_angle)
    radii = np.linspace(found.inner_radius_mm, found.outer_radius_mm, 2001)
    gap = -radii * (np.tan(radians(seat_angle)) - np.tan(radians(face.angle_deg)))
    gap -= gap.min()

    assert isinstance(found, Contact)
    assert found.line_radius_mm == pytest.approx(radii[gap.argmin()])
    assert found.opening_mm == pytest.approx(gap.max() * cos(radians(seat_angle)))


def test_a_steeper_seat_touches_at_the_chamber_side() -> None:
    """Common practice, no source: a seat of 46 under a face of 45 touches at its outer edge."""
    whole = contact_of(BAND, face=FACE, seat_angle_deg=45)
    steeper = contact_of(BAND, face=FACE, seat_angle_deg=46)
    flatter = contact_of(BAND, face=FACE, seat_angle_deg=44)

    assert [each.edge for each in (whole, steeper, flatter)] == [
        ContactEdge.WHOLE,
        ContactEdge.OUTER,
        ContactEdge.INNER,
    ]
    assert whole.opening_mm == pytest.approx(0.0, abs=1e-15)
    assert whole.position_ratio == pytest.approx(0.5)
    assert whole.to_outer_edge_mm == pytest.approx(0.6 * sqrt(2))
    assert whole.overhang_mm == pytest.approx(0.0, abs=1e-12)


def test_a_seat_past_the_face_hangs_over_and_one_off_it_is_refused() -> None:
    small = ValveFace(outer_radius_mm=17.5, inner_radius_mm=16.2, angle_deg=45)
    over = contact_of(BAND, face=small, seat_angle_deg=45)
    missed = contact_of(
        BAND,
        face=ValveFace(outer_radius_mm=16.5, inner_radius_mm=15.0, angle_deg=45),
        seat_angle_deg=45,
    )

    assert over.overhang_mm == pytest.approx(0.5 * sqrt(2))
    assert isinstance(missed, Refused)
    assert missed.code == "no-contact"


@settings(max_examples=40)
@given(sink=st.floats(0.01, 0.4), lead=st.sampled_from([-1.0, 0.0, 1.0]))
def test_the_valve_follows_its_contact_line(sink: float, lead: float) -> None:
    """Against the valve lowered onto the cut metal until it touches, on a fine grid."""
    face = ValveFace(outer_radius_mm=22.0, inner_radius_mm=12.0, angle_deg=45 - lead)
    cuts = cuts_of(BAND, angles=USUAL)
    deeper = replace(cuts, seat=cuts.seat + sink)
    rests = []
    for each in (cuts, deeper):
        band = each.band()
        radii = np.linspace(band.inner_radius_mm, band.outer_radius_mm, 4001)
        rests.append(float((each.depth(radii) + radii * np.tan(radians(face.angle_deg))).min()))
    before, after = (
        contact_of(each.band(), face=face, seat_angle_deg=45) for each in (cuts, deeper)
    )
    told = valve_sink_mm(
        sink,
        seat_angle_deg=45,
        face_angle_deg=face.angle_deg,
        line_before_mm=before.line_radius_mm,
        line_after_mm=after.line_radius_mm,
    )

    assert told == pytest.approx(rests[1] - rests[0], abs=1e-9)


def test_uncertainties_are_first_order() -> None:
    s, a, t, b = (ufloat(0.254, 0.005), *(ufloat(x, 0.25) for x in (45, 30, 60)))
    theta, alpha, beta = (umath.tan(umath.radians(x)) for x in (a, t, b))
    width = s * (1 / (theta - alpha) + 1 / (beta - theta)) / umath.cos(umath.radians(a))
    grown = seat_growth(0.254, angles=USUAL, u_sink_mm=0.005, u_angle_deg=0.25)
    known = replace(BAND, u_outer_radius_mm=0.03, u_inner_radius_mm=0.04)

    # The library takes exact derivatives; half differences over u differ by the third order.
    assert grown.u_width_growth_mm == pytest.approx(width.std_dev, rel=1e-3)
    assert seat_growth(0.254, angles=USUAL).u_width_growth_mm is None
    plan = narrow(known, angles=USUAL, width_mm=1.5, middle_radius_mm=17.4)
    assert plan.u_top_sink_mm == pytest.approx(0.03 * (1 - 1 / sqrt(3)))
    assert plan.u_throat_sink_mm == pytest.approx(0.04 * (sqrt(3) - 1))


def test_margin_falls_by_the_face_cut() -> None:
    left = margin_left(1.50, face_cut_mm=0.20, u_margin_mm=0.03, u_face_cut_mm=0.04, least_mm=1.20)

    assert left.margin_mm == pytest.approx(1.30)
    assert left.u_margin_mm == pytest.approx(0.05)
    assert left.above_least_mm == pytest.approx(0.10)
    assert margin_left(1.50, face_cut_mm=0.20).u_margin_mm is None


@given(band=bands, angle=st.floats(15, 60))
def test_a_seat_from_its_diameter_and_width(band: SeatBand, angle: float) -> None:
    width = seat_width_mm(band, angle_deg=angle)
    back = seat_band(outer_diameter_mm=2 * band.outer_radius_mm, width_mm=width, angle_deg=angle)

    assert back.inner_radius_mm == pytest.approx(band.inner_radius_mm)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: SeatAngles(seat_deg=90, top_deg=120, throat_deg=60),
        lambda: SeatAngles(seat_deg=45, top_deg=45, throat_deg=60),
        lambda: SeatBand(outer_radius_mm=10, inner_radius_mm=11),
        lambda: ValveFace(outer_radius_mm=10, inner_radius_mm=9, angle_deg=90),
        lambda: angle_from_included(0),
        lambda: axial_from_normal_mm(0.1, angle_deg=120),
        lambda: seat_growth(-0.1, angles=USUAL),
        lambda: seat_growth(0.1, angles=USUAL, u_sink_mm=-1),
        lambda: seat_growth(float("nan"), angles=USUAL),
        lambda: narrow(BAND, angles=USUAL, width_mm=0, middle_radius_mm=17),
        lambda: margin_left(1.0, face_cut_mm=-0.1),
        lambda: seat_band(outer_diameter_mm=40, width_mm=0, angle_deg=45),
    ],
)
def test_wrong_calls_are_told(wrong: object) -> None:
    with pytest.raises(InputError, match="got"):
        wrong()
