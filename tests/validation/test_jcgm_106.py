"""JCGM 106:2012, the role of measurement uncertainty in conformity assessment."""

import pytest

from castworthy.calc.decision.judge import conformance_probability


def test_zener_voltage() -> None:
    # Published number: value from memory, inputs reproduce it (Phi(1.4)).
    p = conformance_probability(-5.47, u=0.05, low=None, high=-5.40)

    assert p == pytest.approx(0.919243, abs=0.5e-6)


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "expected"),
    [
        # No published number: 7.3, formula computed once apart from this code, eight digits.
        (10.0, 0.5, 9.0, 11.0, 0.95449974),
        (9.5, 0.5, 9.0, 11.0, 0.83999485),
        (0.0, 0.25, -1.0, 1.0, 0.99993666),
    ],
)
def test_two_sided_interval(
    value: float, u: float, low: float, high: float, expected: float
) -> None:
    assert conformance_probability(value, u=u, low=low, high=high) == pytest.approx(
        expected, abs=0.5e-8
    )


@pytest.mark.parametrize(("multiple", "expected"), [(1.6449, 0.95), (1.2816, 0.90)])
def test_guard_band_in_standard_uncertainties(multiple: float, expected: float) -> None:
    # Normal quantiles as tables print them; 5e-6 covers their rounding in the fourth decimal.
    p = conformance_probability(1.0 - multiple * 0.1, u=0.1, low=None, high=1.0)

    assert p == pytest.approx(expected, abs=1e-5)
