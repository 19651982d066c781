"""Shape in words and figures, the least cut, and what a trial cut leaves."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from calc.deck.faces import grid, heights, rough
from castworthy.calc.deck.cleanup import clean_up_level, clean_up_tilted, trial_cut, uncut_ratio
from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.form import Heights
from castworthy.calc.deck.frame import over
from castworthy.calc.deck.shape import shape_of
from castworthy.calc.errors import InputError
from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Material,
    Place,
    PlaceKind,
    Reading,
)
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.model import DeckColumns
from castworthy.calc.rework.surface import Surface
from castworthy.units import Show

THOU, MM = Show(length="thou"), Show(length="mm")
U, V = np.meshgrid(np.linspace(-1, 1, 9), np.linspace(-1, 1, 5), indexing="ij")


def face(z: np.ndarray) -> Heights:
    return heights(400 * U.ravel(), 100 * V.ravel(), z.ravel())


@pytest.mark.parametrize(
    ("z", "bow", "cross", "twist"),
    [
        # Exact, by construction: a parabola of 40 µm, a saddle of 15 µm between the diagonals.
        (-0.04 * U**2, 40.0, 0.0, 0.0),
        (0.04 * U**2 + 0.3 + 1e-3 * U, -40.0, 0.0, 0.0),
        (0.02 * V**2, 0.0, -20.0, 0.0),
        (0.0075 * U * V, 0.0, 0.0, 15.0),
        (-0.04 * U**2 + 0.01 * V**2 - 0.005 * U * V, 40.0, -10.0, -10.0),
    ],
)
def test_exact_shapes(z: np.ndarray, bow: float, cross: float, twist: float) -> None:
    shape = shape_of(face(z), show=MM)

    assert shape.bow_um == pytest.approx(bow, abs=1e-6)
    assert shape.cross_bow_um == pytest.approx(cross, abs=1e-6)
    assert shape.twist_um == pytest.approx(twist, abs=1e-6)
    assert shape.uneven_um == pytest.approx(0.0, abs=1e-6)


def test_along_is_the_longer_way() -> None:
    turned = heights(100 * V.ravel(), 400 * U.ravel(), (-0.04 * U**2 + 1e-2 * U).ravel())
    shape = shape_of(turned, show=MM)

    assert (shape.bow_um, shape.cross_bow_um) == pytest.approx((40.0, 0.0), abs=1e-6)
    assert (shape.wedge_along_um, shape.wedge_across_um) == pytest.approx((20.0, 0.0), abs=1e-6)


def test_two_rows_show_no_cross_bow() -> None:
    two_rows = grid(np.column_stack((-0.01 * np.linspace(-1, 1, 7) ** 2,) * 2))
    shape = shape_of(two_rows, show=MM)

    assert (shape.bow_um, shape.cross_bow_um) == pytest.approx((10.0, 0.0), abs=1e-6)


THOU_MM = 0.0254


@pytest.mark.parametrize(
    ("z", "show", "sentence"),
    [
        (
            THOU_MM * (1.8 * U**2 + 0.2 * U * V),
            THOU,
            "Bowed: 1.8 thou low in the middle along the length; twist 0.4.",
        ),
        (-0.04 * U**2, MM, "Bowed: 0.040 mm high in the middle along the length."),
        (
            THOU_MM * (-2 * V**2 + 0.3 * U**2),
            THOU,
            "Bowed across: 2.0 thou high in the middle of the width; bow 0.3.",
        ),
        (THOU_MM * 0.75 * U * V, THOU, "Twisted: 1.5 thou between the diagonals."),
        (0 * U, THOU, "Neither bowed nor twisted."),
        (THOU_MM * 1.5 * U, THOU, "Neither bowed nor twisted; wedge 3.0 thou along."),
        (
            THOU_MM * (U**2 + V),
            THOU,
            "Bowed: 1.0 thou low in the middle along the length; wedge 2.0 thou across.",
        ),
    ],
)
def test_sentences(z: np.ndarray, show: Show, sentence: str) -> None:
    assert shape_of(face(z), show=show).sentence == sentence


def test_an_uneven_face_is_called_so() -> None:
    z = np.indices(U.shape).sum(axis=0) % 2 * 0.01
    sentence = shape_of(face(z), show=THOU).sentence

    assert sentence.startswith("Uneven by 0.4 thou rather than bowed or twisted")


def test_level_clean_up_is_highest_less_lowest() -> None:
    # By hand.
    cut = clean_up_level(grid([[0.01, 0.03], [-0.02, 0.0], [0.0, 0.0]]))

    assert cut.cut_mm == cut.highest_cut_mm == pytest.approx(0.05)
    assert cut.mean_cut_mm == pytest.approx(0.02 / 6 + 0.02)
    assert (cut.last_x_mm, cut.last_y_mm) == (100.0, 0.0)
    assert (cut.plane.level_mm, cut.plane.a_ratio, cut.plane.b_ratio) == (-0.02, 0.0, 0.0)


def cut_by_program(points: Heights, most: float) -> tuple[float, float]:
    """Least largest stock, then least mean stock, by two plain programs over all points [mm]."""
    x, y, z = points.x_mm, points.y_mm, points.z_mm * 1e3
    one, none = np.ones_like(x), np.zeros_like(x)
    rows = np.vstack((np.column_stack((x, y, one, none)), np.column_stack((-x, -y, -one, -one))))
    tilt = most * 1e3
    bounds = [(-tilt, tilt), (-tilt, tilt), (None, None), (0, None)]
    largest = linprog([0, 0, 0, 1], A_ub=rows, b_ub=np.concatenate((z, -z)), bounds=bounds).fun
    bounds[3] = (0, largest * (1 + 1e-9) + 1e-7)
    mean = linprog(
        [-x.mean(), -y.mean(), -1, 0], A_ub=rows, b_ub=np.concatenate((z, -z)), bounds=bounds
    )
    return largest / 1e3, (z.mean() + mean.fun) / 1e3


@pytest.mark.parametrize("tilt", [1e-5, 1e-4, 5e-4])
@pytest.mark.parametrize("seed", range(4))
def test_tilted_clean_up_against_a_plain_program(seed: int, tilt: float) -> None:
    # Independent library: scipy.optimize.linprog over all points at once.
    points = rough(300, seed=seed)
    cut = clean_up_tilted(points, largest_tilt_ratio=tilt)
    largest, mean = cut_by_program(points, tilt)

    assert cut.cut_mm == pytest.approx(largest, rel=1e-6)
    assert cut.mean_cut_mm == pytest.approx(mean, rel=1e-4)
    assert max(abs(cut.plane.a_ratio), abs(cut.plane.b_ratio)) <= tilt


@given(st.integers(0, 10_000), st.sampled_from([0.0, 1e-5, 1e-4, 1e-3]))
@settings(max_examples=60)
def test_a_clean_up_cleans_everything_and_no_more(seed: int, tilt: float) -> None:
    points = rough(40, seed=seed)
    cut = clean_up_tilted(points, largest_tilt_ratio=tilt)
    stock = over(cut.plane, heights=points)
    zone_mm = minimum_zone(points).flatness_um / 1e3

    assert stock.min() == pytest.approx(0.0, abs=1e-12)
    assert stock.max() == pytest.approx(cut.cut_mm, rel=1e-9)
    assert stock.mean() == pytest.approx(cut.mean_cut_mm, rel=1e-9)
    assert zone_mm * (1 - 1e-6) <= cut.cut_mm
    assert cut.cut_mm <= clean_up_level(points).cut_mm * (1 + 1e-9)
    assert uncut_ratio(
        points,
        cut_mm=cut.highest_cut_mm,
        a_ratio=cut.plane.a_ratio,
        b_ratio=cut.plane.b_ratio,
    ) == pytest.approx(0.0)


def test_enough_tilt_reaches_the_minimum_zone() -> None:
    points = rough(500, seed=1)
    cut = clean_up_tilted(points, largest_tilt_ratio=1e-2)

    assert 1e3 * cut.cut_mm == pytest.approx(minimum_zone(points).flatness_um, rel=1e-6)


def test_ties_go_to_the_least_mean_stock() -> None:
    # By hand: a ridge h along the middle of three columns takes h at any tilt along y within
    # h / 200 per mm; the mean is least where the plane rises towards the higher row.
    points = grid([[0, 0, 0], [0.01, 0.01, 0.01], [0, 0, 0.005]])
    cut = clean_up_tilted(points, largest_tilt_ratio=1e-3)
    largest, mean = cut_by_program(points, 1e-3)

    assert (cut.cut_mm, cut.mean_cut_mm) == pytest.approx((largest, mean), rel=1e-4)


def test_a_dense_scan_is_cleaned_exactly() -> None:
    points = rough(50_000, seed=2)
    cut = clean_up_tilted(points, largest_tilt_ratio=1e-4)
    few = rough(50_000, seed=2)
    largest, _ = cut_by_program(few, 1e-4)

    assert cut.cut_mm == pytest.approx(largest, rel=1e-6)
    assert over(cut.plane, heights=points).min() == pytest.approx(0.0, abs=1e-12)


def test_trial_cut() -> None:
    # By hand: heights 0, -10, -20 µm; a cut of 10 leaves the last column 10 under the plane.
    points = grid([[0.0, 0.0], [-0.010, -0.010], [-0.020, -0.020]])
    trial = trial_cut(points, cut_mm=0.010)

    assert trial.uncut.tolist() == [False, False, False, False, True, True]
    assert trial.uncut_ratio == pytest.approx(1 / 3)
    assert trial.deepest_mm == pytest.approx(0.010)
    assert uncut_ratio(points, cut_mm=0.020) == 0.0
    # Tilted along with the fall of 10 µm per pitch: the whole face cleans at once.
    assert uncut_ratio(points, cut_mm=0.0, a_ratio=-1e-4) == 0.0


@given(st.integers(0, 1000), st.floats(0, 0.1), st.floats(0, 0.05))
@settings(max_examples=40)
def test_a_deeper_cut_leaves_no_more(seed: int, cut: float, more: float) -> None:
    points = rough(30, seed=seed)

    assert uncut_ratio(points, cut_mm=cut + more) <= uncut_ratio(points, cut_mm=cut)


def head_with(points: Heights) -> tuple[HeadSheet, tuple[Reading, ...]]:
    spots = list(zip(points.x_mm.tolist(), points.y_mm.tolist(), strict=True))
    sheet = HeadSheet(
        code="D1",
        title="A deck",
        material=Material.GREY_IRON,
        source="invented",
        outline_mm=((0, 0), (800, 0), (800, 230), (0, 230)),
        cylinders=(Cylinder(name="1", x_mm=100, y_mm=100, bore_mm=90),),
        valves=(),
        places=tuple(
            Place(name=f"H{i}", kind=PlaceKind.HEIGHT, x_mm=x, y_mm=y)
            for i, (x, y) in enumerate(spots)
        ),
    )
    readings = tuple(
        Reading(quantity=Quantity.HEIGHT, place=f"H{i}", value=float(z), u=0.001)
        for i, z in enumerate(points.z_mm)
    )
    return sheet, readings


def test_agrees_with_the_rework_plan() -> None:
    """The plan's own surface and stock rows see the same cut clean the same face."""
    points = rough(60, seed=7)
    sheet, readings = head_with(points)
    surface = Surface(sheet, readings=readings)
    level, tilted = clean_up_level(points), clean_up_tilted(points, largest_tilt_ratio=2e-4)
    deck = DeckColumns(used=0, depth=1, a=2, b=3, origin_mm=surface.origin_mm, reach_mm=800.0)

    def stocks(cut_mm: float, a: float, b: float) -> np.ndarray:
        chosen = {0: 1.0, 1: cut_mm, 2: a * 800.0, 3: b * 800.0}
        rows = (
            deck.stock(float(h), spot_mm=(float(x), float(y)))
            for (x, y), h in zip(surface.spots_mm, surface.heights_mm, strict=True)
        )
        return np.array([sum(chosen[c] * by for c, by in row.items()) for row in rows])

    assert level.cut_mm == pytest.approx(surface.range_mm, rel=1e-12)
    assert stocks(level.cut_mm, 0.0, 0.0).min() == pytest.approx(0.0, abs=1e-12)
    a, b = tilted.plane.a_ratio, tilted.plane.b_ratio
    tilted_stock = stocks(tilted.highest_cut_mm, a, b)
    assert tilted_stock == pytest.approx(over(tilted.plane, heights=points), abs=1e-12)
    assert tilted_stock.min() == pytest.approx(0.0, abs=1e-12)


def test_wrong_calls() -> None:
    points = rough(9, seed=1)
    with pytest.raises(InputError, match="largest tilt is not negative"):
        clean_up_tilted(points, largest_tilt_ratio=-1e-4)
    with pytest.raises(InputError, match="A cut is not negative"):
        trial_cut(points, cut_mm=-0.1)
