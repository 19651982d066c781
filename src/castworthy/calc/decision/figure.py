"""A worked-out figure against limits somebody named, where no sheet rules it."""

from dataclasses import dataclass

from castworthy.calc.decision.judge import conformance_probability, guarded_verdict
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError

USUAL_PROBABILITY = 0.95
"""Conformance probability asked for where no sheet says another (as a sheet's own default)."""

_ALLOWANCE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureJudged:
    """The verdict; ``probability`` is ``None`` where no uncertainty is known."""

    verdict: Verdict
    probability: float | None


def judge_figure(
    value: float,
    *,
    u: float | None,
    low: float | None = None,
    high: float | None = None,
    confidence_probability: float = USUAL_PROBABILITY,
) -> FigureJudged:
    """Judge a figure by its limits.

    Parameters
    ----------
    value : float
        The figure, in any unit.
    u : float or None
        Its standard uncertainty in the same unit; ``None`` or 0 compares the bare figure.
    low, high : float or None
        Limits in the same unit; ``None`` leaves that side open.
    confidence_probability : float
        Conformance probability asked for, between 0.5 and 1.

    Returns
    -------
    FigureJudged
        Guarded rule with an uncertainty; simple rule without, a figure on a limit inside.

    Raises
    ------
    InputError
        If there is no limit, the limits are crossed, or the uncertainty is negative.

    References
    ----------
    JCGM 106:2012, 7.2 and 8.3; ISO 14253-1:2017.

    """
    if low is None and high is None:
        raise InputError("A figure is judged by a low or a high limit, got neither.")
    inside = conformance_probability(value, u=u or 0.0, low=low, high=high)
    within = (low is None or value >= low - _ALLOWANCE) and (
        high is None or value <= high + _ALLOWANCE
    )
    if not u:
        return FigureJudged(verdict=Verdict.INSIDE if within else Verdict.OUTSIDE, probability=None)
    verdict = guarded_verdict(inside, within=within, confidence_probability=confidence_probability)
    return FigureJudged(verdict=verdict, probability=inside)
