"""NACA Report 1135 (1953), tables for compressible flow: isentropic flow of air, gamma 1.4."""

from math import pi, sqrt

import pytest

from castworthy.calc.leak.flow import CRITICAL_RATIO, flow_function, throughput_pa_m3_per_s

PRINTED = 0.5e-4


@pytest.mark.parametrize(
    ("mach", "pressure_ratio", "temperature_ratio", "area_ratio"),
    [
        # Table I, rows M = 0.50 and 0.80: p/p0, T/T0, A/A* (values from memory, recomputed).
        (0.50, 0.8430, 0.9524, 1.3398),
        (0.80, 0.6560, 0.8865, 1.0382),
    ],
)
def test_subsonic_rows(
    mach: float, pressure_ratio: float, temperature_ratio: float, area_ratio: float
) -> None:
    # m = A p0 psi / sqrt(R T0) is the same at A and at the throat A*, so A/A* = psi*/psi.
    # The printed p/p0 is itself rounded, which moves A/A* by up to 1.5e-4.
    choked, passing = flow_function([0.0, pressure_ratio])

    assert choked / passing == pytest.approx(area_ratio, abs=PRINTED + 1.5e-4)
    # psi is also density times speed: (p/p0) / (T/T0) * M sqrt(gamma T/T0).
    by_speed = pressure_ratio / temperature_ratio * mach * sqrt(1.4 * temperature_ratio)
    assert passing == pytest.approx(by_speed, rel=3e-4)


def test_the_sonic_row() -> None:
    # Table I, row M = 1: p/p0 = 0.5283 (value from memory, recomputed).
    assert pytest.approx(0.5283, abs=PRINTED) == CRITICAL_RATIO


def test_choked_mass_flow_of_air() -> None:
    # Choked m = 0.684731 p0 A / sqrt(R T0) = 0.0404149 p0 A / sqrt(T0) with R = 287.05 (textbook;
    # no page at hand, computed apart from this code).
    T = 293.15
    A = pi / 4.0 * 1e-6
    leak = throughput_pa_m3_per_s(hole_um=1000.0, before_kpa=100.0, behind_kpa=20.0)

    assert float(flow_function(0.3)) == pytest.approx(0.684731, abs=0.5e-6)
    assert leak / (287.05 * T) == pytest.approx(0.0404149 * 100e3 * A / sqrt(T), rel=2e-6)


def test_what_a_millimetre_hole_lets_through() -> None:
    # 1 mm, 1 bar absolute, 293.15 K: 1.853901e-4 kg/s (no published number; computed apart).
    leak = throughput_pa_m3_per_s(hole_um=1000.0, before_kpa=100.0, behind_kpa=0.0)

    assert leak / (287.05 * 293.15) == pytest.approx(1.853901e-4, rel=1e-6)


def test_beyond_sonic_nothing_behind_the_hole_matters() -> None:
    # Table I, row M = 2: p/p0 0.1278, T/T0 0.5556, A/A* 1.6875 (values from memory, recomputed).
    # A throat still passes the sonic flow there: (p/p0) M sqrt(gamma T0/T) A/A* is its psi.
    choked = float(flow_function(0.1278))

    assert choked == pytest.approx(0.1278 * 2.0 * sqrt(1.4 / 0.5556) * 1.6875, rel=5e-4)
