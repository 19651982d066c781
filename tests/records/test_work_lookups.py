"""What the plan and machine pages read."""

import pytest

from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.work import sign_operation
from castworthy.calc.rework.results import Objective
from castworthy.records.lookups.machine import machine_page
from castworthy.records.lookups.plan import plan_page
from castworthy.records.models import Head, Person
from factories import shop


@pytest.fixture
def shallow(head: Head, owner: Person) -> Head:
    shop.measure_all(head.tag, by=owner, other={("recession", "2B"): "0.0270 in"})
    return head


def test_no_plan_yet(shallow: Head) -> None:
    page = plan_page(shallow.tag)

    assert (dict(page.answers), page.chosen, page.outdated) == ({}, None, False)


def test_the_newest_plans_in_order_and_whether_they_still_hold(
    shallow: Head, owner: Person
) -> None:
    make_plans(tag=shallow.tag, by=owner)
    made = make_plans(tag=shallow.tag, by=owner)
    page = plan_page(shallow.tag)

    assert dict(page.answers) == dict(made.answers)
    assert set(page.ids) == set(Objective)
    assert not page.outdated
    shop.kept(shallow.tag, "recession", "1A", "0.0400 in", by=owner)
    assert plan_page(shallow.tag).outdated


def test_the_chosen_plan_and_its_work(shallow: Head, owner: Person) -> None:
    make_plans(tag=shallow.tag, by=owner)
    choose_plan(plan_id=plan_page(shallow.tag).ids[Objective.COST], by=owner)
    seat = next(op for op in machine_page(shallow.tag).operations if op.kind == "seat")
    sign_operation(operation_id=seat.id, by=owner)
    page = machine_page(shallow.tag)

    assert plan_page(shallow.tag).chosen is Objective.COST
    assert page.plan_words == "least cost, chosen by Olive Marsh"
    assert (page.operations[0].id, page.operations[0].state) == (seat.id, "done")
    assert page.operations[0].taken_mm == seat.planned_mm
