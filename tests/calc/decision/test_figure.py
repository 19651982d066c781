"""A worked-out figure against named limits, by scipy's normal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from castworthy.calc.decision.figure import judge_figure
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError


@given(value=st.floats(-3, 3), u=st.floats(0.01, 1.0))
def test_one_low_limit_by_the_normal(value: float, u: float) -> None:
    """JCGM 106:2012, 7.3: one tail of the normal."""
    share = norm.sf(0.0, loc=value, scale=u)
    found = judge_figure(value, u=u, low=0.0)

    assert found.probability == pytest.approx(share, abs=1e-12)
    if share >= 0.951:
        assert found.verdict is Verdict.INSIDE
    elif share <= 0.049:
        assert found.verdict is Verdict.OUTSIDE
    elif 0.051 < share < 0.949:
        assert found.verdict is Verdict.CLOSE


def test_without_an_uncertainty_the_limit_itself_is_inside() -> None:
    assert judge_figure(1.0, u=None, low=1.0).verdict is Verdict.INSIDE
    assert judge_figure(1.0, u=0.0, high=0.999).verdict is Verdict.OUTSIDE
    assert judge_figure(1.0, u=None, low=0.0, high=2.0).probability is None


def test_a_poor_gauge_never_calls_an_inside_figure_outside() -> None:
    assert judge_figure(0.5, u=50.0, low=0.0, high=1.0).verdict is Verdict.CLOSE


@pytest.mark.parametrize("limits", [{}, {"low": 2.0, "high": 1.0}])
def test_limits_that_are_none_are_told(limits: dict[str, float]) -> None:
    with pytest.raises(InputError, match="got"):
        judge_figure(1.0, u=0.1, **limits)
