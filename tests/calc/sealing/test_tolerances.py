"""Tolerances carried through: corners of the box, the normal distribution, sizes of samples."""

import time
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from castworthy.calc.errors import InputError
from castworthy.calc.sealing.groove import Groove, fit_of
from castworthy.calc.sealing.tolerances import (
    SIGMAS_RATIO,
    Spread,
    Tolerances,
    draw_rings,
    stack_of,
)

GROOVE = Groove(wire_mm=1.20, depth_mm=0.97, width_mm=1.14, diameter_mm=118.0)
EITHER = Tolerances(wire_mm=0.010, depth_mm=0.025, width_mm=0.015)
RINGS = 200_000

tols = st.floats(0.0, 0.2)


@given(t_d=tols, t_h=tols, t_w=tols, w=st.floats(0.9, 1.4))
def test_worst_case_is_the_worst_corner(t_d: float, t_h: float, t_w: float, w: float) -> None:
    """Every corner of the box of sizes, each by the plain sums."""
    groove = Groove(wire_mm=1.2, depth_mm=0.97, width_mm=w, diameter_mm=118.0)
    stack = stack_of(groove, tolerances=Tolerances(wire_mm=t_d, depth_mm=t_h, width_mm=t_w))
    corners = [
        fit_of(
            Groove(
                wire_mm=1.2 + i * t_d,
                depth_mm=0.97 + j * t_h,
                width_mm=w + k * t_w,
                diameter_mm=118.0,
            )
        )
        for i, j, k in product((-1, 0, 1), repeat=3)
    ]
    for span, found in (
        (stack.press_worst_mm, [c.press_mm for c in corners]),
        (stack.stand_worst_mm, [c.stand_mm for c in corners]),
        (stack.stand_upper_worst_mm, [c.stand_upper_mm for c in corners]),
    ):
        assert span == pytest.approx((min(found), max(found)), abs=1e-12)


def test_spans_by_hand() -> None:
    stack = stack_of(GROOVE, tolerances=EITHER)

    assert stack.stand_worst_mm == pytest.approx((0.195, 0.265))
    assert stack.press_worst_mm == pytest.approx((0.035, 0.085))
    # 0.010^2 + 0.025^2 = 0.000725; 0.010^2 + 0.015^2 = 0.000325
    assert stack.stand_rss_mm == pytest.approx((0.23 - 0.000725**0.5, 0.23 + 0.000725**0.5))
    assert stack.press_rss_mm == pytest.approx((0.06 - 0.000325**0.5, 0.06 + 0.000325**0.5))
    assert stack.within_probability is None


@pytest.mark.parametrize(("low", "high"), [(0.215, 0.25), (0.2301, None), (None, 0.23)])
def test_drawn_shares_are_those_of_the_normal(low: float | None, high: float | None) -> None:
    """Against scipy.stats.norm; five standard errors of a share of so many rings."""
    sigma = 0.000725**0.5 / SIGMAS_RATIO
    top = 1.0 if high is None else stats.norm(0.23, sigma).cdf(high)
    bottom = 0.0 if low is None else stats.norm(0.23, sigma).cdf(low)
    p = top - bottom
    limits = {"stand_low_mm": low, "stand_high_mm": high}
    drawn = draw_rings(
        GROOVE, tolerances=EITHER, rng=np.random.default_rng(3), rings_count=RINGS, **limits
    )
    exact = stack_of(GROOVE, tolerances=EITHER, **limits).within_probability

    # 1 nm of allowance on each limit moves a share by 1e-6 times the density.
    assert exact == pytest.approx(p, abs=2e-6 / sigma)
    assert drawn.within_probability == pytest.approx(p, abs=5 * (p * (1 - p) / RINGS) ** 0.5)
    assert drawn.stand_mean_mm == pytest.approx(0.23, abs=5 * sigma / RINGS**0.5)
    assert drawn.u_stand_mm == pytest.approx(sigma, rel=5 / (2 * RINGS) ** 0.5)
    assert drawn.u_press_mm == pytest.approx(
        0.000325**0.5 / SIGMAS_RATIO, rel=5 / (2 * RINGS) ** 0.5
    )


def test_a_press_that_some_rings_lose() -> None:
    """Wire and width 0.01 apart, each +/- 0.03: the share held is Phi(0.01 / 0.01414)."""
    groove = Groove(wire_mm=1.20, depth_mm=0.97, width_mm=1.19, diameter_mm=118.0)
    held = stats.norm.cdf(0.01 / (2 * 0.01**2) ** 0.5)
    drawn = draw_rings(
        groove,
        tolerances=Tolerances(wire_mm=0.03, width_mm=0.03),
        rng=np.random.default_rng(4),
        rings_count=RINGS,
    )

    assert drawn.held_probability == pytest.approx(held, abs=0.005)
    assert drawn.within_probability == drawn.sure_probability == 1.0


def test_rings_that_flow_upward_are_counted_against_the_high_limit() -> None:
    """Only the wire's rise of 0.0367 mm is above 0.25: no ring is sure, every one is inside."""
    tight = Tolerances(wire_mm=0.001, depth_mm=0.001, width_mm=0.001)
    drawn = draw_rings(
        GROOVE,
        tolerances=tight,
        rng=np.random.default_rng(5),
        rings_count=1000,
        stand_low_mm=0.20,
        stand_high_mm=0.25,
    )
    wide = draw_rings(
        GROOVE,
        tolerances=tight,
        rng=np.random.default_rng(5),
        rings_count=1000,
        stand_low_mm=0.20,
        stand_high_mm=0.28,
    )

    assert (drawn.within_probability, drawn.sure_probability) == (1.0, 0.0)
    assert (wide.within_probability, wide.sure_probability) == (1.0, 1.0)


def test_even_spread_of_one_size() -> None:
    """Depth anywhere within +/- 0.02 alike, limits +/- 0.01: half of the rings."""
    drawn = draw_rings(
        GROOVE,
        tolerances=Tolerances(depth_mm=0.02),
        rng=np.random.default_rng(6),
        rings_count=RINGS,
        stand_low_mm=0.22,
        stand_high_mm=0.24,
        spread=Spread.EVEN,
    )

    assert drawn.within_probability == pytest.approx(0.5, abs=5 * 0.5 / RINGS**0.5)
    assert drawn.u_stand_mm == pytest.approx(0.02 / 3**0.5, rel=0.01)


@given(low=st.floats(0.1, 0.3), span=st.floats(0.0, 0.2))
def test_without_tolerances_a_ring_is_inside_or_not(low: float, span: float) -> None:
    inside = low - 1e-6 <= 0.23 <= low + span + 1e-6
    limits = {"stand_low_mm": low, "stand_high_mm": low + span}
    stack = stack_of(GROOVE, tolerances=Tolerances(), **limits)
    drawn = draw_rings(
        GROOVE, tolerances=Tolerances(), rng=np.random.default_rng(1), rings_count=2, **limits
    )

    assert stack.within_probability == drawn.within_probability == float(inside)
    assert stack.stand_worst_mm == stack.stand_rss_mm == (drawn.stand_mean_mm,) * 2


def test_a_stand_on_its_limit_is_inside() -> None:
    """1.2 - 0.9 is not 0.3 in binary; the comparison allows 1 nm."""
    groove = Groove(wire_mm=1.2, depth_mm=0.9, width_mm=1.14, diameter_mm=118.0)
    stack = stack_of(groove, tolerances=Tolerances(), stand_low_mm=0.2, stand_high_mm=0.3)

    assert stack.within_probability == 1.0


def test_time_grows_no_faster_than_the_rings() -> None:
    def taken(count: int) -> float:
        rounds = []
        for _ in range(5):
            start = time.perf_counter()
            draw_rings(GROOVE, tolerances=EITHER, rng=np.random.default_rng(1), rings_count=count)
            rounds.append(time.perf_counter() - start)
        return min(rounds)

    assert taken(800_000) < 3 * 8 * taken(100_000)


def test_wrong_calls_say_what_is_wrong() -> None:
    rng = np.random.default_rng(1)
    with pytest.raises(InputError, match="0 mm or more either way"):
        Tolerances(depth_mm=-0.01)
    with pytest.raises(InputError, match="smaller than the depth itself"):
        stack_of(GROOVE, tolerances=Tolerances(depth_mm=0.97))
    with pytest.raises(InputError, match="at or below the high one"):
        stack_of(GROOVE, tolerances=EITHER, stand_low_mm=0.3, stand_high_mm=0.2)
    with pytest.raises(InputError, match="At least two rings"):
        draw_rings(GROOVE, tolerances=EITHER, rng=rng, rings_count=1)
