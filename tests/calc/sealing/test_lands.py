"""Lands: hand sums, and points sampled on every circle and side as an oracle."""

from dataclasses import replace
from math import cos, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from calc.sealing.decks import two_bores, water
from castworthy.calc.errors import InputError
from castworthy.calc.head import Stud
from castworthy.calc.sealing.lands import (
    Land,
    LandTo,
    RingLands,
    deck_left_mm,
    land_sentence,
    lands_of,
)
from castworthy.calc.sealing.wire import Ring, rings_of
from castworthy.units import Show

MM = Show(length="mm")
POINTS = 4_000
TURN = np.linspace(0.0, 2.0 * pi, POINTS, endpoint=False)


def lands_by_name(lands: RingLands) -> dict[tuple[LandTo, str], Land]:
    return {(each.to, each.name): each for each in lands.lands}


def circle(x: float, y: float, r: float) -> np.ndarray:
    return np.column_stack((x + r * np.cos(TURN), y + r * np.sin(TURN)))


def sampled(ring: Ring, points: np.ndarray) -> float:
    """The shortest distance from a groove's two edges to points, both as dense points."""
    edges = np.vstack([circle(ring.x_mm, ring.y_mm, r) for r in (ring.inner_mm, ring.outer_mm)])
    return float(cKDTree(edges).query(points)[0].min())


def test_lands_by_hand() -> None:
    """Groove of 110 mm, 2 mm wide (radii 54 and 56) round bores of 100 mm, 140 mm apart."""
    sheet = two_bores(openings=(water("W1", x_mm=80.0, y_mm=180.0),))
    rings = rings_of(sheet, diameter_mm=110.0, width_mm=2.0)
    first, second = lands_of(sheet, rings=rings, insert_wall_mm=3.0, fire_ring_diameter_mm=104.0)
    found = lands_by_name(first)

    assert found[LandTo.BORE, "1"].land_mm == pytest.approx(4.0)
    assert found[LandTo.BORE, "1"].angle_deg is None
    assert found[LandTo.BORE, "2"].land_mm == pytest.approx(140.0 - 50.0 - 56.0)
    assert found[LandTo.GROOVE, "2"].land_mm == pytest.approx(140.0 - 112.0)
    # Valve 1A: 20 mm left of the bore's middle, insert radius 20 + 3, so it reaches 43 mm.
    assert found[LandTo.SEAT, "1A"].land_mm == pytest.approx(54.0 - 43.0)
    assert found[LandTo.SEAT, "1A"].angle_deg == pytest.approx(180.0)
    assert found[LandTo.OPENING, "W1"].land_mm == pytest.approx(80.0 - 5.0 - 56.0)
    assert found[LandTo.OPENING, "W1"].angle_deg == pytest.approx(90.0)
    assert found[LandTo.EDGE, ""].land_mm == pytest.approx(80.0 - 56.0)
    assert found[LandTo.EDGE, ""].angle_deg == pytest.approx(180.0)
    # S1 at (5, 5): 75 and 95 from the middle.
    assert found[LandTo.STUD, "S1"].land_mm == pytest.approx((75**2 + 95**2) ** 0.5 - 7.0 - 56.0)
    assert first.smallest.called == "the bore of cylinder 1"
    assert first.fire_ring_mm == pytest.approx(2.0)
    assert [each.called for each in first.narrowest_places] == ["the seat of 1A"]
    assert second.smallest.called == "the bore of cylinder 2"


def test_narrowest_places_all_round() -> None:
    """A stud straight right and one straight up, equally near: both places are named."""
    studs = tuple(
        Stud(name=name, x_mm=80.0 + x, y_mm=100.0 + y, diameter_mm=10.0)
        for name, x, y in (("S1", 64.0, 0.0), ("S2", 0.0, 64.0))
    )
    sheet = two_bores(studs=studs, pitch_mm=200.0)
    (first, _) = lands_of(sheet, rings=rings_of(sheet, diameter_mm=110.0, width_mm=2.0))

    assert [(n.name, n.angle_deg) for n in first.narrowest_places] == [
        ("S1", pytest.approx(0.0)),
        ("S2", pytest.approx(90.0)),
    ]


@settings(max_examples=20)
@given(
    r_hole=st.floats(3.0, 40.0),
    away=st.floats(0.0, 130.0),
    turn=st.floats(0.0, 360.0),
    width=st.floats(0.5, 3.0),
)
def test_any_hole_against_sampled_points(
    r_hole: float, away: float, turn: float, width: float
) -> None:
    x, y = 80.0 + away * cos(radians(turn)), 100.0 + away * sin(radians(turn))
    sheet = two_bores(studs=(Stud(name="S", x_mm=x, y_mm=y, diameter_mm=2 * r_hole),))
    rings = rings_of(sheet, diameter_mm=110.0, width_mm=width)
    exact = lands_by_name(lands_of(sheet, rings=rings)[0])[LandTo.STUD, "S"].land_mm
    edge = circle(x, y, r_hole)
    from_middle = np.hypot(edge[:, 0] - 80.0, edge[:, 1] - 100.0)
    step = pi * (rings[0].outer_mm + r_hole) / POINTS

    if exact > 0.0:
        assert exact - 1e-9 <= sampled(rings[0], edge) <= exact + step
    elif exact < -step and away > r_hole:
        # Broken into: some point of the hole's edge lies in the groove or the hole crosses it.
        assert from_middle.min() < rings[0].outer_mm
        assert from_middle.max() > rings[0].inner_mm


@settings(max_examples=15)
@given(
    corners=st.tuples(
        st.floats(0.0, 20.0), st.floats(0.0, 40.0), st.floats(0.0, 20.0), st.floats(150.0, 199.0)
    )
)
def test_the_edge_against_sampled_points(corners: tuple[float, ...]) -> None:
    """An outline with slanted sides and one corner pushed in."""
    a, b, c, d = corners
    outline = ((a, b), (300.0, c), (300.0, 200.0), (150.0, d), (c, 200.0))
    sheet = two_bores(outline_mm=outline)
    ring = rings_of(sheet, diameter_mm=110.0, width_mm=2.0)[0]
    exact = lands_by_name(lands_of(sheet, rings=(ring,))[0])[LandTo.EDGE, ""].land_mm
    share = np.linspace(0.0, 1.0, POINTS)[:, None]
    sides = [
        (1 - share) * np.array(p) + share * np.array(q)
        for p, q in zip(outline, outline[1:] + outline[:1], strict=True)
    ]
    step = (pi * ring.outer_mm + 150.0) / POINTS

    if exact > 0.0:
        assert exact - 1e-9 <= sampled(ring, np.vstack(sides)) <= exact + step


def test_a_ring_past_the_edge_is_negative() -> None:
    sheet = two_bores()
    ring = replace(rings_of(sheet, diameter_mm=110.0, width_mm=2.0)[0], x_mm=40.0)
    outside = replace(ring, x_mm=-10.0)
    near, far = (lands_of(sheet, rings=(each,))[0] for each in (ring, outside))

    assert lands_by_name(near)[LandTo.EDGE, ""].land_mm == pytest.approx(40.0 - 56.0)
    assert lands_by_name(far)[LandTo.EDGE, ""].land_mm == pytest.approx(-10.0 - 56.0)


@given(width=st.floats(0.5, 3.0), grow=st.floats(0.1, 2.0))
def test_a_wider_groove_leaves_less_everywhere(width: float, grow: float) -> None:
    sheet = two_bores(openings=(water("W1", x_mm=80.0, y_mm=180.0),))
    narrow, wide = (
        lands_by_name(lands_of(sheet, rings=rings_of(sheet, diameter_mm=110.0, width_mm=w))[0])
        for w in (width, width + grow)
    )

    for key, land in narrow.items():
        twice = 2 if key[0] is LandTo.GROOVE else 1
        assert land.land_mm - wide[key].land_mm == pytest.approx(twice * grow / 2, abs=1e-9)


def test_sentences() -> None:
    sheet = two_bores(openings=(water("W1", x_mm=80.0, y_mm=158.0),))
    rings = rings_of(sheet, diameter_mm=110.0, width_mm=2.0)
    over, beside = (
        lands_of(sheet, rings=rings, fire_ring_diameter_mm=d)[0] for d in (110.5, 106.0)
    )

    assert land_sentence(over, show=MM) == (
        "The groove of cylinder 1 breaks into passage W1 by 3.000 mm. It lies under the gasket's "
        "own fire ring."
    )
    assert land_sentence(beside, show=MM).endswith(
        "own fire ring by 1.000 mm: they do not bear on each other."
    )
    clear = lands_of(two_bores(), rings=rings)[0]
    assert land_sentence(clear, show=MM) == (
        "The groove of cylinder 1 leaves 4.000 mm to the bore of cylinder 1, its narrowest land."
    )


def test_deck_left_under_a_groove() -> None:
    assert deck_left_mm(thickness_mm=10.0, depth_mm=0.97, deck_cut_mm=0.2) == pytest.approx(8.83)
    with pytest.raises(InputError, match="thickness above 0 mm"):
        deck_left_mm(thickness_mm=0.0, depth_mm=0.97)


def test_wrong_calls_say_what_is_wrong() -> None:
    sheet = two_bores()
    rings = rings_of(sheet, diameter_mm=110.0, width_mm=2.0)
    with pytest.raises(InputError, match="wall of a seat insert"):
        lands_of(sheet, rings=rings, insert_wall_mm=-1.0)
    with pytest.raises(InputError, match="fire ring has a diameter"):
        lands_of(sheet, rings=rings, fire_ring_diameter_mm=0.0)
