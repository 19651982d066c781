"""A pressure test with the temperature taken out."""

import numpy as np
import pytest

from castworthy.calc.errors import InputError
from castworthy.calc.leak.flow import throughput_pa_m3_per_s
from castworthy.calc.leak.pressure import PressureDecay, bare_rise, pressure_decay
from castworthy.calc.outcome import Refused
from castworthy.units import Show

TEST = {
    "start_kpa": 276.0,
    "held_kpa": 270.0,
    "start_degc": 20.0,
    "end_degc": 20.0,
    "hold_s": 600.0,
    "volume_cm3": 5000.0,
}


def pressed(**changes: float) -> PressureDecay:
    found = pressure_decay(**(TEST | changes), show=Show(length="mm"))
    assert isinstance(found, PressureDecay)
    return found


def test_a_leak_at_one_temperature() -> None:
    """6 kPa out of 5 l in 600 s: 6000 * 0.005 / 600 = 0.05 Pa m3/s."""
    found = pressed()

    assert found.leak_pa_m3_per_s == pytest.approx(0.05)
    assert found.leak_std_cm3_per_min == pytest.approx(0.05 / (101325e-6 / 60))
    assert found.seen
    assert found.sentence == "The leak took 6.0 kPa; cooling accounts for 0.0 kPa."
    # The hole found passes that leak at the mean pressure of the test.
    back = throughput_pa_m3_per_s(
        hole_um=found.hole_um, before_kpa=273.0 + 101.325, behind_kpa=101.325
    )
    assert back == pytest.approx(0.05)


def test_cooling_alone_is_no_leak() -> None:
    """Gay-Lussac: from 293.15 K to 288.15 K 377.325 kPa absolute fall by 6.4357 kPa."""
    held = 377.325 * 288.15 / 293.15 - 101.325
    found = pressed(held_kpa=held, end_degc=15.0)

    assert found.loss_kpa == pytest.approx(6.4357, abs=1e-4)
    assert found.by_temperature_kpa == pytest.approx(6.4357, abs=1e-4)
    assert found.leak_loss_kpa == pytest.approx(0.0, abs=1e-9)
    assert not found.seen
    assert found.sentence.startswith("No leak can be told: cooling accounts for 6.4 kPa")
    assert found.cautions[0] == "1 °C moves the reading by 1.3 kPa, more than the leak did."


def test_warming_hides_a_leak() -> None:
    found = pressed(held_kpa=276.0, end_degc=25.0)

    assert found.loss_kpa == 0.0
    assert found.leak_loss_kpa == pytest.approx(377.325 * (1 - 293.15 / 298.15))
    assert "warming accounts for 6.3 kPa" in found.sentence


def test_energy_is_shown() -> None:
    """40 psi of air in 5 l: about 1.5 kJ (trade figure, two digits)."""
    assert pressed().stored_n_m == pytest.approx(1500.0, abs=50.0)
    assert "stay behind the guard" in " ".join(pressed().cautions)


def test_a_rise_is_refused() -> None:
    refused = pressure_decay(**(TEST | {"held_kpa": 290.0}), show=Show())

    assert isinstance(refused, Refused)
    assert refused.reason.endswith("the pressure rose by 2.03 psi.")


def test_uncertainty_of_what_is_left_by_monte_carlo() -> None:
    """JCGM 101:2008: both gauges and both thermometers drawn, the closed vessel's law applied."""
    rng = np.random.default_rng(7)
    P1, P2 = (101.325 + p + 0.4 * rng.standard_normal(200_000) for p in (276.0, 268.0))
    T1, T2 = (273.15 + t + 0.3 * rng.standard_normal(200_000) for t in (22.0, 18.0))
    drawn = P1 - P2 * T1 / T2
    found = pressed(
        held_kpa=268.0, start_degc=22.0, end_degc=18.0, u_pressure_kpa=0.4, u_temperature_degc=0.3
    )

    assert found.leak_loss_kpa == pytest.approx(drawn.mean(), abs=0.005)
    assert found.u_leak_loss_kpa == pytest.approx(drawn.std(), rel=0.015)


def test_rate_of_rise_of_two_litres() -> None:
    """10 mbar out of 2 l in 60 s: Q = V dp/dt = 0.0333333 Pa m3/s (by hand)."""
    found = pressed(held_kpa=275.0, volume_cm3=2000.0, hold_s=60.0)

    assert found.leak_pa_m3_per_s == pytest.approx(0.0333333, abs=5e-7)


def test_water_that_rose_says_nothing() -> None:
    """Both readings good to 0.5 kPa: twice their root sum is 1.41 kPa."""
    show = Show(length="mm")
    still = bare_rise(start_kpa=276.0, held_kpa=277.4, show=show)
    risen = bare_rise(start_kpa=276.0, held_kpa=277.5, show=show)

    assert still is None
    assert risen.reason.startswith("The leak cannot be judged: the pressure rose by 1.5 kPa")
    with pytest.raises(InputError, match="0 or more"):
        bare_rise(start_kpa=276.0, held_kpa=276.0, u_pressure_kpa=-1.0, show=show)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"start_kpa": 0.0}, "start_kpa must be above 0"),
        ({"hold_s": 0.0}, "hold_s must be above 0"),
        ({"held_kpa": -1.0}, "0 or more"),
        ({"end_degc": -80.0}, "check the unit"),
        ({"start_degc": 500.0}, "check the unit"),
        ({"u_temperature_degc": float("nan")}, "u_temperature_degc must be 0 or more"),
    ],
)
def test_impossible_tests(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        pressed(**wrong)
