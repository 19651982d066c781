"""Stored plans: the planner's answers as JSON and back, and the digest of what they rest on.

Every key is written out here, so that a row of last year stays readable when a class of calc
changes; ``format`` says which wording a row has.
"""

import json
from collections.abc import Iterable, Mapping
from hashlib import sha256
from typing import Any

from castworthy import __version__
from castworthy.calc.head import Reading, Rule
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import (
    After,
    Conflict,
    DeckCut,
    NoPlan,
    Objective,
    OperationKind,
    Plan,
    Relief,
    ValveWork,
    WorkStep,
)

FORMAT = 1


class StoredPlanError(ValueError):
    """A stored plan is of a format this version does not read."""


def plan_json(answer: Plan | NoPlan | Refused) -> dict[str, Any]:
    """The planner's answer with every field named."""
    if isinstance(answer, Plan):
        return {"format": FORMAT, "kind": "plan", **_plan(answer)}
    if isinstance(answer, NoPlan):
        return {"format": FORMAT, "kind": "no plan", **_no_plan(answer)}
    return {
        "format": FORMAT,
        "kind": "refused",
        "code": answer.code,
        "reason": answer.reason,
        "remedy": answer.remedy,
    }


def plan_of(stored: Mapping[str, Any]) -> Plan | NoPlan | Refused:
    """The answer a row holds.

    Raises
    ------
    StoredPlanError
        If the row is of another format.

    """
    if stored.get("format") != FORMAT:
        raise StoredPlanError(
            f"This plan is stored in format {stored.get('format')!r}; this Castworthy reads "
            f"format {FORMAT}. Plan again."
        )
    if stored["kind"] == "plan":
        return _plan_of(stored)
    if stored["kind"] == "no plan":
        return _no_plan_of(stored)
    return Refused(code=stored["code"], reason=stored["reason"], remedy=stored["remedy"])


def plan_offered(answer: Plan | NoPlan | Refused) -> Plan | None:
    """The plan a person may choose: the plan itself, or the surest by bare limits."""
    if isinstance(answer, Plan):
        return answer
    return answer.surest if isinstance(answer, NoPlan) else None


def canonical_json(content: Any) -> str:
    """One text for one content: keys sorted, no spaces, signs kept as people write them."""
    return json.dumps(
        content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def digest_of(content: Any) -> str:
    """SHA-256 of the canonical JSON, in hexadecimal."""
    return sha256(canonical_json(content).encode()).hexdigest()


def inputs_digest(
    *, revision_digest: str, readings: Iterable[Reading], software: str = __version__
) -> str:
    """SHA-256 of what a plan rests on: the sheet's wording, the readings used, the software."""
    rows = sorted(
        (
            {
                "quantity": reading.quantity.value,
                "place": reading.place,
                "value": reading.value,
                "u": reading.u,
                "u_bias": reading.u_bias,
                "resolution": reading.resolution,
                "repeats_count": reading.repeats_count,
            }
            for reading in readings
        ),
        key=lambda row: (str(row["quantity"]), str(row["place"])),
    )
    return digest_of({"revision": revision_digest, "readings": rows, "software": software})


def _plan(plan: Plan) -> dict[str, Any]:
    return {
        "objective": plan.objective.value,
        "guarded": plan.guarded,
        "cost": plan.cost,
        "minutes": plan.minutes,
        "deck": _deck(plan.deck),
        "valves": {name: _valve(work) for name, work in plan.valves.items()},
        "washers_mm": {name: list(washers) for name, washers in plan.washers_mm.items()},
        "after": [_after(row) for row in plan.after],
        "work": [_step(step) for step in plan.work],
        "deck_cut_span_mm": list(plan.deck_cut_span_mm),
        "probability": plan.probability,
        "smallest_margin": plan.smallest_margin,
        "deck_left_mm": plan.deck_left_mm,
        "unproved": _places(plan.unproved),
        "missing": _places(plan.missing),
        "read_again": _places(plan.read_again),
    }


def _plan_of(stored: Mapping[str, Any]) -> Plan:
    low_mm, high_mm = stored["deck_cut_span_mm"]
    return Plan(
        objective=Objective(stored["objective"]),
        guarded=stored["guarded"],
        cost=stored["cost"],
        minutes=stored["minutes"],
        deck=_deck_of(stored["deck"]),
        valves={name: _valve_of(work) for name, work in stored["valves"].items()},
        washers_mm={name: tuple(sizes) for name, sizes in stored["washers_mm"].items()},
        after=tuple(_after_of(row) for row in stored["after"]),
        work=tuple(_step_of(step) for step in stored["work"]),
        deck_cut_span_mm=(low_mm, high_mm),
        probability=stored["probability"],
        smallest_margin=stored["smallest_margin"],
        deck_left_mm=stored["deck_left_mm"],
        unproved=_places_of(stored["unproved"]),
        missing=_places_of(stored["missing"]),
        read_again=_places_of(stored["read_again"]),
    )


def _no_plan(answer: NoPlan) -> dict[str, Any]:
    return {
        "objective": answer.objective.value,
        "conflict": [
            {
                "quantity": conflict.quantity.value,
                "place": conflict.place,
                "bound": conflict.bound,
                "limit": conflict.limit,
                "reason": conflict.reason,
            }
            for conflict in answer.conflict
        ],
        "relief": [
            {
                "quantity": relief.quantity.value if relief.quantity else None,
                "place": relief.place,
                "needed": relief.needed,
                "parts": relief.parts,
                "bound": relief.bound,
                "together": relief.together,
            }
            for relief in answer.relief
        ],
        "surest": None if answer.surest is None else _plan(answer.surest),
    }


def _no_plan_of(stored: Mapping[str, Any]) -> NoPlan:
    return NoPlan(
        objective=Objective(stored["objective"]),
        conflict=tuple(
            Conflict(
                quantity=Quantity(row["quantity"]),
                place=row["place"],
                bound=row["bound"],
                limit=row["limit"],
                reason=row["reason"],
            )
            for row in stored["conflict"]
        ),
        relief=tuple(
            Relief(
                quantity=Quantity(row["quantity"]) if row["quantity"] else None,
                place=row["place"],
                needed=row["needed"],
                parts=row["parts"],
                bound=row["bound"],
                together=row["together"],
            )
            for row in stored["relief"]
        ),
        surest=None if stored["surest"] is None else _plan_of(stored["surest"]),
    )


def _deck(deck: DeckCut | None) -> dict[str, float] | None:
    if deck is None:
        return None
    return {
        "depth_mm": deck.depth_mm,
        "p0_mm": deck.p0_mm,
        "a_ratio": deck.a_ratio,
        "b_ratio": deck.b_ratio,
    }


def _deck_of(stored: Mapping[str, float] | None) -> DeckCut | None:
    if stored is None:
        return None
    return DeckCut(
        depth_mm=stored["depth_mm"],
        p0_mm=stored["p0_mm"],
        a_ratio=stored["a_ratio"],
        b_ratio=stored["b_ratio"],
    )


def _valve(work: ValveWork) -> dict[str, Any]:
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


def _valve_of(stored: Mapping[str, Any]) -> ValveWork:
    return ValveWork(
        seat_cut_mm=stored["seat_cut_mm"],
        seat_metal_mm=stored["seat_metal_mm"],
        face_cut_mm=stored["face_cut_mm"],
        tip_grind_mm=stored["tip_grind_mm"],
        shims_mm=tuple(stored["shims_mm"]),
        new_valve=stored["new_valve"],
        new_insert=stored["new_insert"],
        new_guide=stored["new_guide"],
    )


def _after(row: After) -> dict[str, Any]:
    return {
        "quantity": row.quantity.value,
        "place": row.place,
        "before": row.before,
        "before_u": row.before_u,
        "value": row.value,
        "u": row.u,
        "low": row.low,
        "high": row.high,
        "aim": row.aim,
        "rule": row.rule.value,
        "probability": row.probability,
        "moved": row.moved,
        "binding": row.binding,
    }


def _after_of(stored: Mapping[str, Any]) -> After:
    return After(
        quantity=Quantity(stored["quantity"]),
        place=stored["place"],
        before=stored["before"],
        before_u=stored["before_u"],
        value=stored["value"],
        u=stored["u"],
        low=stored["low"],
        high=stored["high"],
        aim=stored["aim"],
        rule=Rule(stored["rule"]),
        probability=stored["probability"],
        moved=stored["moved"],
        binding=stored["binding"],
    )


def _step(step: WorkStep) -> dict[str, Any]:
    return {
        "kind": step.kind.value,
        "place": step.place,
        "amount_mm": step.amount_mm,
        "parts": list(step.parts),
        "minutes": step.minutes,
        "cost": step.cost,
        "why": step.why,
    }


def _step_of(stored: Mapping[str, Any]) -> WorkStep:
    return WorkStep(
        kind=OperationKind(stored["kind"]),
        place=stored["place"],
        amount_mm=stored["amount_mm"],
        parts=tuple(stored["parts"]),
        minutes=stored["minutes"],
        cost=stored["cost"],
        why=stored["why"],
    )


def _places(places: Iterable[tuple[Quantity, str]]) -> list[list[str]]:
    return [[quantity.value, place] for quantity, place in places]


def _places_of(stored: Iterable[tuple[str, str]]) -> tuple[tuple[Quantity, str], ...]:
    return tuple((Quantity(quantity), place) for quantity, place in stored)
