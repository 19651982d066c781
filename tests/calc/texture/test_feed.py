"""Feed for a finish."""

from math import exp, log, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.texture.cusp import cusp, ideal_feed_mm
from castworthy.calc.texture.feed import FeedAdvice, FeedTrace, feed_for


def advice(ra_um: float, **asked: object) -> FeedAdvice:
    found = feed_for(ra_um, **asked)  # type: ignore[arg-type]
    assert isinstance(found, FeedAdvice)
    return found


@pytest.mark.parametrize(
    ("feed_mm", "nose_mm", "parabola_ra", "ra", "parabola_rt", "rt"),
    [
        # Exact integrals computed once apart from this code; f^2/8r and f^2/31.18r by hand.
        (0.25, 1.2, 1.6706, 1.67421, 6.5104, 6.52817),
        (0.2, 0.8, 1.6038, 1.60879, 6.2500, 6.27461),
    ],
)
def test_cusp_table(
    feed_mm: float, nose_mm: float, parabola_ra: float, ra: float, parabola_rt: float, rt: float
) -> None:
    found = cusp(feed_mm=feed_mm, nose_mm=nose_mm)

    assert found.ra_um == pytest.approx(ra, abs=0.5e-5)
    assert found.rt_um == pytest.approx(rt, abs=0.5e-5)
    assert found.parabola_ra_um == pytest.approx(parabola_ra, abs=0.5e-4)
    assert found.parabola_rt_um == pytest.approx(parabola_rt, abs=0.5e-4)


def test_cusp_by_quadrature() -> None:
    f, r = 0.7, 0.8

    def arc(x: float) -> float:
        return r - sqrt(r * r - x * x)

    mean = integrate.quad(arc, 0.0, f / 2.0)[0] / (f / 2.0)
    edge = sqrt(r * r - (r - mean) ** 2)
    Ra = integrate.quad(lambda x: abs(arc(x) - mean), 0.0, f / 2.0, points=[edge])[0] / (f / 2.0)

    assert cusp(feed_mm=f, nose_mm=r).ra_um == pytest.approx(1000.0 * Ra, rel=1e-9)


@given(feed_mm=st.floats(0.01, 0.4), nose_mm=st.floats(0.4, 10.0))
def test_feed_of_a_cusp_is_its_feed(feed_mm: float, nose_mm: float) -> None:
    ra_um = cusp(feed_mm=feed_mm, nose_mm=nose_mm).ra_um

    assert ideal_feed_mm(ra_um=ra_um, nose_mm=nose_mm) == pytest.approx(feed_mm, rel=1e-6)


@given(feed_mm=st.floats(0.01, 0.2), nose_mm=st.floats(0.8, 10.0))
def test_fine_cusp_is_a_parabola(feed_mm: float, nose_mm: float) -> None:
    found = cusp(feed_mm=feed_mm, nose_mm=nose_mm)

    # First term left out of the arc's series: (f / 4r)^2 of the whole.
    off = (feed_mm / (4.0 * nose_mm)) ** 2
    assert found.rt_um == pytest.approx(found.parabola_rt_um, rel=1.1 * off + 1e-9)
    assert found.ra_um == pytest.approx(found.parabola_ra_um, rel=1.1 * off + 1e-7)


@given(feed_mm=st.floats(1e-9, 0.05), nose_mm=st.floats(0.8, 10.0))
def test_finest_cusp_keeps_its_digits(feed_mm: float, nose_mm: float) -> None:
    found = cusp(feed_mm=feed_mm, nose_mm=nose_mm)

    off = (feed_mm / (4.0 * nose_mm)) ** 2
    assert found.ra_um == pytest.approx(found.parabola_ra_um, rel=1.1 * off + 1e-11)


def test_without_traces_the_ideal_cusp_speaks_and_says_so() -> None:
    found = advice(0.46, nose_mm=0.8, turning_rpm=700.0, length_mm=800.0)

    assert found.feed_mm == found.ideal_feed_mm
    assert found.table_mm_per_min == pytest.approx(700.0 * found.feed_mm)
    assert found.pass_min == pytest.approx(800.0 / (700.0 * found.feed_mm))
    assert found.interval_um is None
    assert "0 of 3" in found.cautions[0]
    assert found.sentence == (
        "Feed 0.107 mm per revolution for Ra 0.46 µm: table 75 mm/min, 10.7 min for the pass."
    )


def test_shops_traces_give_the_feed_and_a_t_interval() -> None:
    feeds = np.array([0.05, 0.08, 0.10, 0.12, 0.16])
    ras = np.array([0.21, 0.40, 0.65, 0.80, 1.45])
    traces = tuple(
        FeedTrace(feed_mm=f, ra_um=r, nose_mm=0.8) for f, r in zip(feeds, ras, strict=True)
    )

    found = advice(0.6, nose_mm=0.8, traces=traces)

    # Oracle: scipy's regression with the textbook prediction interval.
    x, y = np.log(feeds), np.log(ras)
    fit = stats.linregress(x, y)
    assert found.feed_mm == pytest.approx(exp((log(0.6) - fit.intercept) / fit.slope))
    s = sqrt(np.sum((y - fit.intercept - fit.slope * x) ** 2) / 3)
    reach = 1.0 + 1.0 / 5 + (log(found.feed_mm) - x.mean()) ** 2 / np.sum((x - x.mean()) ** 2)
    half = stats.t.ppf(0.975, 3) * s * sqrt(reach)
    assert found.interval_um == pytest.approx((0.6 * exp(-half), 0.6 * exp(half)))
    assert found.exponent == pytest.approx(fit.slope)
    assert found.from_traces_count == 5
    assert found.cautions == ()


def test_traces_of_another_insert_are_left_out() -> None:
    traces = tuple(FeedTrace(feed_mm=f, ra_um=40 * f**2, nose_mm=1.6) for f in (0.1, 0.12, 0.14))

    assert advice(0.6, nose_mm=0.8, traces=traces).from_traces_count == 0


def test_one_feed_cannot_say_what_another_does() -> None:
    traces = tuple(FeedTrace(feed_mm=0.1, ra_um=r) for r in (0.5, 0.6, 0.7))

    assert "all cut at one feed" in advice(0.6, nose_mm=0.8, traces=traces).cautions[0]


def test_finish_that_ignores_the_feed_is_no_rule() -> None:
    traces = tuple(FeedTrace(feed_mm=f, ra_um=r) for f, r in ((0.1, 0.9), (0.12, 0.8), (0.14, 0.7)))

    assert "does not get rougher" in advice(0.6, nose_mm=0.8, traces=traces).cautions[0]


def test_too_smooth_for_the_gasket_is_a_fault() -> None:
    found = advice(0.5, nose_mm=0.8, low_ra_um=0.76)

    assert found.too_smooth
    assert any("too smooth: the gasket wants 0.76" in words for words in found.cautions)
    assert not advice(1.5, nose_mm=0.8, low_ra_um=0.76).too_smooth


def test_options_take_a_wider_feed_with_a_larger_insert() -> None:
    options = advice(0.5, nose_mm=0.8, turning_rpm=500.0, length_mm=600.0).options

    assert [o.nose_mm for o in options] == [0.4, 0.8, 1.2, 1.6, 6.35]
    assert [o.feed_mm for o in options] == sorted(o.feed_mm for o in options)
    for option in options:
        assert cusp(feed_mm=option.feed_mm, nose_mm=option.nose_mm).ra_um == pytest.approx(0.5)
        assert option.pass_min == pytest.approx(600.0 / (500.0 * option.feed_mm))


def test_finish_no_insert_of_this_radius_cuts_is_refused() -> None:
    found = feed_for(100.0, nose_mm=0.4)

    assert isinstance(found, Refused)
    assert found.code == "feed-too-wide"


def test_wrong_calls_raise() -> None:
    with pytest.raises(InputError):
        feed_for(0.0, nose_mm=0.8)
    with pytest.raises(InputError):
        feed_for(0.5, nose_mm=0.8, traces=(FeedTrace(feed_mm=-0.1, ra_um=0.5),))
    with pytest.raises(InputError):
        cusp(feed_mm=1.0, nose_mm=0.8)


def test_feed_as_wide_as_the_radius_is_the_widest() -> None:
    widest_um = cusp(feed_mm=0.4, nose_mm=0.4).ra_um

    assert ideal_feed_mm(ra_um=widest_um, nose_mm=0.4) == pytest.approx(0.4)
    assert ideal_feed_mm(ra_um=widest_um * 1.001, nose_mm=0.4) is None
