"""One plan in words and bars: what it does to every limit, the work, why this much."""

from dataclasses import dataclass

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.head import HeadSheet
from castworthy.calc.rework.explain import (
    before_after_sentence,
    binding_sentences,
    conflict_sentences,
    odds_sentence,
    open_sentences,
)
from castworthy.calc.rework.ratio import ratio_sentence
from castworthy.calc.rework.results import NoPlan, Plan
from castworthy.units import Show
from castworthy.web.contexts.before_after import BeforeAfter, verdict_of
from castworthy.web.contexts.plan_trial import Slider
from castworthy.web.contexts.work_lines import WorkLine, measure_again_line, work_lines

_REASONS_COUNT = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Stuck:
    """Why no plan keeps every limit, what would free the head, what is offered still."""

    title: str
    sentence: str
    reliefs: tuple[str, ...]
    offer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanShown:
    """The plan looked at.  ``taken`` says who chose it and when, empty while nobody has."""

    key: str
    plan_id: int | None
    choosable: bool
    choose_words: str
    taken: str
    stuck: Stuck | None = None
    bars: BeforeAfter | None = None
    work: tuple[WorkLine, ...] = ()
    no_work: str = ""
    guard_sentence: str = ""
    odds: str = ""
    reasons: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    slider: Slider | None = None


def plan_words(plan: Plan, *, sheet: HeadSheet, show: Show) -> tuple[WorkLine, ...]:
    """The work in order, what to measure again last."""
    lines = work_lines(plan.work, show=show)
    again = measure_again_line(plan.work, sheet=sheet)
    return (*lines, again) if again else lines


def reasons_of(plan: Plan, *, sheet: HeadSheet, show: Show) -> tuple[str, ...]:
    """What is wrong now and what the plan makes of it; then what stops the plan."""
    wrong = [
        row
        for row in plan.after
        if row.limited
        and verdict_of(row, value=row.before, u=row.before_u, sheet=sheet).verdict
        is not Verdict.INSIDE
    ]
    told = [before_after_sentence(row, plan=plan, show=show) for row in wrong[:_REASONS_COUNT]]
    if len(wrong) > _REASONS_COUNT:
        told.append(f"{len(wrong) - _REASONS_COUNT} more are out and are brought in.")
    ratio = ratio_sentence(plan, sheet=sheet)
    told += [ratio] if ratio else []
    return (*told, *binding_sentences(plan, show=show), *open_sentences(plan))


def stuck_of(answer: NoPlan, *, show: Show) -> Stuck:
    """An impossible head in words."""
    first, *rest = conflict_sentences(answer, show=show)
    offer = rest.pop() if answer.surest is not None and rest else ""
    return Stuck(
        title="No plan keeps every limit",
        sentence=first,
        reliefs=tuple(rest),
        offer=offer,
    )


def guard_sentence(plan: Plan) -> str:
    """Said where a plan keeps the bare limits only; empty otherwise."""
    return "" if plan.guarded else odds_sentence(plan)
