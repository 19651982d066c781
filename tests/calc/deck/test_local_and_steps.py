"""Local flatness, steps, sections and the walk over a grid."""

from itertools import product

import numpy as np
import pytest
from scipy.interpolate import LinearNDInterpolator

from calc.deck.faces import grid, heights, rough
from castworthy.calc.deck import local
from castworthy.calc.deck.cells import thinned
from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.form import Heights
from castworthy.calc.deck.local import local_flatness
from castworthy.calc.deck.section import section
from castworthy.calc.deck.steps import step_between_neighbours
from castworthy.calc.deck.walk import walking_order
from castworthy.calc.errors import InputError


def every_window(face: Heights, span: float, *, step: float) -> float:
    """Worst window by brute force: squares at a fine raster of places."""
    worst = 0.0
    for left, low in product(
        np.arange(face.x_mm.min() - span, face.x_mm.max() + step, step),
        np.arange(face.y_mm.min() - span, face.y_mm.max() + step, step),
    ):
        held = (
            (face.x_mm >= left)
            & (face.x_mm <= left + span)
            & (face.y_mm >= low)
            & (face.y_mm <= low + span)
        )
        if held.sum() >= 3:
            part = heights(face.x_mm[held], face.y_mm[held], face.z_mm[held])
            worst = max(worst, minimum_zone(part).flatness_um)
    return worst


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("span_mm", [120.0, 260.0])
def test_no_window_anywhere_is_worse(seed: int, span_mm: float) -> None:
    # Brute force over a raster finer than the points.
    face = rough(40, seed=seed)
    (found,) = local_flatness(face, windows_mm=(span_mm,))

    assert found.flatness_um >= every_window(face, span_mm, step=12.0) * (1 - 1e-9)
    assert found.flatness_um <= minimum_zone(face).flatness_um * (1 + 1e-9)


def test_a_local_dent_is_found_where_it_is() -> None:
    # By hand: one low point in a flat grid; a window of 3 x 3 pitches round it reads its depth.
    z = np.zeros((12, 5))
    z[7, 2] = -0.02
    (found,) = local_flatness(grid(z, pitch_mm=50.0), windows_mm=(100.0,))

    assert found.flatness_um == pytest.approx(20.0, rel=1e-6)
    assert (found.x_mm, found.y_mm) == (350.0, 100.0)
    assert found.points_count == 9


def test_a_window_over_the_whole_face_is_its_flatness() -> None:
    face = rough(60, seed=4)
    wide, wider = local_flatness(face, windows_mm=(801.0, 5000.0))

    assert wide.flatness_um == wider.flatness_um == minimum_zone(face).flatness_um
    assert wide.points_count == 60


def test_a_window_too_small_for_three_points_is_flat() -> None:
    (found,) = local_flatness(grid(np.eye(4)), windows_mm=(50.0,))

    assert (found.flatness_um, found.points_count) == (0.0, 0)


def test_stepped_windows_of_a_dense_scan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Never above the exact answer, and near it."""
    face = rough(900, seed=6)
    (stepped,) = local_flatness(face, windows_mm=(250.0,))
    monkeypatch.setattr(local, "MOST_WINDOWS", 10**9)
    (exact,) = local_flatness(face, windows_mm=(250.0,))

    assert 0.9 * exact.flatness_um < stepped.flatness_um <= exact.flatness_um * (1 + 1e-9)


def test_a_span_is_wider_than_nothing() -> None:
    with pytest.raises(InputError, match="wider than 0, got 0 mm"):
        local_flatness(rough(9, seed=1), windows_mm=(100.0, 0.0))


def test_the_step_of_a_ridge() -> None:
    # By hand: rows of 0 and h alternate along x by h between columns 3 and 4 only.
    z = np.zeros((8, 4))
    z[4:, 1] = 0.0
    z[4, 1] = 0.012
    step = step_between_neighbours(grid(z, pitch_mm=40.0))

    # The least-squares plane takes a part of the ridge off; its lean over one pitch is small.
    assert step.step_um == pytest.approx(12.0, abs=0.3)
    assert step.to_mm == (160.0, 40.0)


def test_a_slope_is_no_step() -> None:
    i, j = np.indices((6, 4))
    step = step_between_neighbours(grid(0.003 * i - 0.002 * j))

    assert step.step_um == pytest.approx(0.0, abs=1e-9)


def test_a_step_among_scattered_points() -> None:
    """A cliff between two flat halves is found where they meet, not across the rim."""
    face = rough(400, seed=8)
    cliff = heights(face.x_mm, face.y_mm, np.where(face.x_mm > 400, 0.02, 0.0))
    step = step_between_neighbours(cliff)

    assert step.from_mm[0] <= 400 < step.to_mm[0] or step.to_mm[0] <= 400 < step.from_mm[0]
    assert 10.0 < step.step_um <= 25.0


def test_thinned_scans_keep_means() -> None:
    face = rough(30_000, seed=9)
    less = thinned(face, most_count=500)

    assert 300 <= len(less.z_mm) <= 700
    assert thinned(less, most_count=700) is not less
    assert len(thinned(less, most_count=700).z_mm) == len(less.z_mm)
    assert less.x_mm.min() >= face.x_mm.min()
    assert less.z_mm.max() <= face.z_mm.max()


def test_a_dense_scan_has_a_step_and_a_section() -> None:
    face = rough(30_000, seed=9)
    line = section(face, from_mm=(10, 100), to_mm=(790, 100), points_count=40)
    u, v = line.x_mm / 400 - 1, line.y_mm / 115 - 1

    # Exact: the face's own formula; its random error of 5 µm is averaged little in small cells.
    assert step_between_neighbours(face).step_um < 60
    assert line.z_mm == pytest.approx(-0.05 * u**2 + 0.02 * u * v + 2e-4 * line.x_mm, abs=0.025)


def test_a_section_of_a_plane_is_straight_and_ends_at_the_nearest_point() -> None:
    i, j = np.indices((5, 3))
    face = grid(0.01 * i + 0.02 * j)
    line = section(face, from_mm=(0, 100), to_mm=(500, 100), points_count=6)

    # By hand: the last place lies outside the points, where the nearest one counts.
    assert line.z_mm == pytest.approx([0.02, 0.03, 0.04, 0.05, 0.06, 0.06], abs=1e-12)
    assert line.way_mm == pytest.approx([0, 100, 200, 300, 400, 500])
    assert section(face, from_mm=(0, -50), to_mm=(400, -50), points_count=2).z_mm == pytest.approx(
        [0.0, 0.04], abs=1e-12
    )
    with pytest.raises(InputError, match="two places or more"):
        section(face, from_mm=(0, 0), to_mm=(1, 1), points_count=1)


@pytest.mark.parametrize("seed", range(4))
def test_a_section_is_what_the_plan_sees(seed: int) -> None:
    # Independent library: scipy's interpolator over its own triangles of the same points.
    face = rough(50, seed=seed)
    line = section(face, from_mm=(200, 60), to_mm=(600, 170), points_count=33)
    known = np.column_stack((face.x_mm, face.y_mm))
    expected = LinearNDInterpolator(known, face.z_mm)(np.column_stack((line.x_mm, line.y_mm)))

    assert line.z_mm == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("places", "order"),
    [
        # By hand.
        ([], ()),
        ([(5.0, 5.0)], (0,)),
        ([(0, 0), (100, 0), (200, 0), (0, 50), (100, 50), (200, 50)], (0, 1, 2, 5, 4, 3)),
        ([(200, 52), (0, 1), (100, 0), (0, 50), (200, 3), (100, 49)], (1, 2, 4, 0, 5, 3)),
        ([(0, 0), (0, 100), (0, 200), (50, 0), (50, 100), (50, 200)], (0, 1, 2, 5, 4, 3)),
    ],
)
def test_the_walk_is_a_snake(places: list[tuple[float, float]], order: tuple[int, ...]) -> None:
    assert walking_order(places) == order
