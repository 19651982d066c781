"""Puts the plan page together from what is on record."""

from dataclasses import dataclass

from django.utils.safestring import mark_safe

from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.decision.words import verdict_sentence
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS
from castworthy.calc.rework.compare import CardKind, cards_of
from castworthy.calc.rework.edges import span_edges
from castworthy.calc.rework.explain import card_sentence, odds_sentence, span_sentence
from castworthy.calc.rework.results import NoPlan, Objective, OperationKind, Plan
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.records.cautions import cautions_for
from castworthy.records.lookups.as_received import received_by_lot
from castworthy.records.lookups.heads import HeadFacts
from castworthy.records.lookups.plan import PlanPage as PlansOnRecord
from castworthy.records.standing import SpotStanding, Standing
from castworthy.units import Show
from castworthy.web.contexts.before_after import before_after
from castworthy.web.contexts.figures import place_label
from castworthy.web.contexts.plan import Away, Fault, PlanPage, missing_of
from castworthy.web.contexts.plan_cards import (
    AWAY,
    Card,
    Parting,
    cards_for,
    parting_title,
    title_of,
)
from castworthy.web.contexts.plan_shown import (
    PlanShown,
    Stuck,
    guard_sentence,
    plan_words,
    reasons_of,
    stuck_of,
)
from castworthy.web.contexts.plan_trial import Slider, slider_for, trial_of
from castworthy.web.templatetags.castworthy import clock, money

_CUTTING = frozenset({OperationKind.SURFACE, OperationKind.SEAT, OperationKind.FACE})
_AFTER_WORK = frozenset({"assemble", "prove", "release"})
_DONE = "The work of this plan is done and every limit holds, measured again."
_FITTING = frozenset({OperationKind.INSERT, OperationKind.GUIDE, OperationKind.SHIM})


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRequest:
    """What the page is asked for: which choice to look at, which fold to draw, for whom."""

    look: str
    fold: str
    currency: str
    show: Show


def plan_page_of(
    record: PlansOnRecord, *, head: HeadFacts, standing: Standing, asked: PlanRequest
) -> PlanPage:
    """The page of a head's plans, one choice looked at."""
    if not record.answers:
        return _unmade(record, head=head, standing=standing, asked=asked)
    look = _look(record, head=head, asked=asked)
    answer = None if look == AWAY else record.answers[Objective(look)]
    plan = _offered(answer)
    done = record.outdated and head.in_shop and head.step in _AFTER_WORK
    return PlanPage(
        outdated="" if done or not (head.in_shop and record.outdated) else _outdated(record),
        done=_DONE if done else "",
        missing=missing_of(plan.missing, tag=record.tag) if plan is not None else None,
        cards=_cards(record, head=head, standing=standing, asked=asked),
        shown_key=look,
        shown=None
        if answer is None
        else _shown(record, objective=Objective(look), head=head, asked=asked),
        away=_away(head=head, standing=standing, record=record, asked=asked)
        if look == AWAY
        else None,
    )


def _unmade(
    record: PlansOnRecord, *, head: HeadFacts, standing: Standing, asked: PlanRequest
) -> PlanPage:
    if head.outcome in {"sent back", "scrapped"}:
        return PlanPage(
            shown_key=AWAY, away=_away(head=head, standing=standing, record=record, asked=asked)
        )
    if not record.readings:
        return PlanPage(
            unmade_title="Nothing to plan on yet",
            unmade="Measure the head first; the plan follows from its readings.",
        )
    return PlanPage(
        unmade_title="No plan yet",
        unmade="The readings are in; the plan takes a moment.",
        can_plan=head.in_shop,
    )


def _look(record: PlansOnRecord, *, head: HeadFacts, asked: PlanRequest) -> str:
    keys = {objective.value for objective in record.answers} | {AWAY}
    if asked.look in keys:
        return asked.look
    if head.outcome in {"sent back", "scrapped"}:
        return AWAY
    return (record.chosen or Objective.COST).value


def _offered(answer: Plan | NoPlan | Refused | None) -> Plan | None:
    if isinstance(answer, Plan):
        return answer
    return answer.surest if isinstance(answer, NoPlan) else None


def _outdated(record: PlansOnRecord) -> str:
    made = f"{record.made_by} {clock(record.made_at)}"
    return f"Something changed since this was planned by {made}: readings, sheet or work."


def _cards(
    record: PlansOnRecord, *, head: HeadFacts, standing: Standing, asked: PlanRequest
) -> tuple[Card, ...]:
    return cards_for(
        cards_of(record.sheet, plans=record.answers),
        chosen=record.chosen,
        parting=Parting(
            customers=head.kind == "core",
            lot_code=head.lot_code,
            lot_words=_lot_words(head),
            faults_count=len(standing.outside),
        ),
        currency=asked.currency,
        show=asked.show,
    )


def _lot_words(head: HeadFacts) -> str:
    if head.supplier_id is None or head.lot_id is None:
        return ""
    received = received_by_lot(head.supplier_id).get(head.lot_id)
    if received is None or not received.measured_count:
        return ""
    return f"{received.ready_count} of {received.measured_count}"


def _shown(
    record: PlansOnRecord, *, objective: Objective, head: HeadFacts, asked: PlanRequest
) -> PlanShown:
    answer, show = record.answers[objective], asked.show
    plan = _offered(answer)
    chosen = record.chosen is objective
    if plan is None:
        return PlanShown(
            key=objective.value,
            plan_id=None,
            choosable=False,
            choose_words="",
            taken="",
            stuck=_stuck(answer, show=show),
        )
    return PlanShown(
        key=objective.value,
        plan_id=record.ids[objective],
        choosable=record.chosen is None and not record.outdated and head.in_shop,
        choose_words=_choose_words(plan, objective=objective, asked=asked),
        taken=f"Chosen by {record.chosen_by}, {clock(record.chosen_at)}." if chosen else "",
        stuck=_stuck(answer, show=show),
        bars=before_after(plan, sheet=record.sheet, show=show, opened=asked.fold),
        work=plan_words(plan, sheet=record.sheet, show=show),
        no_work="Every limit holds as measured: nothing has to be done.",
        guard_sentence=guard_sentence(plan) if isinstance(answer, Plan) else "",
        odds=odds_sentence(plan) if plan.guarded else "",
        reasons=reasons_of(plan, sheet=record.sheet, show=show),
        cautions=cautions_for(*(s.kind for s in plan.work if s.kind in _CUTTING | _FITTING)),
        slider=_slider(record, plan=plan, asked=asked) if head.in_shop else None,
    )


def _stuck(answer: Plan | NoPlan | Refused, *, show: Show) -> Stuck | None:
    if isinstance(answer, NoPlan):
        return stuck_of(answer, show=show)
    if isinstance(answer, Refused):
        return Stuck(title="This cannot be planned", sentence=answer.sentence, reliefs=(), offer="")
    return None


def _choose_words(plan: Plan, *, objective: Objective, asked: PlanRequest) -> str:
    if plan.empty:
        return "Nothing to do: on to assembly"
    title = title_of(objective)
    return f"Take on the {title[0].lower()}{title[1:]}: {money(plan.cost, asked.currency)}"


def _slider(record: PlansOnRecord, *, plan: Plan, asked: PlanRequest) -> Slider:
    edges = span_edges(record.sheet, readings=record.readings, plan=plan)
    depth_mm = plan.deck.depth_mm if plan.deck else 0.0
    return slider_for(
        plan,
        sheet=record.sheet,
        span_sentence=span_sentence(plan, edges=edges, show=asked.show),
        answer=trial_of(plan, depth_mm=depth_mm, currency=asked.currency, show=asked.show),
        show=asked.show,
    )


def _away(
    *, head: HeadFacts, standing: Standing, record: PlansOnRecord, asked: PlanRequest
) -> Away:
    customers = head.kind == "core"
    gone = head.outcome in {"sent back", "scrapped"}
    faults = tuple(_fault(spot, show=asked.show) for spot in standing.outside)
    return Away(
        title=parting_title(customers=customers),
        deed="scrap" if customers else "send-back",
        button="Scrap it" if customers else "Send it back",
        sentence=_away_sentence(record, customers=customers),
        hint="The reason goes on its record and on the claim sheet, with every fault and its "
        "evidence."
        if not customers
        else f"It is {head.customer or 'the customer'}'s property: tell them before it goes.",
        faults_title=f"{len(faults)} outside the limits" if faults else "No fault on record",
        faults=faults,
        no_faults="Nothing measured is outside its limits, so there is nothing to claim.",
        gone=f"It was {head.outcome} {clock(head.ended_at)}: {head.outcome_note}" if gone else "",
        may_return=gone,
        claim=gone and not customers,
    )


def _away_sentence(record: PlansOnRecord, *, customers: bool) -> str:
    if not record.answers:
        return ""
    choices = cards_of(record.sheet, plans=record.answers)
    away = next(choice for choice in choices if choice.kind is CardKind.SEND_BACK)
    best = next((choice for choice in choices if choice.plan is not None), None)
    work = card_sentence(best) if best is not None else "No work brings it inside every limit."
    return f"{card_sentence(away)} {work}"


def _fault(spot: SpotStanding, *, show: Show) -> Fault:
    judged = spot.judgement
    value = spot.value or 0.0
    title = FACTS[spot.quantity].title
    label = f"{title} {place_label(spot.quantity, place=spot.place)}".strip()
    sentence = verdict_sentence(judged, show=show) if judged is not None else ""
    picture = limit_bar(
        LimitBar(
            low=spot.limit.low if spot.limit else None,
            high=spot.limit.high if spot.limit else None,
            aim=spot.limit.aim if spot.limit else None,
            marks=(BarMark(value=value, u=spot.u, verdict=spot.verdict, solid=False),),
            suffix=FACTS[spot.quantity].suffix,
            show=show,
            title=sentence,
        )
    )
    return Fault(
        label=label,
        value=reading_phrase(value, quantity=spot.quantity, show=show),
        bar=mark_safe(picture),  # noqa: S308  # charts escape what they are handed
        sentence=sentence,
    )
