"""NIST SP 811 (2008), Guide for the Use of the SI, appendix B: conversion factors.

Factors in boldface there are exact.  Every number below: value from memory, inputs reproduce it
(each follows from the inch, the pound and standard gravity, which are exact by definition).
"""

import pytest

from castworthy.units import convert


@pytest.mark.parametrize(
    ("unit", "suffix", "printed"),
    [
        ("in", "mm", "25.4"),
        ("thou", "mm", "0.0254"),
        ("µin", "um", "0.0254"),
        ("in²", "mm2", "645.16"),
        ("in³", "cm3", "16.38706"),
        ("lbf", "n", "4.448222"),
        ("lbf/in", "n_per_mm", "0.1751268"),
        ("lbf·ft", "n_m", "1.355818"),
        ("lbf·in", "n_m", "0.1129848"),
        ("psi", "kpa", "6.894757"),
        ("inHg", "kpa", "3.386389"),
        ("bar", "kpa", "100"),
        ("lb mass", "kg", "0.45359237"),
    ],
)
def test_factor(unit: str, suffix: str, printed: str) -> None:
    half_digit = 0.5 * 10.0 ** -len(printed.partition(".")[2]) if "." in printed else 0.0

    assert convert(1.0, unit=unit, suffix=suffix) == pytest.approx(float(printed), abs=half_digit)
