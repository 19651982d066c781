"""ISO 12781-1:2011, flatness: minimum zone and least-squares reference planes.

The standard defines the quantities and prints no worked figures.  The small cases are exact by
hand or by exact rational arithmetic on a 3 x 3 grid; none of them is this code's own answer.
"""

from math import atan, cos, radians, sin

import numpy as np
import pytest

from calc.deck.faces import grid, heights, rough, width_by_contacts, width_by_program
from castworthy.calc.deck.flatness import least_squares, minimum_zone

H = 0.010


@pytest.mark.parametrize(
    ("z", "squares_um", "zone_um"),
    [
        # No published figure.  By hand: a plane that falls h/4 per pitch both ways leaves 3h/4,
        # and no plane does better (corner, its two neighbours and the far corner touch).
        ([[H, 0, 0], [0, 0, 0], [0, 0, 0]], 5 / 6 * 10, 7.5),
        ([[H, 0, H], [0, 0, 0], [0, 0, 0]], 10.0, 10.0),
        ([[0, 0, 0], [0, H, 0], [0, 0, 0]], 10.0, 10.0),
        ([[0, H, 0], [0, 0, 0], [0, 0, 0]], 10.0, 10.0),
        ([[H / 2, 0, -H / 2], [0, 0, 0], [-H / 2, 0, H / 2]], 10.0, 10.0),
        # Computed once apart from this code, by linear program and normal equations.
        (
            [[0.002, -0.004, 0.007], [0.001, 0.009, -0.003], [-0.006, 0.004, 0.0]],
            14.166666667,
            13.333333333,
        ),
        # By hand: two high corners against two low ones, h either way.
        ([[H, -H], [-H, H]], 20.0, 20.0),
    ],
)
def test_exact_small_cases(z: object, squares_um: float, zone_um: float) -> None:
    # 1e-7 relative covers the lean of the planes (1e-4 at most, squared) and printed digits.
    face = grid(z)

    assert least_squares(face).flatness_um == pytest.approx(squares_um, rel=1e-7)
    assert minimum_zone(face).flatness_um == pytest.approx(zone_um, rel=1e-7)


def test_exact_plane_at_any_lean() -> None:
    # By hand: points +h and -h square to a plane leaning 20 degrees are 2h apart however it leans.
    lean = radians(20.0)
    x, y = (v.ravel() for v in np.meshgrid(np.arange(5.0) * 50, np.arange(4.0) * 50))
    up = np.where((np.arange(20) % 2) == 0, H, -H)
    face = heights(x * cos(lean) - up * sin(lean), y, x * sin(lean) + up * cos(lean))

    zone = minimum_zone(face)

    assert zone.flatness_um == pytest.approx(20.0, rel=1e-9)
    assert atan(zone.plane.a_ratio) == pytest.approx(lean, rel=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_against_linear_program(seed: int) -> None:
    # Independent library: scipy.optimize.linprog (HiGHS); its feasibility tolerance is 1e-7.
    face = rough(60 + 40 * seed, seed=seed)

    assert minimum_zone(face).flatness_um == pytest.approx(1e3 * width_by_program(face), rel=1e-6)


def test_against_linear_program_on_a_dense_scan() -> None:
    # Independent library: scipy.optimize.linprog (HiGHS) on all 100,000 points at once.
    face = rough(100_000, seed=3)

    assert minimum_zone(face).flatness_um == pytest.approx(1e3 * width_by_program(face), rel=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_against_every_set_of_contacts(seed: int) -> None:
    # Brute force: the widest need of any four points is the need of all (Helly).
    rng = np.random.default_rng(seed)
    face = heights(rng.integers(0, 5, 11) * 40, rng.integers(0, 4, 11) * 40, rng.integers(0, 9, 11))
    face = heights(face.x_mm, face.y_mm, face.z_mm * 1e-3)

    assert minimum_zone(face).flatness_um == pytest.approx(1e3 * width_by_contacts(face), rel=1e-7)
