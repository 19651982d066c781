"""ISO 21920-2 and ISO 4287: parameters of shapes whose figures are known; ISO 4288 tables."""

from collections.abc import Callable
from math import pi, sqrt

import numpy as np
import pytest

from castworthy.calc.errors import InputError
from castworthy.calc.texture.cutoff import cutoff_for_ra, cutoff_for_rz, cutoff_for_spacing
from castworthy.calc.texture.heights import heights, u_of_mean_um
from castworthy.calc.texture.profile import Edition
from castworthy.calc.texture.spacing import mean_element_mm, rms_slope

A_UM = 2.0
WAVE_MM = 0.1
POINTS = 4000  # per wave; a shape is taken at the middle of each step
WAVES = 20
SECTIONS = 5


def phase() -> np.ndarray:
    return np.tile((np.arange(POINTS) + 0.5) / POINTS, WAVES)


def sine(p: np.ndarray) -> np.ndarray:
    return A_UM * np.sin(2.0 * pi * p)


def triangle(p: np.ndarray) -> np.ndarray:
    return A_UM * (1.0 - 4.0 * np.abs((p + 0.25) % 1.0 - 0.5))


def square(p: np.ndarray) -> np.ndarray:
    return np.where(p < 0.5, A_UM, -A_UM)


def scallop(p: np.ndarray) -> np.ndarray:
    return A_UM * (4.0 * (p - 0.5) ** 2 - 1.0 / 3.0)


# Shape; Ra, Rq, Rsk, Rku, Rp, Rv as shares of the amplitude.  Exact integrals over whole waves.
SHAPES: list[tuple[Callable[[np.ndarray], np.ndarray], tuple[float, ...]]] = [
    (sine, (2.0 / pi, sqrt(0.5), 0.0, 1.5, 1.0, 1.0)),
    (triangle, (0.5, sqrt(1.0 / 3.0), 0.0, 1.8, 1.0, 1.0)),
    (square, (1.0, 1.0, 0.0, 1.0, 1.0, 1.0)),
    # A scallop a = f^2/(8R) deep: Ra f^2/(18 sqrt3 R), Rq f^2/(12 sqrt5 R).
    (
        scallop,
        (8.0 / (18.0 * sqrt(3.0)), 8.0 / (12.0 * sqrt(5.0)), 0.6388766, 15.0 / 7.0, 2 / 3, 1 / 3),
    ),
]


@pytest.mark.parametrize("edition", list(Edition))
@pytest.mark.parametrize(("shape", "shares"), SHAPES)
def test_height_parameters(
    shape: Callable[[np.ndarray], np.ndarray], shares: tuple[float, ...], edition: Edition
) -> None:
    found = heights(shape(phase()).reshape(SECTIONS, -1), edition=edition)

    Ra, Rq, Rsk, Rku, Rp, Rv = shares
    assert found.ra_um == pytest.approx(Ra * A_UM, rel=1e-6)
    assert found.rq_um == pytest.approx(Rq * A_UM, rel=1e-6)
    assert found.rsk == pytest.approx(Rsk, abs=1e-6)
    assert found.rku == pytest.approx(Rku, abs=5e-6)
    # The top of a shape lies between two points: half a step is 1/8000 of a wave.
    assert found.rp_um == pytest.approx(Rp * A_UM, rel=2e-3)
    assert found.rv_um == pytest.approx(Rv * A_UM, rel=2e-3)
    assert found.rz_um == pytest.approx((Rp + Rv) * A_UM, rel=2e-3)
    assert found.rt_um == pytest.approx((Rp + Rv) * A_UM, rel=2e-3)


@pytest.mark.parametrize("edition", list(Edition))
@pytest.mark.parametrize("shape", [shape for shape, _ in SHAPES])
def test_element_width_is_the_wavelength(
    shape: Callable[[np.ndarray], np.ndarray], edition: Edition
) -> None:
    sections = shape(phase()).reshape(SECTIONS, -1)

    found = mean_element_mm(sections, spacing_mm=WAVE_MM / POINTS, edition=edition)

    assert found == pytest.approx(WAVE_MM, rel=1e-9)


def test_slope_of_a_sine() -> None:
    z = sine(phase())

    found = rms_slope(z, spacing_mm=WAVE_MM / POINTS)

    # 2 pi a / (lambda sqrt 2), um over um; the six end points have no slope.
    assert found == pytest.approx(2.0 * pi * A_UM / (WAVE_MM * 1000.0 * sqrt(2.0)), rel=1e-4)


def test_slope_of_a_ramp_by_seven_points() -> None:
    assert rms_slope(np.arange(50.0), spacing_mm=0.001) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("edition", list(Edition))
def test_ripples_below_a_tenth_are_no_elements(edition: Edition) -> None:
    p = phase()
    rippled = sine(p) + 0.08 * A_UM * np.sin(2.0 * pi * 40.0 * p + 1.0)

    found = mean_element_mm(
        rippled.reshape(SECTIONS, -1), spacing_mm=WAVE_MM / POINTS, edition=edition
    )

    assert found == pytest.approx(WAVE_MM, rel=0.01)


@pytest.mark.parametrize("edition", list(Edition))
def test_needles_narrower_than_a_hundredth_are_no_elements(edition: Edition) -> None:
    z = sine(phase()).reshape(SECTIONS, -1)
    z[:, 1000:1030] = -A_UM  # 30 of 16,000 points on every crest's first section

    found = mean_element_mm(z, spacing_mm=WAVE_MM / POINTS, edition=edition)

    assert found == pytest.approx(WAVE_MM, rel=1e-3)


def test_one_sided_profile_has_no_element() -> None:
    assert (
        mean_element_mm(np.full((1, 100), 1.0), spacing_mm=0.001, edition=Edition.ISO_21920_2021)
        is None
    )


def test_sections_are_averaged_where_the_standard_says() -> None:
    flat = np.tile([1.0, -1.0], (2, 50))
    flat[1] *= 3.0

    new = heights(flat, edition=Edition.ISO_21920_2021)
    old = heights(flat, edition=Edition.ISO_4287_1997)

    # By hand: heights 1 and 3 in two sections.
    assert (new.rq_um, old.rq_um) == pytest.approx((sqrt(5.0), 2.0))
    assert (new.rku, old.rku) == pytest.approx((41.0 / 25.0, 1.0))
    assert (new.rz_um, new.rt_um) == (4.0, 6.0)
    assert new.section_rz_um == (2.0, 6.0)


def test_uncertainty_of_a_mean() -> None:
    # JCGM 100:2008, 4.2.3: 1, 2, 3 scatter with s = 1, their mean with 1 / sqrt 3.
    assert u_of_mean_um((1.0, 2.0, 3.0), u_stylus_ratio=0.0) == pytest.approx(1.0 / sqrt(3.0))
    assert u_of_mean_um((2.0,), u_stylus_ratio=0.05) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("ra_um", "cutoff_mm"),
    [
        # ISO 4288:1996, table 1 (first two rows read on a page, the rest value from memory).
        (0.02, 0.08),
        (0.021, 0.25),
        (0.1, 0.25),
        (0.11, 0.8),
        (2.0, 0.8),
        (2.1, 2.5),
        (10.0, 2.5),
        (10.1, 8.0),
    ],
)
def test_cutoff_by_ra(ra_um: float, cutoff_mm: float) -> None:
    assert cutoff_for_ra(ra_um).cutoff_mm == cutoff_mm


@pytest.mark.parametrize(
    ("rz_um", "of_1996_mm", "of_2021_mm"),
    [
        # ISO 4288:1996, table 2 (value from memory); ISO 21920-3:2021 (read on a stored page).
        (0.1, 0.08, 0.08),
        (0.16, 0.25, 0.08),
        (0.5, 0.25, 0.25),
        (0.8, 0.8, 0.25),
        (10.0, 0.8, 0.8),
        (16.0, 2.5, 0.8),
        (50.0, 2.5, 2.5),
        (80.0, 8.0, 2.5),
        (81.0, 8.0, 8.0),
    ],
)
def test_cutoff_by_rz(rz_um: float, of_1996_mm: float, of_2021_mm: float) -> None:
    assert cutoff_for_rz(rz_um, edition=Edition.ISO_4287_1997).cutoff_mm == of_1996_mm
    assert cutoff_for_rz(rz_um, edition=Edition.ISO_21920_2021).cutoff_mm == of_2021_mm


@pytest.mark.parametrize(
    ("spacing_mm", "cutoff_mm", "short_um"),
    [
        # ISO 4288:1996, table 3 (value from memory); ISO 3274:1996, table 1 (read on a page).
        (0.04, 0.08, 2.5),
        (0.13, 0.25, 2.5),
        (0.131, 0.8, 2.5),
        (0.4, 0.8, 2.5),
        (0.41, 2.5, 8.0),
        (1.3, 2.5, 8.0),
        (1.31, 8.0, 25.0),
    ],
)
def test_cutoff_by_spacing(spacing_mm: float, cutoff_mm: float, short_um: float) -> None:
    row = cutoff_for_spacing(spacing_mm)

    assert (row.cutoff_mm, row.short_um) == (cutoff_mm, short_um)


def test_negative_roughness_is_a_wrong_call() -> None:
    with pytest.raises(InputError):
        cutoff_for_ra(-0.1)
