"""Repeated readings: their mean, what of its uncertainty shrinks, and scatter beyond the gauge."""

from math import sqrt
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from castworthy.calc.decision.repeats import mean_of
from castworthy.calc.errors import InputError
from castworthy.calc.head import Gauge

GAUGE = Gauge(name="DG-2", suffix="mm", u=0.010, u_bias=0.006, resolution=0.0025)


def test_one_reading_keeps_the_gauges_uncertainty() -> None:
    mean = mean_of([1.0], gauge=GAUGE)

    assert (mean.value, mean.u, mean.repeats_count) == (1.0, pytest.approx(0.010), 1)
    assert (mean.u_bias, mean.resolution, mean.scattered) == (0.006, 0.0025, False)


@given(count=st.integers(2, 40))
def test_the_bias_stays_and_the_rest_shrinks(count: int) -> None:
    # By hand: 0.010 = root of 0.006 squared and 0.008 squared.
    mean = mean_of([1.0] * count, gauge=GAUGE)

    assert mean.u == pytest.approx(sqrt(0.006**2 + 0.008**2 / count), rel=1e-12)
    assert not mean.scattered


def test_without_a_gauge_only_the_mean_is_known() -> None:
    mean = mean_of([1.0, 2.0, 6.0], gauge=None)

    assert (mean.value, mean.u, mean.resolution) == (3.0, None, None)


def test_scatter_beyond_the_gauge_takes_its_place() -> None:
    values = [1.00, 1.10, 0.95, 1.05]
    mean = mean_of(values, gauge=GAUGE)

    assert mean.scattered
    assert mean.u == pytest.approx(sqrt(0.006**2 + stdev(values) ** 2 / 4), rel=1e-12)


@pytest.mark.parametrize(("factor", "scattered"), [(0.99, False), (1.01, True)])
def test_the_line_is_drawn_at_five_percent(factor: float, scattered: bool) -> None:
    # Independent library: scipy.stats.chi2.  Two readings d apart have deviation d / sqrt(2).
    line = 0.008 * sqrt(chi2.ppf(0.95, 1))
    apart = factor * line * sqrt(2)

    assert mean_of([1.0, 1.0 + apart], gauge=GAUGE).scattered is scattered


def test_an_exact_gauge_that_scatters_is_not_exact() -> None:
    exact = Gauge(name="X", suffix="mm", u=0.0)

    assert mean_of([1.0, 1.0], gauge=exact).u == 0.0
    assert mean_of([1.0, 1.2], gauge=exact).u == pytest.approx(0.1)


def test_nothing_has_no_mean() -> None:
    with pytest.raises(InputError, match="at least one reading"):
        mean_of([], gauge=GAUGE)
