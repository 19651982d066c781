"""Shigley's Mechanical Engineering Design: bolts and their preload."""

from math import pi

import pytest

from castworthy.calc.clamp.preload import (
    Friction,
    preload_from_factor,
    preload_from_torque,
    stud_rate_n_per_mm,
)
from castworthy.calc.clamp.thread import Form, thread_of

INCH_MM = 25.4
POUND_N = 4.4482216152605
POUND_INCH_N_M = POUND_N * INCH_MM / 1e3
MPSI_MPA = 6894.757293168361
KIP_N = 1e3 * POUND_N


def test_thread_of_example_8_3() -> None:
    # 9th ed., example 8-3 (p. 439): 3/4-16 UNF, At 0.373 in2, dm 0.7093 in.
    thread = thread_of(diameter_mm=0.75 * INCH_MM, pitch_mm=INCH_MM / 16.0, form=Form.UNIFIED)

    assert thread.stress_area_mm2 / INCH_MM**2 == pytest.approx(0.373, abs=0.5e-3)
    # The book takes dm halfway from d to the root; it differs from d2 in the fourth digit.
    assert thread.pitch_diameter_mm / INCH_MM == pytest.approx(0.7093, abs=2e-4)


def test_torque_by_the_nut_factor() -> None:
    # Example 8-3 (b): Fi 25 kip, K 0.2 gives T 3750 lbf in (value from memory, recomputed).
    found = preload_from_factor(
        3750.0 * POUND_INCH_N_M, diameter_mm=0.75 * INCH_MM, factor_ratio=0.20
    )

    assert found.preload_n == pytest.approx(25.0 * KIP_N, rel=1e-9)


def test_torque_by_both_frictions() -> None:
    # Example 8-3 (b): f = fc = 0.15, collar 1.25 d, T 3551 lbf in for 25 kip (value from memory,
    # recomputed 3550.9).  The book's formula keeps 1 - f tan(lead) sec(30) below the line, which
    # VDI 2230-1 leaves out: 0.24 % here.
    found = preload_from_torque(
        3551.0 * POUND_INCH_N_M,
        thread=thread_of(diameter_mm=0.75 * INCH_MM, pitch_mm=INCH_MM / 16.0, form=Form.UNIFIED),
        friction=Friction(thread_ratio=0.15, head_ratio=0.15),
    )

    assert found.preload_n == pytest.approx(25.0 * KIP_N, rel=3e-3)


def test_rate_of_a_cap_screw() -> None:
    # 8th ed., solution 8-22: M12, shank 30 mm of 113 mm2, thread 15 mm of 84.3 mm2, E 207 GPa:
    # kb 466.8 MN/m.
    rate = stud_rate_n_per_mm(
        lengths_mm=(30.0, 15.0), areas_mm2=(pi / 4.0 * 12.0**2, 84.3), modulus_mpa=207_000.0
    )

    assert rate / 1e3 == pytest.approx(466.8, abs=0.3)


def test_rate_of_a_half_inch_bolt() -> None:
    # 8th ed., solution 8-24: 1/2-13, thread 5.9125 and shank 11.778 Mlbf/in in series give kb
    # 3.936 Mlbf/in.  Lengths of 0.72 and 0.50 in follow from those with At 0.1419 in2 and 30 Mpsi.
    shank_in2 = pi / 4.0 * 0.5**2
    thread, shank, both = (
        stud_rate_n_per_mm(lengths_mm=lengths, areas_mm2=areas, modulus_mpa=30.0 * MPSI_MPA)
        / (POUND_N / INCH_MM)
        / 1e6
        for lengths, areas in (
            ((0.72 * INCH_MM,), (0.1419 * INCH_MM**2,)),
            ((0.50 * INCH_MM,), (shank_in2 * INCH_MM**2,)),
            (
                (0.72 * INCH_MM, 0.50 * INCH_MM),
                (0.1419 * INCH_MM**2, shank_in2 * INCH_MM**2),
            ),
        )
    )

    assert thread == pytest.approx(5.9125, abs=0.5e-4)
    assert shank == pytest.approx(11.778, abs=0.004)
    # Of the printed rates themselves 3.9364.
    assert both == pytest.approx(3.936, abs=1e-3)


def test_proof_stress_of_example_8_3() -> None:
    # Example 8-3 (a): 25 kip on the stress area of 3/4-16 UNF is 67.02 kpsi (At rounded to 0.373).
    thread = thread_of(diameter_mm=0.75 * INCH_MM, pitch_mm=INCH_MM / 16.0, form=Form.UNIFIED)

    assert 25.0 / (thread.stress_area_mm2 / INCH_MM**2) == pytest.approx(67.02, abs=0.1)
