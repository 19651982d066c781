"""Shigley, Mechanical Engineering Design, 8th ed., solutions on press and shrink fits."""

import pytest

from castworthy.calc.valvetrain.metals import Metal
from castworthy.calc.valvetrain.press_fit import Fit, PressFit, press_fit

PSI_MPA = 6.894757293168361e-3
IN_MM = 25.4


def steel(modulus_mpa: float) -> Metal:
    return Metal(
        name="steel",
        modulus_mpa=modulus_mpa,
        poisson_ratio=0.292,
        expansion_per_degc=11.5e-6,
        nitrogen_contraction_ratio=2e-3,
    )


def solid(*, shaft_mm: float, hub_mm: float, radial_mm: float, modulus_mpa: float) -> PressFit:
    metal = steel(modulus_mpa)
    found = press_fit(
        Fit(
            ring_mm=shaft_mm + 2 * radial_mm,
            bore_mm=shaft_mm,
            ring_bore_mm=0.0,
            boss_mm=hub_mm,
            ring_metal=metal,
            boss_metal=metal,
        )
    )
    assert isinstance(found, PressFit)
    return found


@pytest.mark.parametrize(
    ("radial", "pressure"),
    # Problems 3-64 and 3-66: 40 mm solid shaft, hub 80 mm (from the formula's constant), E 207 GPa.
    # One printed decimal.
    [(0.0295, 114.5), (0.009, 34.9), (0.038, 147.5), (0.0175, 67.9)],
)
def test_metric_fits(radial: float, pressure: float) -> None:
    found = solid(shaft_mm=40, hub_mm=80, radial_mm=radial, modulus_mpa=207e3)

    assert found.pressure_mpa == pytest.approx(pressure, abs=0.051)


@pytest.mark.parametrize(
    ("radial", "pressure"),
    # 1.5 in solid shaft, hub 3 in, E 30 Mpsi; whole tens of psi printed.
    [(0.00115, 17250), (0.00035, 5250), (0.0015, 22500), (0.0007, 10500)],
)
def test_inch_fits(radial: float, pressure: float) -> None:
    found = solid(
        shaft_mm=1.5 * IN_MM, hub_mm=3 * IN_MM, radial_mm=radial * IN_MM, modulus_mpa=30e6 * PSI_MPA
    )

    assert found.pressure_mpa / PSI_MPA == pytest.approx(pressure, abs=5)


def test_problem_3_68() -> None:
    found = solid(
        shaft_mm=IN_MM, hub_mm=2 * IN_MM, radial_mm=0.001 * IN_MM, modulus_mpa=30e6 * PSI_MPA
    )

    assert found.pressure_mpa / PSI_MPA == pytest.approx(22500, abs=5)
    assert found.boss_hoop_mpa / PSI_MPA == pytest.approx(37500, abs=5)


def test_problem_5_34_b() -> None:
    found = solid(
        shaft_mm=2 * IN_MM, hub_mm=3 * IN_MM, radial_mm=0.0005 * IN_MM, modulus_mpa=30e6 * PSI_MPA
    )

    assert found.pressure_mpa / PSI_MPA == pytest.approx(4167, abs=0.5)
    # Printed from the rounded pressure, to tens.
    assert found.boss_hoop_mpa / PSI_MPA == pytest.approx(10830, abs=5)
    assert found.boss_von_mises_mpa / PSI_MPA == pytest.approx(13410, abs=10)
