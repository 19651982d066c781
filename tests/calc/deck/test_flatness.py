"""Flatness: what holds of every face, and faces that are no face."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.deck.faces import grid, heights, rough, width_by_contacts, width_by_program
from castworthy.calc.deck import exchange, flatness
from castworthy.calc.deck.flatness import least_squares, minimum_zone
from castworthy.calc.deck.form import Heights
from castworthy.calc.deck.frame import over
from castworthy.calc.errors import InputError

COUNTS = st.integers(min_value=4, max_value=9)


@st.composite
def faces(draw: st.DrawFn) -> Heights:
    """Points on a coarse grid with heights in whole micrometres: full of ties and repeats."""
    count = draw(COUNTS)
    whole = st.lists(st.integers(0, 5), min_size=count, max_size=count)
    x, y = np.array(draw(whole)) * 30.0, np.array(draw(whole)) * 20.0
    return heights(x, y, np.array(draw(whole)) * 1e-3)


def area(face: Heights) -> bool:
    spots = np.column_stack((face.x_mm - face.x_mm[0], face.y_mm - face.y_mm[0]))
    return bool(np.linalg.matrix_rank(spots) == 2)


@given(faces())
@settings(max_examples=150)
def test_every_set_of_contacts_agrees(face: Heights) -> None:
    # Brute force over all sets of four (for faces over an area).
    if area(face):
        expected = 1e3 * width_by_contacts(face)
        assert minimum_zone(face).flatness_um == pytest.approx(expected, rel=1e-6, abs=1e-9)


@given(faces(), st.floats(-5e-4, 5e-4), st.floats(-5e-4, 5e-4), st.floats(-1, 1))
@settings(max_examples=100)
def test_tilt_and_shift_change_nothing(face: Heights, a: float, b: float, c: float) -> None:
    # 1e-6 relative: the width is square to the plane, the tilt is along z.
    moved = heights(face.x_mm + 250, face.y_mm - 90, face.z_mm + a * face.x_mm + b * face.y_mm + c)

    for of in (minimum_zone, least_squares):
        assert of(moved).flatness_um == pytest.approx(of(face).flatness_um, rel=1e-6, abs=1e-9)


@given(faces())
@settings(max_examples=100)
def test_never_above_least_squares(face: Heights) -> None:
    assert minimum_zone(face).flatness_um <= least_squares(face).flatness_um * (1 + 1e-6) + 1e-9


@given(faces())
@settings(max_examples=60)
def test_adding_points_never_lowers_it(face: Heights) -> None:
    widths = [
        minimum_zone(heights(face.x_mm[:n], face.y_mm[:n], face.z_mm[:n])).flatness_um
        for n in range(1, len(face.z_mm) + 1)
    ]

    assert all(more >= less * (1 - 1e-6) - 1e-9 for less, more in pairwise(widths))


@given(faces())
@settings(max_examples=60)
def test_the_planes_hold_every_point_and_touch_the_contacts(face: Heights) -> None:
    zone = minimum_zone(face)
    off = 1e3 * over(zone.plane, heights=face)

    assert np.abs(off).max() <= zone.flatness_um / 2 * (1 + 1e-6) + 1e-9
    assert off[zone.contacts] == pytest.approx(
        zone.sides * zone.flatness_um / 2, rel=1e-6, abs=1e-9
    )


def test_shares_say_how_the_width_follows_a_contact() -> None:
    # Finite difference: moving a contact by 0.01 µm moves the width by its share of that.
    face = rough(50, seed=5)
    zone = minimum_zone(face)

    for at, side, share in zip(zone.contacts, zone.sides, zone.shares_ratio, strict=True):
        z = face.z_mm.copy()
        z[at] += 1e-5
        moved = minimum_zone(heights(face.x_mm, face.y_mm, z)).flatness_um - zone.flatness_um
        assert moved / 1e-2 == pytest.approx(side * share, abs=1e-4)
    assert zone.shares_ratio[zone.sides > 0].sum() == pytest.approx(1.0)
    assert zone.shares_ratio[zone.sides < 0].sum() == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("face", "expected_um"),
    [
        # By hand.
        (grid(np.full((3, 3), 0.4)), 0.0),
        (heights([5], [5], [1]), 0.0),
        (heights([5, 5, 5], [7, 7, 7], [0.001, 0.004, 0.002]), 3.0),
        (heights([0, 100, 0], [0, 0, 100], [0, 0.1, 0.3]), 0.0),
        (heights([0, 100, 200, 300], [0, 50, 100, 150], [0, 0.01, 0.01, 0]), 10.0),
        (heights([0, 100, 200], [0, 100, 200], [0.01, 0, 0.01]), 10.0),
        (heights([0, 0, 200, 200, 0], [0, 100, 0, 100, 0], [0, 0, 0, 0, 0.008]), 8.0),
    ],
    ids=["flat", "one point", "one spot", "three points", "line", "slant line", "repeat differs"],
)
def test_degenerate_faces(face: Heights, expected_um: float) -> None:
    assert minimum_zone(face).flatness_um == pytest.approx(expected_um, rel=1e-6, abs=1e-9)


def test_a_dense_line_is_still_a_line() -> None:
    # By hand: a parabola of sagitta h along a line has straightness h.
    x = np.linspace(-1, 1, 20_001)
    face = heights(300 * x, 100 * x, -0.02 * x**2)

    assert minimum_zone(face).flatness_um == pytest.approx(20.0, rel=1e-6)


def test_a_dense_grid_full_of_ties() -> None:
    # By hand: two levels, both all over the face.
    z = np.indices((300, 300)).sum(axis=0) % 2 * 0.01

    assert minimum_zone(grid(z, pitch_mm=2.0)).flatness_um == pytest.approx(10.0, rel=1e-6)


@pytest.mark.parametrize("at", [0, 49_999])
def test_one_spike_in_a_dense_scan_is_found(at: int) -> None:
    # The spike sets one plane; the other stays put but for its own shares, so the width is at
    # least the spike's height over the least-squares plane of the rest.
    face = rough(50_000, seed=2)
    z = face.z_mm.copy()
    z[at] += 0.5
    spiked = minimum_zone(heights(face.x_mm, face.y_mm, z))

    assert at in spiked.contacts
    assert spiked.flatness_um > 300


def test_work_grows_with_the_points_not_faster(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passes over all points stay few at any size."""
    passes: list[int] = []
    bare = flatness._outside

    def counted(points: Heights, **rest: object) -> object:
        passes.append(len(points.z_mm))
        return bare(points, **rest)  # type: ignore[arg-type]

    monkeypatch.setattr(flatness, "_outside", counted)
    seen = []
    for count in (40_000, 160_000, 640_000):
        passes.clear()
        minimum_zone(rough(count, seed=1))
        seen.append(len(passes))

    assert max(seen) <= 8


@pytest.mark.parametrize(
    ("face", "sentence"),
    [
        (heights([], [], []), "with a point or more"),
        (heights([1, 2], [1, 2], [1]), "of one length"),
        (heights([0, 1, 0, 1], [0, 0, 1, 1], [0, np.nan, 0, 0]), "is no number"),
        (heights([0, 1, np.inf, 1], [0, 0, 1, 1], [0, 0, 0, 0]), "is no number"),
    ],
)
def test_wrong_calls(face: Heights, sentence: str) -> None:
    for of in (minimum_zone, least_squares):
        with pytest.raises(InputError, match=sentence):
            of(face)


def test_a_dense_scan_with_a_gap_is_refused() -> None:
    face = rough(40_000, seed=1)
    face.z_mm[12_345] = np.nan

    with pytest.raises(InputError, match="is no number"):
        minimum_zone(face)


@pytest.mark.parametrize("seed", range(5))
def test_the_rule_against_cycling_finds_the_same(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Bland's rule from the first pivot on, against the plain program.
    monkeypatch.setattr(exchange, "_PATIENCE", -1)
    z = np.random.default_rng(seed).integers(0, 3, (7, 5)) * 1e-3
    face = grid(z, pitch_mm=50.0)

    assert minimum_zone(face).flatness_um == pytest.approx(1e3 * width_by_program(face), rel=1e-6)
