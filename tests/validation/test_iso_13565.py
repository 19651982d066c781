"""ISO 13565-2 and ISO 21920-2: the core of the material-ratio curve, on analytic heights."""

import numpy as np
import pytest
from scipy.special import ndtri

from castworthy.calc.texture.material import core, falling, material_ratio
from castworthy.calc.texture.profile import CoreLine

N = 200_001


def test_normal_heights_by_the_secant() -> None:
    # Analytic: the 40 % secant lies between the 30 % and 70 % quantiles, Rk = 2 z(0.7) / 0.4.
    found = core(falling(ndtri((np.arange(N) + 0.5) / N)))

    assert found.rk_um == pytest.approx(2.6220026, rel=1e-5)
    assert found.mr1_ratio == pytest.approx(0.09492867, rel=1e-4)
    assert found.mr2_ratio == pytest.approx(0.90507133, rel=1e-4)
    # The area of the tail beyond, as a triangle; a finite sample lacks its last needle.
    assert found.rpk_um == pytest.approx(0.9369847, rel=3e-4)
    assert found.rvk_um == pytest.approx(0.9369847, rel=3e-4)


def test_normal_heights_by_least_squares_between_its_feet() -> None:
    # Analytic: slope of z(p) over 0.3 < p < 0.7 is 12 / 0.4^3 * integral of (p - 0.5) z dp, and
    # the integral of p z(p) dp is -integral of the density's derivative; by quadrature here.
    p = np.linspace(0.3, 0.7, 100_001)
    expected = 12.0 / 0.4**3 * np.trapezoid((p - 0.5) * ndtri(p), p)

    found = core(falling(ndtri((np.arange(N) + 0.5) / N)), core_line=CoreLine.LEAST_SQUARES)

    assert found.rk_um == pytest.approx(expected, rel=1e-4)
    assert found.rk_um < 2.6220026


@pytest.mark.parametrize("core_line", list(CoreLine))
def test_even_heights_are_all_core(core_line: CoreLine) -> None:
    found = core(falling(np.linspace(-3.0, 3.0, 1001)), core_line=core_line)

    assert found.rk_um == pytest.approx(6.0)
    assert found.rpk_um == pytest.approx(0.0, abs=1e-9)
    assert found.rvk_um == pytest.approx(0.0, abs=1e-9)
    assert found.mr1_ratio == pytest.approx(0.0, abs=1e-9)
    assert found.mr2_ratio == pytest.approx(1.0, abs=1e-9)


def test_plateau_with_a_pit() -> None:
    # By hand: 80 % of the curve falls evenly from 0.4 to -0.4, the last 20 % from -0.4 to -4.4.
    # Core line: slope -1 per whole ratio, so Rk 1, Mr1 0, lower level -0.6; the pit's line
    # passes it at 0.8 + 0.2 * 0.2 / 4 = 0.81, and the triangle below is 3.8 deep.
    ratio = np.linspace(0.0, 1.0, 10_001)
    height = np.where(ratio <= 0.8, 0.4 - ratio, -0.4 - 20.0 * (ratio - 0.8))

    found = core(falling(height))

    assert found.rk_um == pytest.approx(1.0)
    assert found.mr1_ratio == pytest.approx(0.0, abs=1e-6)
    assert found.mr2_ratio == pytest.approx(0.81)
    assert found.rvk_um == pytest.approx(3.8)


def test_sine_has_its_flattest_secant_at_its_crest() -> None:
    # Analytic: the curve is cos(pi p); its 40 % secant is flattest at either end (the first
    # counts, clause 4.2), so Rk = (1 - cos(0.4 pi)) / 0.4.
    height = np.cos(np.pi * np.linspace(0.0, 1.0, N))

    found = core(falling(height))

    assert found.rk_um == pytest.approx((1.0 - np.cos(0.4 * np.pi)) / 0.4, rel=1e-6)


def test_material_ratio_of_a_sine() -> None:
    # Analytic: the share above c is arccos(c / a) / pi: 1/2 at the mean line, 1/3 at half height.
    height = falling(np.cos(np.pi * np.linspace(0.0, 1.0, N)))

    assert material_ratio(height, level_um=0.0) == pytest.approx(0.5, abs=1e-5)
    assert material_ratio(height, level_um=0.5) == pytest.approx(1.0 / 3.0, abs=1e-5)
    assert material_ratio(height, level_um=1.5) == 0.0
    assert material_ratio(height, level_um=-1.5) == 1.0
