"""ISO 16610-21, Gaussian profile filter: weights and transmission are exact formulas."""

from math import exp, log, pi, sqrt

import numpy as np
import pytest

from castworthy.calc.errors import InputError
from castworthy.calc.texture.filtering import ALPHA, levelled, mean_line
from castworthy.calc.texture.profile import Ends

CUTOFF_MM = 0.8
SPACING_MM = 0.001


def test_constant() -> None:
    # 4.1: alpha = sqrt(ln 2 / pi), ten digits computed once apart from this code.
    assert pytest.approx(0.4697186393, abs=0.5e-10) == ALPHA


@pytest.mark.parametrize(
    ("wavelength_ratio", "transmission"),
    [
        # 4.2: exp(-ln 2 (cut-off / wavelength)^2), six digits computed once apart from this code.
        (1.0 / 3.0, 0.001953),
        (0.5, 0.0625),
        (1.0, 0.5),
        (2.0, 0.840896),
        (3.0, 0.925875),
        (5.0, 0.972655),
        (10.0, 0.993092),
    ],
)
@pytest.mark.parametrize("ends", list(Ends))
def test_amplitude_that_passes(wavelength_ratio: float, transmission: float, ends: Ends) -> None:
    x = np.arange(40_001) * SPACING_MM
    wave = np.sin(2.0 * pi * x / (wavelength_ratio * CUTOFF_MM))

    line = mean_line(wave, spacing_mm=SPACING_MM, cutoff_mm=CUTOFF_MM, ends=ends)

    inner = slice(4000, 36_001)
    passed = np.dot(line[inner], wave[inner]) / np.dot(wave[inner], wave[inner])
    assert passed == pytest.approx(transmission, abs=0.5e-6)


def test_weights_are_the_standards() -> None:
    spike = np.zeros(8001)
    spike[4000] = 1.0

    weights = mean_line(spike, spacing_mm=SPACING_MM, cutoff_mm=CUTOFF_MM) / SPACING_MM

    # 4.1: s(x) = exp(-pi (x / (alpha cut-off))^2) / (alpha cut-off).
    assert weights[4000] * CUTOFF_MM == pytest.approx(2.128934, abs=0.5e-6)
    assert weights[4400] * CUTOFF_MM == pytest.approx(0.0605621, abs=0.5e-7)
    expected = exp(-pi * (0.25 / ALPHA) ** 2) / (ALPHA * CUTOFF_MM)
    assert weights[4200] == pytest.approx(expected, rel=1e-12)
    assert weights.sum() * SPACING_MM == pytest.approx(1.0, abs=1e-12)


def test_weight_beyond_half_a_cutoff() -> None:
    x = np.arange(8001)
    step = np.where(x >= 4000, 1.0, 0.0)

    line = mean_line(step, spacing_mm=SPACING_MM, cutoff_mm=CUTOFF_MM)

    # Area beyond half a cut-off on both sides: 0.00762536 (4.3, why ends are dropped).
    beyond = 2.0 * 0.5 * (line[4000 - 400] + line[4000 - 401])
    assert beyond == pytest.approx(0.00762536, rel=1e-4)


def test_same_as_the_sum_over_weights() -> None:
    rng = np.random.default_rng(4)
    z = rng.normal(size=301)
    x = np.arange(301) * 0.01

    plain, leaning = np.empty(301), np.empty(301)
    for i in range(301):
        u = x - x[i]
        s = np.exp(-pi * (u / (ALPHA * CUTOFF_MM)) ** 2)
        plain[i] = (s @ z) / s.sum()
        S = np.array([[s.sum(), s @ u], [s @ u, s @ (u * u)]])
        leaning[i] = np.linalg.solve(S, [s @ z, s @ (u * z)])[0]

    # The code takes the weight off the end as an integral, this loop as a sum: 1e-3 apart.
    for ends, expected in ((Ends.DROPPED, plain), (Ends.REGRESSION, leaning)):
        line = mean_line(z, spacing_mm=0.01, cutoff_mm=CUTOFF_MM, ends=ends)
        assert line == pytest.approx(expected, abs=2e-3)
        assert line[100:200] == pytest.approx(expected[100:200], abs=1e-9)


def test_regression_passes_a_straight_line_to_its_ends() -> None:
    x = np.arange(5601) * SPACING_MM
    z = 3.0 - 7.0 * x

    line = mean_line(z, spacing_mm=SPACING_MM, cutoff_mm=CUTOFF_MM, ends=Ends.REGRESSION)

    # Weights beyond the end come off as an integral, not as a sum: 1e-5 of the height.
    assert line == pytest.approx(z, abs=36e-5)


def test_line_comes_off_exactly() -> None:
    rng = np.random.default_rng(6)
    z = rng.normal(size=1000)
    x = np.arange(1000.0)

    assert levelled(z) == pytest.approx(z - np.polyval(np.polyfit(x, z, 1), x), abs=1e-12)


def test_cutoff_of_nothing_is_a_wrong_call() -> None:
    with pytest.raises(InputError):
        mean_line(np.zeros(10), spacing_mm=SPACING_MM, cutoff_mm=0.0)


def test_standard_deviation_of_the_weights() -> None:
    # The weights are a normal density of standard deviation alpha / sqrt(2 pi) cut-offs.
    assert pytest.approx(sqrt(log(2.0) / 2.0) / pi) == ALPHA / sqrt(2.0 * pi)
