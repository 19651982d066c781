"""Verdicts and plans as JSON: the keys of the published contract, every one with its unit."""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

import click

from castworthy.calc.decision.slips import Slip
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.decision.words import verdict_sentence
from castworthy.calc.head import HeadSheet
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.decide import HeadJudgement
from castworthy.calc.rework.edges import Edges
from castworthy.calc.rework.explain import (
    binding_sentences,
    conflict_sentences,
    odds_sentence,
    open_sentences,
    relief_sentences,
    span_sentence,
    work_sentence,
)
from castworthy.calc.rework.ratio import ratio_sentence, ratios_of
from castworthy.calc.rework.results import (
    After,
    Conflict,
    NoPlan,
    Plan,
    Relief,
    ValveWork,
    WorkStep,
)
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.units import Show

Answer = dict[str, Any]
_Worked = TypeVar("_Worked")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What an answer is told for: the sheet, the person's units, cautions on the input."""

    sheet: HeadSheet
    show: Show
    cautions: tuple[str, ...] = ()


def judge_answer(head: HeadJudgement, *, told: Told) -> Answer:
    """The answer of ``judge``."""
    return {
        "sheet": told.sheet.code,
        "decision": head.decision.value,
        "readings": [_judgement(each, show=told.show) for each in head.judgements],
        "missing": _sites(head.missing),
        "slips": [_slip(slip, show=told.show) for slip in head.slips],
        "cautions": list(told.cautions),
    }


def plan_answer(plan: Plan, *, edges: Edges, told: Told) -> Answer:
    """The answer of ``plan`` where there is one."""
    deck, show = plan.deck, told.show
    return {
        "sheet": told.sheet.code,
        "feasible": True,
        "objective": plan.objective.value,
        "guarded": plan.guarded,
        "cost": plan.cost,
        "minutes": plan.minutes,
        "deck_cut_mm": 0.0 if deck is None else deck.depth_mm,
        "tilt": {
            "a": 0.0 if deck is None else deck.a_ratio,
            "b": 0.0 if deck is None else deck.b_ratio,
        },
        "valves": {
            valve.name: _valve(plan.valves.get(valve.name, ValveWork()))
            for valve in told.sheet.valves
        },
        "washers_mm": {place: list(sizes) for place, sizes in plan.washers_mm.items()},
        "after": [_after(row) for row in plan.after],
        "binding": [
            {"quantity": row.quantity.value, "place": row.place, "sentence": sentence}
            for row, sentence in zip(plan.binding, binding_sentences(plan, show=show), strict=True)
        ],
        "deck_cut_span_mm": list(plan.deck_cut_span_mm),
        "deck_left_mm": plan.deck_left_mm,
        "compression_ratios": _ratios(plan, sheet=told.sheet),
        "probability": plan.probability,
        "smallest_margin": plan.smallest_margin,
        "work": [_step(step, show=show) for step in plan.work],
        "missing": _sites(plan.missing),
        "read_again": _sites(plan.read_again),
        "unproved": _sites(plan.unproved),
        "sentences": [
            odds_sentence(plan),
            span_sentence(plan, edges=edges, show=show),
            *filter(None, (ratio_sentence(plan, sheet=told.sheet),)),
            *open_sentences(plan),
        ],
        "cautions": list(told.cautions),
    }


def _step(step: WorkStep, *, show: Show) -> Answer:
    return {
        "kind": step.kind.value,
        "place": step.place,
        "amount_mm": step.amount_mm,
        "parts_mm": list(step.parts),
        "minutes": step.minutes,
        "cost": step.cost,
        "sentence": work_sentence(step, show=show),
    }


def _ratios(plan: Plan, *, sheet: HeadSheet) -> list[Answer]:
    return [
        {
            "cylinder": each.cylinder,
            "before_ratio": each.before_ratio,
            "after_ratio": each.after_ratio,
            "u_after_ratio": each.u_after_ratio,
        }
        for each in ratios_of(plan, sheet=sheet)
    ]


def no_plan_answer(answer: NoPlan, *, surest_edges: Edges | None, told: Told) -> Answer:
    """The answer of ``plan`` where there is none; ``surest`` by the bare limits, if any."""
    surest = None
    if answer.surest is not None and surest_edges is not None:
        surest = plan_answer(answer.surest, edges=surest_edges, told=told)
    return {
        "sheet": told.sheet.code,
        "feasible": False,
        "objective": answer.objective.value,
        "conflict": [_conflict(each) for each in answer.conflict],
        "relief": [_relief(each, show=told.show) for each in answer.relief],
        "surest": surest,
        "sentences": list(conflict_sentences(answer, show=told.show)),
        "cautions": list(told.cautions),
    }


def refused_answer(refused: Refused) -> Answer:
    """A refusal, with the way out."""
    return {
        "refused": {
            "code": refused.code,
            "reason": refused.reason,
            "remedy": refused.remedy,
        }
    }


def tell(
    told: _Worked | Refused,
    *,
    as_json: bool,
    answer: Callable[[_Worked], Answer],
    show: Callable[[_Worked], None],
) -> None:
    """Tell what was worked out, as JSON or as a page; a refusal ends the command with its code."""
    if as_json:
        said = refused_answer(told) if isinstance(told, Refused) else answer(told)
        click.echo(json.dumps(said, indent=2, ensure_ascii=False))
    if isinstance(told, Refused):
        raise InputRefusedError(told.sentence, code=REFUSED)
    if not as_json:
        show(told)


def _judgement(each: Judgement, *, show: Show) -> Answer:
    suffix = FACTS[each.quantity].suffix
    return {
        "quantity": each.quantity.value,
        "place": each.place,
        f"value_{suffix}": each.value,
        f"u_{suffix}": each.u,
        "verdict": each.verdict.value,
        "probability": each.probability,
        f"low_{suffix}": each.low,
        f"high_{suffix}": each.high,
        f"aim_{suffix}": each.aim,
        f"excess_{suffix}": each.excess,
        "rule": each.rule.value,
        "rule_applied": each.rule_applied.value,
        "repeats_count": each.repeats_count,
        f"u_wanted_{suffix}": each.u_wanted,
        "coarse": each.coarse,
        "source": each.source,
        "sentence": verdict_sentence(each, show=show),
    }


def _slip(slip: Slip, *, show: Show) -> Answer:
    suffix = FACTS[slip.quantity].suffix
    return {
        "quantity": slip.quantity.value,
        "place": slip.place,
        "kind": slip.kind.value,
        f"value_{suffix}": slip.value,
        f"likely_value_{suffix}": slip.likely_value,
        "sentence": slip.sentence(show),
    }


def _sites(sites: Iterable[tuple[Quantity, str]]) -> list[Answer]:
    return [{"quantity": quantity.value, "place": place} for quantity, place in sites]


def _valve(work: ValveWork) -> Answer:
    return {
        "seat_cut_mm": work.seat_cut_mm,
        "seat_metal_mm": work.seat_metal_mm,
        "face_cut_mm": work.face_cut_mm,
        "tip_grind_mm": work.tip_grind_mm,
        "shims_mm": list(work.shims_mm),
        "new_valve": work.new_valve,
        "new_insert": work.new_insert,
        "new_guide": work.new_guide,
    }


def _after(row: After) -> Answer:
    suffix = FACTS[row.quantity].suffix
    return {
        "quantity": row.quantity.value,
        "place": row.place,
        f"before_{suffix}": row.before,
        f"before_u_{suffix}": row.before_u,
        f"value_{suffix}": row.value,
        f"u_{suffix}": row.u,
        f"low_{suffix}": row.low,
        f"high_{suffix}": row.high,
        "probability": row.probability,
        "moved": row.moved,
        "binding": row.binding,
    }


def _conflict(each: Conflict) -> Answer:
    suffix = FACTS[each.quantity].suffix
    return {
        "quantity": each.quantity.value,
        "place": each.place,
        "bound": each.bound,
        f"limit_{suffix}": each.limit,
        "reason": each.reason,
    }


def _relief(each: Relief, *, show: Show) -> Answer:
    suffix = "mm" if each.quantity is None else FACTS[each.quantity].suffix
    return {
        "quantity": None if each.quantity is None else each.quantity.value,
        "place": each.place,
        "bound": each.bound,
        f"needed_{suffix}": each.needed,
        "parts": each.parts,
        "together": each.together,
        "sentences": list(relief_sentences((each,), show=show)),
    }
