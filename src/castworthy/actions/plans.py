"""Deeds of the plan: working it out, and choosing one."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid4

from django.db.models import Q

from castworthy import __version__
from castworthy.actions.deed import clock_words, deed, head_for_work
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.actions.steps import keep_progress, move_to
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.order import in_shop_order
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import (
    Decision,
    NoPlan,
    Objective,
    OperationKind,
    WorkStep,
)
from castworthy.calc.rework.results import Plan as CalcPlan
from castworthy.records.models import Head, Operation, OperationState, Person, Plan, Step
from castworthy.records.plans import inputs_digest, plan_json, plan_of, plan_offered
from castworthy.records.predicted import readings_for_plan
from castworthy.records.ring_work import rings_left, rings_owed
from castworthy.records.to_calc import sheet_for

Answers = Mapping[Objective, CalcPlan | NoPlan | Refused]

ONCE_ONLY = frozenset({OperationKind.CLEAN, OperationKind.CRACK_CHECK, OperationKind.STRAIGHTEN})
"""Operations at the start of the work that a new plan does not ask for twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlansMade:
    """One batch of plans: three answers, and the decision they lead to."""

    batch: UUID
    answers: Answers
    decision: str


def make_plans(*, tag: str, by: Person) -> PlansMade:
    """Work out the plans of a head: least cost, most deck left, surest; all three are kept.

    Raises
    ------
    DeedRefused
        If there is nothing to plan on, or the head left the shop.

    """
    with deed("plans made", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        readings, owed = readings_for_plan(head, sheet=sheet), rings_owed(head, sheet=sheet)
        answers = {
            objective: make_plan(sheet, readings=readings, objective=objective, rings_owed=owed)
            for objective in Objective
        }
        _refuse_refused(answers)
        batch = _store(head, answers=answers, readings=readings, by=by, at=told.at)
        head.decision = decision_from(answers, was=head.decision)
        keep_progress(head)
        told.about(
            head=head,
            subject=tag,
            decision=head.decision,
            feasible=bool(answers[Objective.COST]),
            cost=_cost(answers[Objective.COST]),
        )
    return PlansMade(batch=batch, answers=answers, decision=head.decision)


def choose_plan(*, plan_id: int, by: Person) -> Head:
    """Take one plan: its work becomes the head's list of operations.

    An empty plan sends the head on to be assembled.  What was planned before and is not signed
    off is dropped; it stays visible.

    Raises
    ------
    DeedRefused
        If the readings changed since, another plan was chosen, or the plan has no work to offer.

    """
    with deed("plan chosen", by=by) as told:
        plan = Plan.objects.select_related("head", "chosen_by").filter(pk=plan_id).first()
        if plan is None:
            raise DeedRefused("There is no such plan on record; plan again.", code="unknown")
        head = head_for_work(plan.head.tag)
        plan.refresh_from_db()
        offered = plan_offered(plan_of(plan.result))
        _refuse_chosen(plan)
        _refuse_outdated(plan, head=head)
        if offered is None:
            raise DeedRefused(
                f"No work brings {head.tag} inside every limit, so there is no plan to choose; "
                "send it back or scrap it.",
                code="no plan",
            )
        plan.chosen_by, plan.chosen_at = by, told.at
        plan.save(update_fields=("chosen_by", "chosen_at"))
        left = rings_left(head, sheet=sheet_for(head), work=offered.work)
        work = in_shop_order((*offered.work, *left))
        put_operations(head, plan=plan, work=work)
        if work:
            move_to(head, Step.MACHINE, at=told.at)
            settle(head, at=told.at)
        else:
            move_to(head, Step.ASSEMBLE, at=told.at)
            keep_progress(head)
        told.about(
            head=head,
            subject=head.tag,
            objective=plan.objective,
            cost=offered.cost,
            minutes=offered.minutes,
            operations=len(work),
        )
    return head


def put_operations(head: Head, *, plan: Plan | None, work: tuple[WorkStep, ...]) -> None:
    """Make a plan's work the operations still to do; earlier ones not signed off are dropped.

    Cleaning and its like are not asked for again once signed off, nor once somebody skipped
    them in this same plan.  A tool of the deeds here and in ``work``: it leaves no row of its own.
    """
    Operation.objects.filter(head=head, state=OperationState.PLANNED).update(
        state=OperationState.DROPPED
    )
    skipped = Q(state=OperationState.DROPPED, plan=plan, at__isnull=False)
    over = head.operations.filter(Q(state=OperationState.DONE) | skipped)
    kinds_over = set(over.values_list("kind", flat=True))
    last = head.operations.order_by("-position").values_list("position", flat=True).first() or 0
    wanted = [step for step in work if not (step.kind in ONCE_ONLY and step.kind in kinds_over)]
    Operation.objects.bulk_create(
        Operation(
            head=head,
            plan=plan,
            position=last + at,
            kind=step.kind.value,
            place=step.place,
            planned_mm=step.amount_mm,
            parts=list(step.parts),
            minutes=step.minutes,
            cost=step.cost,
            why=step.why,
        )
        for at, step in enumerate(wanted, start=1)
    )


def digest_now(head: Head, *, readings: tuple[Reading, ...]) -> str:
    """The digest of what a plan of this head rests on."""
    return inputs_digest(revision_digest=head.revision.digest, readings=readings)


def decision_from(answers: Answers, *, was: str) -> str:
    """The decision on a head, once the planner answered.

    A head that something is outside on and no work helps is scrap.
    """
    cost = answers[Objective.COST]
    if isinstance(cost, NoPlan) and cost.surest is None:
        return Decision.SCRAP.value
    if isinstance(cost, NoPlan) or (isinstance(cost, CalcPlan) and cost.work):
        return Decision.REWORK.value
    return was


def _store(
    head: Head, *, answers: Answers, readings: tuple[Reading, ...], by: Person, at: datetime
) -> UUID:
    batch, digest = uuid4(), digest_now(head, readings=readings)
    for objective, answer in answers.items():
        Plan.objects.create(
            batch=batch,
            head=head,
            objective=objective.value,
            feasible=isinstance(answer, CalcPlan),
            result=plan_json(answer),
            inputs_digest=digest,
            software=__version__,
            by=by,
            at=at,
        )
    return batch


def _refuse_refused(answers: Answers) -> None:
    for answer in answers.values():
        if isinstance(answer, Refused):
            raise DeedRefused(answer.sentence, code=answer.code)


def _refuse_chosen(plan: Plan) -> None:
    chosen = (
        Plan.objects.filter(batch=plan.batch, chosen_at__isnull=False)
        .select_related("chosen_by")
        .first()
    )
    if chosen is not None and chosen.chosen_at is not None:
        raise DeedRefused(
            f"{chosen.chosen_by} chose a plan for {plan.head.tag} "
            f"{clock_words(chosen.chosen_at)}; plan again to change it.",
            code="chosen",
        )


def _refuse_outdated(plan: Plan, *, head: Head) -> None:
    newest = Plan.objects.filter(head=head).order_by("-id").first()
    if newest is not None and newest.batch != plan.batch:
        raise DeedRefused(
            f"{newest.by} planned {head.tag} again {clock_words(newest.at)}; choose from the "
            "newer plans.",
            code="outdated",
        )
    sheet: HeadSheet = sheet_for(head)
    if digest_now(head, readings=readings_for_plan(head, sheet=sheet)) != plan.inputs_digest:
        last = head.readings.order_by("-id").first()
        when = f" {clock_words(last.at)}" if last is not None else ""
        raise DeedRefused(f"The readings changed{when}; plan again.", code="outdated")


def _cost(answer: CalcPlan | NoPlan | Refused) -> float | None:
    return round(answer.cost, 2) if isinstance(answer, CalcPlan) else None
