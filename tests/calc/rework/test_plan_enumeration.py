"""The planner against brute force: every combination enumerated, a linear programme for each.

The enumeration (enumeration.py) is written from DOMAIN sections 3 and 10 and shares no code
with the planner.
"""

from itertools import combinations

import pytest
from enumeration import Enumeration
from small_heads import Case, random_case

from castworthy.calc.rework.build import build_model
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.problem import bounds_of
from castworthy.calc.rework.results import NoPlan, Objective, Plan

MOST_CHOICES = 250
NEAR_MM = 1e-6
NEAR_COST = 1e-6
MOST_MARGIN = 100.0


def deck_mm(plan: Plan) -> float:
    return 0.0 if plan.deck is None else plan.deck.depth_mm


def check_cost(case: Case) -> Plan | None:
    best = Enumeration(case.sheet, case.readings).least_cost()
    plan = make_plan(case.sheet, readings=case.readings)

    assert bool(plan) == (best is not None)
    if best is None:
        return None
    assert isinstance(plan, Plan)
    assert plan.cost == pytest.approx(best.cost, abs=NEAR_COST)
    assert deck_mm(plan) == pytest.approx(best.deck_mm, abs=NEAR_MM)
    return plan


def check_everything(seeds: range, **kinds: bool) -> int:
    """All objectives and the span, on every case small enough; how many had a plan."""
    cases = [random_case(seed, **kinds) for seed in seeds]
    small = [c for c in cases if len(Enumeration(c.sheet, c.readings).choices()) <= MOST_CHOICES]
    return sum(check_one(case) for case in small)


def check_one(case: Case) -> bool:
    plan = check_cost(case)
    if plan is None:
        return False
    head = Enumeration(case.sheet, case.readings)
    assert plan.deck_cut_span_mm == pytest.approx(head.deck_span(), abs=NEAR_MM)
    least = head.least_deck()
    deck = make_plan(case.sheet, readings=case.readings, objective=Objective.DECK)
    assert isinstance(deck, Plan)
    assert least is not None
    assert deck_mm(deck) == pytest.approx(least.deck_mm, abs=NEAR_MM)
    assert deck.cost == pytest.approx(least.cost, abs=NEAR_COST)
    if not plan.empty:
        check_surest(case, head)
    return True


def check_surest(case: Case, head: Enumeration) -> None:
    best = head.surest()
    plan = make_plan(case.sheet, readings=case.readings, objective=Objective.SUREST)

    assert isinstance(plan, Plan)
    assert best is not None
    margin = MOST_MARGIN if plan.smallest_margin is None else plan.smallest_margin
    assert min(margin, MOST_MARGIN) == pytest.approx(best.margin, abs=1e-5)
    assert plan.cost == pytest.approx(best.cost, abs=NEAR_COST)
    assert deck_mm(plan) == pytest.approx(best.deck_mm, abs=1e-5)


@pytest.mark.parametrize("first", range(0, 120, 20))
def test_least_cost_on_two_valves(first: int) -> None:
    for seed in range(first, first + 20):
        check_cost(random_case(seed))


@pytest.mark.parametrize("seed", range(1000, 1008))
def test_least_cost_on_three_valves(seed: int) -> None:
    check_cost(random_case(seed, valves=3))


@pytest.mark.parametrize("first", range(200, 290, 30))
def test_span_most_deck_left_and_surest(first: int) -> None:
    assert check_everything(range(first, first + 30)) >= 3


@pytest.mark.parametrize("first", range(300, 375, 25))
def test_tilted_deck(first: int) -> None:
    assert check_everything(range(first, first + 25), tilt=True) >= 3


@pytest.mark.parametrize("first", range(400, 475, 25))
def test_chamber_volume(first: int) -> None:
    assert check_everything(range(first, first + 25), chamber=True) >= 3


@pytest.mark.parametrize("seed", range(500, 512))
def test_deck_cut_held_at_a_depth(seed: int) -> None:
    case = random_case(seed)
    for depth_mm in (0.0, 0.08, 0.2):
        best = Enumeration(case.sheet, case.readings, fixed_mm=depth_mm).least_cost()
        plan = make_plan(case.sheet, readings=case.readings, fixed_deck_cut_mm=depth_mm)

        assert bool(plan) == (best is not None)
        if best is not None:
            assert isinstance(plan, Plan)
            assert deck_mm(plan) == depth_mm
            assert plan.cost == pytest.approx(best.cost, abs=NEAR_COST)


@pytest.mark.parametrize("first", range(600, 630, 10))
def test_bare_limits_where_the_guard_excludes_every_plan(first: int) -> None:
    for seed in range(first, first + 10):
        case = random_case(seed)
        answer = make_plan(case.sheet, readings=case.readings)
        if isinstance(answer, NoPlan):
            bare = Enumeration(case.sheet, case.readings, guarded=False).least_cost()
            assert (answer.surest is None) == (bare is None)
            if answer.surest is not None:
                assert not answer.surest.guarded


@pytest.mark.parametrize("first", range(0, 30, 10))
def test_conflicts_are_smallest(first: int) -> None:
    found = 0
    for seed in range(first, first + 10):
        case = random_case(seed)
        answer = make_plan(case.sheet, readings=case.readings)
        if not isinstance(answer, NoPlan):
            continue
        found += 1
        members = {(c.quantity, c.place, c.bound) for c in answer.conflict}
        model = build_model(case.sheet, readings=case.readings)
        every = sorted({(b.quantity, b.place, b.side) for b in bounds_of(model)})
        assert not possible(case, frozenset(members))
        for count in range(len(members)):
            for fewer in combinations(every, count):
                assert possible(case, frozenset(fewer))
    assert found >= 3


def possible(case: Case, only: frozenset) -> bool:
    return Enumeration(case.sheet, case.readings, only=only).possible()
