"""What to do with a head: conforming, rework, scrap, or not decided yet."""

from collections.abc import Sequence
from dataclasses import dataclass

from castworthy.calc.decision.head import HeadReadings, judge_readings
from castworthy.calc.decision.slips import Slip
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import Decision, NoPlan, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadJudgement:
    """A head judged as a whole, with the least-cost plan where one was asked for."""

    decision: Decision
    judgements: tuple[Judgement, ...]
    missing: tuple[tuple[Quantity, str], ...]
    slips: tuple[Slip, ...]
    plan: Plan | NoPlan | Refused


def decide(sheet: HeadSheet, *, readings: Sequence[Reading]) -> HeadJudgement:
    """Judge a head: every reading, what is missing, and whether work can bring it in.

    Parameters
    ----------
    sheet : HeadSheet
        The head's sheet.
    readings : sequence of Reading
        Readings of the head, in the units of their quantities.

    Returns
    -------
    HeadJudgement
        ``REWORK`` when something is outside and a plan exists (or one by the bare limits
        whose odds a person must weigh); ``SCRAP`` when something is outside and no work helps;
        ``UNDECIDED`` when nothing is outside but something is missing or too close to call;
        else ``CONFORMING``.

    Raises
    ------
    InputError
        If a place is read twice for one quantity or is none of the sheet's.

    References
    ----------
    JCGM 106:2012, clause 8 (verdicts on each reading); the decision itself is common practice.

    """
    judged = judge_readings(sheet, readings=readings)
    plan = make_plan(sheet, readings=readings)
    return HeadJudgement(
        decision=_decision(judged, plan),
        judgements=judged.judgements,
        missing=judged.missing,
        slips=judged.slips,
        plan=plan,
    )


def _decision(judged: HeadReadings, plan: Plan | NoPlan | Refused) -> Decision:
    if isinstance(plan, Refused):
        return Decision.UNDECIDED
    if judged.outside:
        offered = isinstance(plan, Plan) or plan.surest is not None
        return Decision.REWORK if offered else Decision.SCRAP
    if judged.missing or judged.close:
        return Decision.UNDECIDED
    return Decision.CONFORMING
