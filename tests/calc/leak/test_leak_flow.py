"""Air through a hole and the filling of a port, beside independent answers."""

from math import pi

import numpy as np
import pytest
from fluids.compressible import P_critical_flow
from fluids.safety_valve import API520_A_g
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from castworthy.calc.errors import InputError
from castworthy.calc.leak.flow import (
    AIR_GAS_CONSTANT,
    CRITICAL_RATIO,
    STD_CM3_PER_MIN_PA_M3_PER_S,
    Port,
    clock_of,
    equivalent_hole_um,
    filling_kpa,
    flow_function,
    ratio_at,
    standard_atmosphere_kpa,
    throughput_pa_m3_per_s,
)

AIR = {"Z": 1.0, "MW": 8314.462618 / AIR_GAS_CONSTANT, "k": 1.4, "T": 293.15}


def test_choked_flow_beside_a_relief_valve_sum() -> None:
    """API 520 Part I critical area by ``fluids``; its constants are rounded to four digits."""
    leak = throughput_pa_m3_per_s(hole_um=500.0, before_kpa=101.325, behind_kpa=30.0)
    m = leak / (AIR_GAS_CONSTANT * 293.15)
    area = API520_A_g(m=m, P1=101325.0, P2=30e3, Kd=1.0, **AIR)

    assert area == pytest.approx(pi / 4.0 * 0.5e-3**2, rel=5e-4)


@pytest.mark.parametrize("behind_kpa", [60.0, 80.0, 95.0, 100.0])
def test_subsonic_flow_beside_a_relief_valve_sum(behind_kpa: float) -> None:
    """API 520 Part I, 5.6.4, subcritical area by ``fluids``."""
    leak = throughput_pa_m3_per_s(hole_um=500.0, before_kpa=101.325, behind_kpa=behind_kpa)
    m = leak / (AIR_GAS_CONSTANT * 293.15)
    area = API520_A_g(m=m, P1=101325.0, P2=behind_kpa * 1e3, Kd=1.0, **AIR)

    assert area == pytest.approx(pi / 4.0 * 0.5e-3**2, rel=1e-3)


def test_critical_ratio_beside_fluids() -> None:
    assert pytest.approx(P_critical_flow(1.0, 1.4), rel=1e-12) == CRITICAL_RATIO


def test_psi_is_smooth_at_the_critical_ratio_and_nothing_at_the_atmosphere() -> None:
    just_below, just_above, full = flow_function([CRITICAL_RATIO - 1e-7, CRITICAL_RATIO + 1e-7, 1])

    assert just_below == pytest.approx(just_above, abs=1e-12)
    assert full == 0.0


@pytest.mark.parametrize("ratio", [0.1, 0.5, CRITICAL_RATIO, 0.7, 0.95, 0.999])
def test_the_clock_is_the_integral_of_one_over_psi(ratio: float) -> None:
    summed, _ = quad(lambda r: 1.0 / float(flow_function(r)), 0.0, ratio, points=[CRITICAL_RATIO])

    assert float(clock_of(ratio)) == pytest.approx(summed, rel=1e-7)


@given(st.floats(-0.5, 1.0))
def test_the_clock_and_back(ratio: float) -> None:
    assert float(ratio_at(clock_of(ratio))) == pytest.approx(ratio, abs=1e-12)


@pytest.mark.parametrize(("start_kpa", "hole_um"), [(10.0, 150.0), (45.0, 400.0), (70.0, 90.0)])
def test_the_curve_beside_a_numerical_solution(start_kpa: float, hole_um: float) -> None:
    """scipy's solve_ivp on V dP/dt = Cd A p0 sqrt(R T) psi, written apart from the closed form."""
    port = Port(volume_cm3=300.0, atmosphere_kpa=98.0, temperature_degc=17.0, discharge_ratio=0.8)
    A, R, T, V, g = pi / 4.0 * (hole_um * 1e-6) ** 2, 287.05, 290.15, 300e-6, 1.4

    def rise(_: float, p: np.ndarray) -> np.ndarray:
        r = np.minimum(p / 98e3, 1.0)
        speed = np.sqrt(2 * g / (g - 1) * np.maximum(r ** (2 / g) - r ** ((g + 1) / g), 0.0))
        choked = np.sqrt(g) * (2 / (g + 1)) ** ((g + 1) / (2 * (g - 1)))
        return 0.8 * A * 98e3 * np.sqrt(R * T) / V * np.where(r < 0.5282818, choked, speed)

    time_s = np.linspace(0.0, 60.0, 61)
    solved = solve_ivp(
        rise, (0.0, 60.0), [start_kpa * 1e3], t_eval=time_s, rtol=1e-9, atol=1e-3, max_step=0.2
    )
    ours = filling_kpa(time_s, port=port, start_kpa=start_kpa, hole_um=hole_um)

    assert ours == pytest.approx(solved.y[0] / 1e3, rel=2e-5)


@given(st.floats(1.0, 2000.0), st.floats(0.0, 99.0), st.floats(0.3, 1.0))
def test_the_hole_of_a_leak_and_back(hole_um: float, behind_kpa: float, discharge: float) -> None:
    setting = {"before_kpa": 100.0, "behind_kpa": behind_kpa, "discharge_ratio": discharge}
    leak = throughput_pa_m3_per_s(hole_um=hole_um, **setting)

    assert equivalent_hole_um(leak_pa_m3_per_s=leak, **setting) == pytest.approx(hole_um)


def test_a_standard_cm3_a_minute() -> None:
    # 101325e-6 / 60 Pa m3/s, by definition of the standard atmosphere.
    assert pytest.approx(0.00168875, rel=1e-9) == STD_CM3_PER_MIN_PA_M3_PER_S


def test_the_atmosphere_of_a_high_shop() -> None:
    # ISO 2533:1975, 1,000 m: 89.8746 kPa, 2,000 m: 79.4952 kPa (values from memory).
    assert standard_atmosphere_kpa(altitude_mm=1e6) == pytest.approx(89.8746, abs=1e-3)
    assert standard_atmosphere_kpa(altitude_mm=2e6) == pytest.approx(79.4952, abs=1e-3)
    # About 1 inHg for 1,000 ft: common practice, no source.
    fall = 101.325 - standard_atmosphere_kpa(altitude_mm=304_800.0)
    assert fall / 3.386389 == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"volume_cm3": 0.0}, "volume_cm3 must be above 0"),
        ({"atmosphere_kpa": 14.7}, "atmosphere_kpa must be above 40"),
        ({"temperature_degc": float("nan")}, "temperature_degc must be"),
        ({"discharge_ratio": 1.5}, "discharge_ratio must be above 0 and at most 1"),
        ({"u_volume_cm3": 300.0}, "below the volume itself"),
    ],
)
def test_impossible_ports_are_refused(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        Port(**({"volume_cm3": 250.0} | wrong))


def test_air_runs_downhill_only() -> None:
    with pytest.raises(InputError, match="from the higher absolute pressure"):
        throughput_pa_m3_per_s(hole_um=1.0, before_kpa=50.0, behind_kpa=60.0)
    with pytest.raises(InputError, match="check the unit"):
        standard_atmosphere_kpa(altitude_mm=3e7)
    assert equivalent_hole_um(leak_pa_m3_per_s=1.0, before_kpa=90.0, behind_kpa=90.0) == np.inf
    assert equivalent_hole_um(leak_pa_m3_per_s=0.0, before_kpa=90.0, behind_kpa=90.0) == 0.0
