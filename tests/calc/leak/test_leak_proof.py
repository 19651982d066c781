"""What a proof test is worth and what it stores."""

import pytest

from castworthy.calc.errors import InputError
from castworthy.calc.leak.proof import (
    Medium,
    pressure_left_ratio,
    stored_energy_n_m,
    vacuum_share_ratio,
)
from castworthy.units import convert

PSI_40_KPA = convert(40, unit="psi", suffix="kpa")


def test_air_at_40_psi_in_5_litres_stores_about_a_kilojoule_and_a_half() -> None:
    """Design page DOMAIN, section 9: about 1.5 kJ (two printed digits)."""
    energy = stored_energy_n_m(pressure_kpa=PSI_40_KPA, volume_cm3=5000, medium=Medium.AIR)

    assert energy == pytest.approx(1500, abs=50)


def test_air_energy_is_the_work_of_the_expansion() -> None:
    """Against the integral of p dV along the isentrope, summed numerically."""
    gamma, atmosphere = 1.4, 101.325e3
    start = atmosphere + 276e3
    volume = 5e-3
    end = volume * (start / atmosphere) ** (1 / gamma)
    steps = 200_000
    width = (end - volume) / steps
    work = sum(
        start * (volume / (volume + (i + 0.5) * width)) ** gamma * width for i in range(steps)
    )

    energy = stored_energy_n_m(pressure_kpa=276, volume_cm3=5000, medium=Medium.AIR)

    assert energy == pytest.approx(work, rel=1e-6)


def test_water_stores_almost_nothing() -> None:
    """Trade facts, section 9: about 0.09 J, one printed digit."""
    energy = stored_energy_n_m(pressure_kpa=PSI_40_KPA, volume_cm3=5000, medium=Medium.WATER)

    assert energy == pytest.approx(0.09, abs=0.005)


def test_share_of_the_dead_head_reading() -> None:
    assert vacuum_share_ratio(held_kpa=81.0, dead_head_kpa=90.0) == pytest.approx(0.9)


@pytest.mark.parametrize(("held", "dead"), [(95.0, 90.0), (-1.0, 90.0), (10.0, 0.0), (1.0, 400.0)])
def test_impossible_vacuum_is_refused(held: float, dead: float) -> None:
    with pytest.raises(InputError, match="read"):
        vacuum_share_ratio(held_kpa=held, dead_head_kpa=dead)


def test_cooling_is_no_leak() -> None:
    """A tight vessel cooling from 85 to 70 deg C falls by dP/P = dT/T, absolute."""
    start_kpa, hot_k, cool_k = 276.0, 358.15, 343.15
    held_kpa = (start_kpa + 101.325) * cool_k / hot_k - 101.325

    assert pressure_left_ratio(start_kpa=start_kpa, held_kpa=held_kpa) < 0.95
    assert pressure_left_ratio(
        start_kpa=start_kpa, held_kpa=held_kpa, start_degc=85, end_degc=70
    ) == pytest.approx(1.0)


def test_a_tight_vessel_is_tight_at_any_height() -> None:
    """At 83.4 kPa of air (about 1600 m) a tight vessel that cools still keeps its all."""
    air_kpa, start_kpa = 83.4, 276.0
    held_kpa = (start_kpa + air_kpa) * 343.15 / 358.15 - air_kpa

    assert pressure_left_ratio(
        start_kpa=start_kpa, held_kpa=held_kpa, start_degc=85, end_degc=70, atmosphere_kpa=air_kpa
    ) == pytest.approx(1.0, abs=1e-12)


def test_pressure_without_a_start_is_refused() -> None:
    with pytest.raises(InputError, match="starts above 0"):
        pressure_left_ratio(start_kpa=0, held_kpa=0)
    with pytest.raises(InputError, match="check the unit"):
        pressure_left_ratio(start_kpa=10, held_kpa=10, start_degc=20, end_degc=-100)
    with pytest.raises(InputError, match="not negative"):
        stored_energy_n_m(pressure_kpa=-1, volume_cm3=1, medium=Medium.AIR)
    with pytest.raises(InputError, match="standard atmosphere"):
        pressure_left_ratio(start_kpa=10, held_kpa=10, atmosphere_kpa=0)
