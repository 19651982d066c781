"""Ratio, ring groove, injector, tip and spring loads as limits of the plan, against brute force."""

import pytest
from one_cylinder import cheapest, random_case, ratio_of

from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import Plan


@pytest.mark.parametrize("first", range(0, 45, 15))
def test_the_cheapest_plan_of_one_cylinder(first: int) -> None:
    found = 0
    for seed in range(first, first + 15):
        case = random_case(seed)
        best = cheapest(case)
        plan = make_plan(case.sheet.fitted(), readings=case.readings)

        assert isinstance(plan, Plan) == (best is not None)
        if best is None or not isinstance(plan, Plan):
            continue
        found += 1
        cost, deck_mm = best
        assert plan.cost == pytest.approx(cost, abs=1e-6)
        assert (0.0 if plan.deck is None else plan.deck.depth_mm) == pytest.approx(
            deck_mm, abs=2e-6
        )
        for row in plan.after:
            if row.quantity is Quantity.CHAMBER_VOLUME:
                ratio = ratio_of(row.value, deck_clearance_mm=case.deck_clearance_mm)
                assert ratio <= 17.2 + 1e-4
    assert found >= 5
