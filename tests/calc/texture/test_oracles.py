"""Side by side with two independent libraries, on traces they and we filter or read alike.

Where definitions differ: surfalize takes heights about their own mean (ours stand about the
mean line), Rdq by neighbouring points (ours by seven), the core line by least squares
(``CoreLine.LEAST_SQUARES``) on 10,000 classes, and mirrors the trace at its ends.
SurfaceTopography takes Rdq by neighbouring points as well.
"""

import warnings

import numpy as np
import pytest
import surfalize
from scipy.ndimage import gaussian_filter1d

from calc.texture.decks import cusps, random_heights
from castworthy.calc.texture import heights, material, spacing
from castworthy.calc.texture.filtering import mean_line
from castworthy.calc.texture.profile import CoreLine, Edition

with warnings.catch_warnings():
    warnings.simplefilter("ignore", ImportWarning)  # it runs alone where mpi4py is missing
    import SurfaceTopography

SPACING_MM = 0.0005


@pytest.fixture(scope="module", params=["milled", "ground"])
def roughness_um(request: pytest.FixtureRequest) -> np.ndarray:
    x = np.arange(8000) * SPACING_MM
    rng = np.random.default_rng(11)
    z = random_heights(rng, count=8000, spacing_mm=SPACING_MM, grain_mm=0.006, rms_um=0.4)
    if request.param == "milled":
        z = z + cusps(x, feed_mm=0.12, height_um=2.0)
    return np.asarray(z - z.mean())


@pytest.fixture(scope="module")
def theirs(roughness_um: np.ndarray) -> surfalize.Profile:
    return surfalize.Profile(roughness_um, SPACING_MM * 1000.0)


def test_height_parameters(roughness_um: np.ndarray, theirs: surfalize.Profile) -> None:
    ours = heights.heights(roughness_um.reshape(5, -1), edition=Edition.ISO_21920_2021)

    for name, expected in {
        "ra_um": theirs.Ra(),
        "rq_um": theirs.Rq(),
        "rz_um": theirs.Rz(),
        "rt_um": theirs.Rt(),
        "rp_um": theirs.Rp(),
        "rv_um": theirs.Rv(),
        "rsk": theirs.Rsk(),
        "rku": theirs.Rku(),
    }.items():
        assert getattr(ours, name) == pytest.approx(expected, rel=1e-9), name


def test_core_of_the_material_curve(roughness_um: np.ndarray, theirs: surfalize.Profile) -> None:
    ours = material.core(material.falling(roughness_um), core_line=CoreLine.LEAST_SQUARES)

    assert ours.rk_um == pytest.approx(theirs.Rk(), rel=2e-3)
    assert ours.rpk_um == pytest.approx(theirs.Rpk(), rel=1e-2)
    assert ours.rvk_um == pytest.approx(theirs.Rvk(), rel=1e-2)
    assert 100.0 * ours.mr1_ratio == pytest.approx(theirs.Rmrk1(), abs=0.1)
    assert 100.0 * ours.mr2_ratio == pytest.approx(theirs.Rmrk2(), abs=0.1)


def test_material_ratio(roughness_um: np.ndarray, theirs: surfalize.Profile) -> None:
    falling = material.falling(roughness_um)

    for level_um in (-0.3, 0.0, 0.4):
        ours = 100.0 * material.material_ratio(falling, level_um=level_um)
        assert ours == pytest.approx(theirs.Rmr(level_um), abs=0.05)


def test_slope(roughness_um: np.ndarray, theirs: surfalize.Profile) -> None:
    ours = spacing.rms_slope(roughness_um, spacing_mm=SPACING_MM)
    length_um = len(roughness_um) * SPACING_MM * 1000.0
    line = SurfaceTopography.UniformLineScan(roughness_um, length_um)

    # Grain of 6 um at points 0.5 um apart: neighbours and seven points agree to 0.5 %.
    assert ours == pytest.approx(theirs.Rdq(), rel=5e-3)
    theirs_too = np.sqrt(np.mean(line.derivative(1) ** 2))
    assert ours == pytest.approx(theirs_too, rel=5e-3)


def test_material_ratio_by_bearing_area(roughness_um: np.ndarray) -> None:
    length_um = len(roughness_um) * SPACING_MM * 1000.0
    bearing = SurfaceTopography.UniformLineScan(roughness_um, length_um).bearing_area()
    falling = material.falling(roughness_um)

    for level_um in (-0.3, 0.0, 0.4):
        ours = material.material_ratio(falling, level_um=level_um)
        assert ours == pytest.approx(float(bearing(level_um)), abs=1e-3)


def test_filter_inside(roughness_um: np.ndarray) -> None:
    # An independent normal-density filter of the same standard deviation, away from the ends.
    sigma_mm = 0.8 * np.sqrt(np.log(2.0) / 2.0) / np.pi
    expected = gaussian_filter1d(roughness_um, sigma_mm / SPACING_MM, truncate=8.0)

    ours = mean_line(roughness_um, spacing_mm=SPACING_MM, cutoff_mm=0.8)

    assert ours[2100:5900] == pytest.approx(expected[2100:5900], abs=1e-9)
