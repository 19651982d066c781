"""Verdicts under uncertainty: the rules, their edges and what would settle a close call."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from castworthy.calc.decision.judge import conformance_probability, judge, span_of
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit, Reading, Rule
from castworthy.calc.quantity import Quantity

INCH = 25.4


def recession(value_in: float, **facts: object) -> Reading:
    return Reading(quantity=Quantity.RECESSION, place="2B", value=value_in * INCH, **facts)


def allowed(low_in: float | None, high_in: float | None, **facts: object) -> Limit:
    return Limit(
        quantity=Quantity.RECESSION,
        low=None if low_in is None else low_in * INCH,
        high=None if high_in is None else high_in * INCH,
        **facts,
    )


def verdict_of(reading: Reading, limit: Limit) -> Verdict:
    return judge(reading, limit=limit, confidence_probability=0.95).verdict


@given(
    value=st.floats(-5, 5),
    u=st.floats(1e-3, 3),
    low=st.floats(-4, 0),
    width=st.floats(0, 6),
)
def test_probability_is_that_of_the_normal_distribution(
    value: float, u: float, low: float, width: float
) -> None:
    # Independent library: scipy.stats.norm.
    high = low + width
    expected = norm.cdf(high, loc=value, scale=u) - norm.cdf(low, loc=value, scale=u)

    assert conformance_probability(value, u=u, low=low, high=high) == pytest.approx(
        expected, abs=1e-12
    )


def test_far_tail_keeps_its_digits() -> None:
    # Independent library: scipy.stats.norm's survival function.
    expected = norm.sf(9.0) - norm.sf(10.0)

    assert conformance_probability(-9.0, u=1.0, low=0.0, high=1.0) == pytest.approx(
        expected, rel=1e-9
    )


@pytest.mark.parametrize(
    ("value_in", "excess_thou"),
    [(0.028, 1.0), (0.030, 3.0)],
)
def test_recession_beyond_the_deep_limit(value_in: float, excess_thou: float) -> None:
    # Trade check (common practice, no source): allowed 0.013 to 0.027 in.
    judgement = judge(recession(value_in), limit=allowed(0.013, 0.027), confidence_probability=0.95)

    assert judgement.verdict is Verdict.OUTSIDE
    assert judgement.excess == pytest.approx(excess_thou * INCH / 1000, abs=1e-9)


@pytest.mark.parametrize(
    ("ra_uin", "verdict"), [(41, Verdict.OUTSIDE), (21, Verdict.INSIDE), (25, Verdict.INSIDE)]
)
def test_finish_for_a_multi_layer_steel_gasket(ra_uin: float, verdict: Verdict) -> None:
    # Trade check (common practice, no source): below 25 µin, shop window 15 to 25.
    limit = Limit(quantity=Quantity.FINISH_RA, low=15 * 0.0254, high=25 * 0.0254, rule=Rule.SIMPLE)
    reading = Reading(quantity=Quantity.FINISH_RA, place="", value=ra_uin * 0.0254)

    assert verdict_of(reading, limit) is verdict


def test_guarded_rule_draws_its_lines_at_the_confidence() -> None:
    limit = allowed(0.0325, 0.0465)
    u = 0.0003 * INCH
    k = norm.ppf(0.95)
    edge = 0.0465 * INCH

    def at(value: float) -> Verdict:
        return verdict_of(Reading(quantity=Quantity.RECESSION, place="2B", value=value, u=u), limit)

    assert at(edge - (k + 1e-6) * u) is Verdict.INSIDE
    assert at(edge - (k - 1e-3) * u) is Verdict.CLOSE
    assert at(edge + (k - 1e-3) * u) is Verdict.CLOSE
    assert at(edge + (k + 1e-6) * u) is Verdict.OUTSIDE


def test_simple_rule_counts_a_value_on_the_limit_as_inside_to_a_nanometre() -> None:
    limit = allowed(0.0325, 0.0465, rule=Rule.SIMPLE)
    edge = 0.0465 * INCH

    def at(value: float) -> Verdict:
        reading = Reading(quantity=Quantity.RECESSION, place="2B", value=value, u=0.01)
        return verdict_of(reading, limit)

    assert at(edge) is Verdict.INSIDE
    assert at(edge + 0.9e-6) is Verdict.INSIDE
    assert at(edge + 1.1e-6) is Verdict.OUTSIDE
    assert at(0.0325 * INCH - 0.9e-6) is Verdict.INSIDE


def test_the_nanometre_is_a_nanometre_in_micrometres_too() -> None:
    limit = Limit(quantity=Quantity.FINISH_RA, high=0.635, rule=Rule.SIMPLE)

    def at(value: float) -> Verdict:
        return verdict_of(Reading(quantity=Quantity.FINISH_RA, place="", value=value), limit)

    assert at(0.635 + 0.9e-3) is Verdict.INSIDE
    assert at(0.635 + 1.1e-3) is Verdict.OUTSIDE


def test_without_a_gauge_the_bare_reading_decides_and_says_so() -> None:
    judgement = judge(recession(0.0464), limit=allowed(0.0325, 0.0465), confidence_probability=0.95)

    assert judgement.verdict is Verdict.INSIDE
    assert judgement.rule is Rule.GUARDED
    assert judgement.rule_applied is Rule.SIMPLE
    assert judgement.probability is None


@pytest.mark.parametrize(
    ("value_in", "verdict", "probability"),
    [(0.0465, Verdict.INSIDE, 1.0), (0.0466, Verdict.OUTSIDE, 0.0)],
)
def test_exact_gauge(value_in: float, verdict: Verdict, probability: float) -> None:
    judgement = judge(
        recession(value_in, u=0.0), limit=allowed(0.0325, 0.0465), confidence_probability=0.95
    )

    assert (judgement.verdict, judgement.probability) == (verdict, probability)


def test_one_sided_limits() -> None:
    upper, lower = allowed(None, 0.0465), allowed(0.0325, None)

    assert verdict_of(recession(-1.0, u=0.001), upper) is Verdict.INSIDE
    assert verdict_of(recession(0.05, u=0.001), upper) is Verdict.OUTSIDE
    assert verdict_of(recession(9.0, u=0.001), lower) is Verdict.INSIDE
    assert verdict_of(recession(0.03, u=0.001), lower) is Verdict.OUTSIDE


@given(
    offset=st.floats(-1.6, 1.6).filter(lambda k: abs(k) > 0.25),
    bias_share=st.floats(0, 0.6),
)
def test_the_number_of_repeats_settles_the_same_mean(offset: float, bias_share: float) -> None:
    u = 0.0003 * INCH
    bias = bias_share * u
    limit = allowed(0.0325, 0.0465)
    value = 0.0465 * INCH + offset * u
    reading = Reading(quantity=Quantity.RECESSION, place="2B", value=value, u=u, u_bias=bias)
    judgement = judge(reading, limit=limit, confidence_probability=0.95)

    def with_repeats(count: int) -> Verdict:
        u_mean = sqrt(bias**2 + (u**2 - bias**2) / count)
        return verdict_of(
            Reading(quantity=Quantity.RECESSION, place="2B", value=value, u=u_mean), limit
        )

    assert judgement.verdict is Verdict.CLOSE
    assert judgement.u_wanted == pytest.approx(abs(offset) * u / norm.ppf(0.95), rel=1e-6)
    if judgement.repeats_count is None:
        assert with_repeats(50) is Verdict.CLOSE
    else:
        assert with_repeats(judgement.repeats_count) is not Verdict.CLOSE
        assert with_repeats(judgement.repeats_count - 1) is Verdict.CLOSE


def test_repeats_already_taken_count() -> None:
    u_single, limit = 0.0003 * INCH, allowed(0.0325, 0.0465)
    value = 0.0463 * INCH
    once = judge(
        recession(0.0463, u=u_single), limit=limit, confidence_probability=0.95
    ).repeats_count
    after_three = Reading(
        quantity=Quantity.RECESSION,
        place="2B",
        value=value,
        u=u_single / sqrt(3),
        repeats_count=3,
    )

    assert once == 7
    assert judge(after_three, limit=limit, confidence_probability=0.95).repeats_count == 7


def test_bias_that_no_repeat_removes() -> None:
    reading = recession(0.0463, u=0.0003 * INCH, u_bias=0.00025 * INCH)
    judgement = judge(reading, limit=allowed(0.0325, 0.0465), confidence_probability=0.95)

    assert judgement.repeats_count is None
    assert judgement.u_wanted == pytest.approx(0.0002 * INCH / norm.ppf(0.95), rel=1e-6)


def test_nothing_settles_a_value_on_the_limit() -> None:
    judgement = judge(
        recession(0.0465, u=0.0003 * INCH),
        limit=allowed(0.0325, 0.0465),
        confidence_probability=0.95,
    )

    assert judgement.verdict is Verdict.CLOSE
    assert (judgement.repeats_count, judgement.u_wanted) == (None, None)


def test_a_hopeless_gauge_never_calls_a_value_within_its_limits_outside() -> None:
    judgement = judge(
        recession(0.040, u=0.5 * INCH), limit=allowed(0.0325, 0.0465), confidence_probability=0.95
    )

    assert judgement.probability < 0.05
    assert judgement.verdict is Verdict.CLOSE


@pytest.mark.parametrize(
    ("resolution_thou", "coarse"), [(1.0, False), (1.4, False), (1.5, True), (5.0, True)]
)
def test_coarse_gauges_are_said(resolution_thou: float, coarse: bool) -> None:
    reading = recession(0.040, u=0.01, resolution=resolution_thou * INCH / 1000)
    judgement = judge(reading, limit=allowed(0.0325, 0.0465), confidence_probability=0.95)

    assert judgement.coarse is coarse


def test_span_of_a_single_upper_limit_starts_at_zero_unless_the_quantity_is_signed() -> None:
    flat = Limit(quantity=Quantity.FLATNESS, high=0.05)

    assert span_of(flat) == 0.05
    assert span_of(allowed(None, 0.0465)) is None
    assert span_of(allowed(0.0325, None)) is None


def test_wrong_calls_are_refused() -> None:
    limit = allowed(0.0325, 0.0465)
    with pytest.raises(InputError, match="limit of its own quantity"):
        judge(
            Reading(quantity=Quantity.MARGIN, place="2B", value=1.0),
            limit=limit,
            confidence_probability=0.95,
        )
    with pytest.raises(InputError, match="neither low nor high"):
        judge(recession(0.04), limit=allowed(None, None), confidence_probability=0.95)
    with pytest.raises(InputError, match=r"between 0\.5 and 1"):
        judge(recession(0.04), limit=limit, confidence_probability=95.0)
    with pytest.raises(InputError, match="finite value"):
        conformance_probability(float("nan"), u=1.0, low=0.0, high=1.0)
    with pytest.raises(InputError, match="must not lie above"):
        conformance_probability(0.0, u=1.0, low=2.0, high=1.0)
