"""Plans go into a row and come back the same."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

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
from castworthy.records.plans import (
    StoredPlanError,
    canonical_json,
    inputs_digest,
    plan_json,
    plan_of,
    plan_offered,
)

numbers = st.floats(allow_nan=False, allow_infinity=False, width=64)
maybe_numbers = st.none() | numbers
names = st.text(min_size=0, max_size=6)
quantities = st.sampled_from(Quantity)
sizes = st.lists(numbers, max_size=3).map(tuple)

works = st.builds(
    ValveWork,
    seat_cut_mm=numbers,
    seat_metal_mm=numbers,
    face_cut_mm=numbers,
    tip_grind_mm=numbers,
    shims_mm=sizes,
    new_valve=st.booleans(),
    new_insert=st.booleans(),
    new_guide=st.booleans(),
)
afters = st.builds(
    After,
    quantity=quantities,
    place=names,
    before=numbers,
    before_u=maybe_numbers,
    value=numbers,
    u=maybe_numbers,
    low=maybe_numbers,
    high=maybe_numbers,
    aim=maybe_numbers,
    rule=st.sampled_from(Rule),
    probability=maybe_numbers,
    moved=st.booleans(),
    binding=st.booleans(),
)
steps = st.builds(
    WorkStep,
    kind=st.sampled_from(OperationKind),
    place=names,
    amount_mm=maybe_numbers,
    parts=sizes,
    minutes=numbers,
    cost=numbers,
    why=names,
)
places = st.lists(st.tuples(quantities, names), max_size=3).map(tuple)
plans = st.builds(
    Plan,
    objective=st.sampled_from(Objective),
    guarded=st.booleans(),
    cost=numbers,
    minutes=numbers,
    deck=st.none()
    | st.builds(DeckCut, depth_mm=numbers, p0_mm=numbers, a_ratio=numbers, b_ratio=numbers),
    valves=st.dictionaries(names, works, max_size=3),
    washers_mm=st.dictionaries(names, sizes, max_size=2),
    after=st.lists(afters, max_size=3).map(tuple),
    work=st.lists(steps, max_size=3).map(tuple),
    deck_cut_span_mm=st.tuples(numbers, numbers),
    probability=numbers,
    smallest_margin=maybe_numbers,
    deck_left_mm=maybe_numbers,
    unproved=places,
    missing=places,
)
no_plans = st.builds(
    NoPlan,
    objective=st.sampled_from(Objective),
    conflict=st.lists(
        st.builds(
            Conflict, quantity=quantities, place=names, bound=names, limit=numbers, reason=names
        ),
        max_size=3,
    ).map(tuple),
    relief=st.lists(
        st.builds(
            Relief,
            quantity=st.none() | quantities,
            place=names,
            needed=maybe_numbers,
            parts=names,
        ),
        max_size=3,
    ).map(tuple),
    surest=st.none() | plans,
)
refusals = st.builds(Refused, code=names, reason=names, remedy=names)


@given(answer=plans | no_plans | refusals)
def test_an_answer_comes_back_the_same(answer: Plan | NoPlan | Refused) -> None:
    stored = json.loads(json.dumps(plan_json(answer), allow_nan=False))

    assert stored["format"] == 1
    assert plan_of(stored) == answer


def test_another_format_is_refused_in_a_sentence() -> None:
    with pytest.raises(StoredPlanError, match=r"format 2; this Castworthy reads format 1\. Plan"):
        plan_of({"format": 2, "kind": "plan"})


def test_only_a_plan_or_the_surest_of_none_may_be_chosen() -> None:
    nothing = NoPlan(objective=Objective.COST, conflict=(), relief=())

    assert plan_offered(nothing) is None
    assert plan_offered(Refused(code="x", reason="r", remedy="m")) is None


READING = Reading(quantity=Quantity.RECESSION, place="2B", value=1.25, u=0.01)
OTHER = Reading(quantity=Quantity.RECESSION, place="4D", value=1.21, u=0.01)


def test_the_digest_rests_on_sheet_readings_and_software_only() -> None:
    digest = inputs_digest(revision_digest="a" * 64, readings=[READING, OTHER], software="1.0")

    assert len(digest) == 64
    assert digest == inputs_digest(
        revision_digest="a" * 64, readings=[OTHER, READING], software="1.0"
    )
    for changed in (
        inputs_digest(revision_digest="b" * 64, readings=[READING, OTHER], software="1.0"),
        inputs_digest(revision_digest="a" * 64, readings=[READING], software="1.0"),
        inputs_digest(revision_digest="a" * 64, readings=[READING, OTHER], software="1.1"),
    ):
        assert changed != digest


def test_canonical_json_is_one_text_for_one_content() -> None:
    assert canonical_json({"b": 1.5, "a": "µm"}) == '{"a":"µm","b":1.5}'
