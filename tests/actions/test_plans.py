"""Plans worked out, kept and chosen."""

import pytest

from castworthy.actions.errors import DeedRefused
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.calc.rework.results import NoPlan, Objective, OperationKind
from castworthy.calc.rework.results import Plan as CalcPlan
from castworthy.records.models import Head, Operation, Person, Plan
from castworthy.records.plans import plan_of
from factories import shop


@pytest.fixture
def shallow(head: Head, owner: Person) -> Head:
    """2B stands 5.5 thou too high: its seat has to be cut."""
    shop.measure_all(head.tag, by=owner, other={("recession", "2B"): "0.0270 in"})
    return head


def cheapest(head: Head) -> Plan:
    return Plan.objects.filter(head=head, objective="cost").first()


def test_three_answers_are_kept_as_one_batch(shallow: Head, machinist: Person) -> None:
    made = make_plans(tag=shallow.tag, by=machinist)
    rows = list(Plan.objects.filter(head=shallow))

    assert {row.objective for row in rows} == {"cost", "deck", "surest"}
    assert {row.batch for row in rows} == {made.batch}
    assert made.decision == "rework"
    assert plan_of(cheapest(shallow).result) == made.answers[Objective.COST]


def test_a_chosen_plan_becomes_the_list_of_work(shallow: Head, machinist: Person) -> None:
    make_plans(tag=shallow.tag, by=machinist)
    choose_plan(plan_id=cheapest(shallow).pk, by=machinist)
    shallow.refresh_from_db()
    kinds = list(Operation.objects.filter(head=shallow).values_list("kind", "place"))

    assert shallow.step == "machine"
    assert (OperationKind.SEAT.value, "2B") in kinds
    assert (OperationKind.SURFACE.value, "") not in kinds


def test_a_good_head_has_an_empty_plan_and_goes_on(head: Head, machinist: Person) -> None:
    shop.measure_all(head.tag, by=machinist)
    make_plans(tag=head.tag, by=machinist)
    choose_plan(plan_id=cheapest(head).pk, by=machinist)
    head.refresh_from_db()

    assert head.step == "assemble"
    assert not Operation.objects.filter(head=head).exists()


def test_nothing_measured_is_refused_in_a_sentence(head: Head, machinist: Person) -> None:
    with pytest.raises(DeedRefused, match="Measure it first"):
        make_plans(tag=head.tag, by=machinist)


def test_a_plan_the_readings_outran_is_refused(shallow: Head, machinist: Person) -> None:
    make_plans(tag=shallow.tag, by=machinist)
    shop.kept(shallow.tag, "recession", "1A", "0.0400 in", by=machinist)

    with pytest.raises(DeedRefused, match=r"The readings changed at \d\d:\d\d; plan again\."):
        choose_plan(plan_id=cheapest(shallow).pk, by=machinist)


def test_the_second_to_choose_is_told_who_was_first(
    shallow: Head, machinist: Person, owner: Person
) -> None:
    make_plans(tag=shallow.tag, by=machinist)
    choose_plan(plan_id=cheapest(shallow).pk, by=machinist)

    with pytest.raises(DeedRefused, match=r"Ana Reed chose a plan for .* at \d\d:\d\d"):
        choose_plan(plan_id=cheapest(shallow).pk, by=owner)


def test_a_head_no_work_helps_is_scrap(head: Head, machinist: Person) -> None:
    shop.measure_all(head.tag, by=machinist, other={("deck_thickness", "T1"): "0.300 in"})
    made = make_plans(tag=head.tag, by=machinist)

    assert isinstance(made.answers[Objective.COST], NoPlan)
    assert made.decision == "scrap"
    with pytest.raises(DeedRefused, match="no plan to choose"):
        choose_plan(plan_id=cheapest(head).pk, by=machinist)


def test_a_viewer_may_not_plan(shallow: Head, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="may look but not change"):
        make_plans(tag=shallow.tag, by=viewer)


def test_answers_survive_their_way_through_the_table(shallow: Head, machinist: Person) -> None:
    made = make_plans(tag=shallow.tag, by=machinist)
    for row in Plan.objects.filter(head=shallow):
        again = plan_of(row.result)
        assert isinstance(again, CalcPlan)
        assert again == made.answers[Objective(row.objective)]
