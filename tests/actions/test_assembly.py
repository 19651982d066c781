"""The assembly list: ticks, unticks, what comes first, where the head goes then."""

import pytest

from castworthy.actions.assembly import tick
from castworthy.actions.errors import DeedRefused
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.work import sign_operation
from castworthy.records.lookups.assemble import assemble_page
from castworthy.records.models import AssemblyTick, Head, Operation, Person, Plan
from castworthy.units import Show
from factories import shop

ITEMS_COUNT = 3 + 4 * 5


@pytest.fixture
def machined(head: Head, owner: Person) -> Head:
    shop.measure_all(head.tag, by=owner)
    made = make_plans(tag=head.tag, by=owner)
    choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=owner)
    head.refresh_from_db()
    return head


def left(head: Head) -> int:
    return assemble_page(head.tag, show=Show()).left_count


def test_the_list_has_every_valve_and_the_head(machined: Head) -> None:
    page = assemble_page(machined.tag, show=Show())
    words = [item.words for group in page.groups for item in group.items]

    assert page.items_count == ITEMS_COUNT
    assert any("close-wound end down" in sentence for sentence in words)
    assert any("light tap" in sentence for sentence in words)


def test_ticks_by_item_by_place_and_all(machined: Head, machinist: Person) -> None:
    assert tick(tag=machined.tag, item="seal", place="1A", by=machinist).left_count == 22
    assert tick(tag=machined.tag, place="1A", by=machinist).left_count == 18
    assert tick(tag=machined.tag, item="seal", by=machinist).left_count == 15
    done = tick(tag=machined.tag, by=machinist)
    machined.refresh_from_db()

    assert (done.complete, machined.step) == (True, "prove")


def test_an_untick_brings_the_head_back_and_stays_visible(
    machined: Head, machinist: Person
) -> None:
    tick(tag=machined.tag, by=machinist)
    tick(tag=machined.tag, item="keepers", place="2B", ticked=False, by=machinist)
    machined.refresh_from_db()

    assert (left(machined), machined.step) == (1, "assemble")
    assert AssemblyTick.objects.filter(item="keepers", place="2B").count() == 2


def test_ticking_twice_changes_nothing(machined: Head, machinist: Person) -> None:
    tick(tag=machined.tag, place="1A", by=machinist)
    count = AssemblyTick.objects.count()
    tick(tag=machined.tag, place="1A", by=machinist)

    assert AssemblyTick.objects.count() == count


def test_work_done_later_takes_the_ticks_back(machined: Head, machinist: Person) -> None:
    tick(tag=machined.tag, by=machinist)
    late = Operation.objects.create(
        head=machined, position=9, kind="seat", place="1A", planned_mm=0.05
    )
    sign_operation(operation_id=late.pk, by=machinist)

    assert left(machined) == ITEMS_COUNT


def test_shims_of_the_plan_stand_at_their_valve(machined: Head, machinist: Person) -> None:
    Operation.objects.create(
        head=machined,
        position=9,
        kind="shim",
        place="2B",
        planned_mm=0.381,
        parts=[0.381],
        state="done",
        done_number=1,
        taken_mm=0.381,
    )
    page = assemble_page(machined.tag, show=Show())
    shims = {
        item.place: item.words
        for group in page.groups
        for item in group.items
        if item.item == "shims"
    }

    assert shims["2B"] == "Shims under the spring: 0.015 in"
    assert shims["1A"] == "No shim"


def test_what_comes_first_is_named(machined: Head, machinist: Person) -> None:
    Operation.objects.create(head=machined, position=9, kind="seat", place="1A", planned_mm=0.05)
    with pytest.raises(DeedRefused, match="The seat 1A is still to be signed off"):
        tick(tag=machined.tag, by=machinist)


def test_without_a_plan_nothing_goes_together(head: Head, machinist: Person) -> None:
    with pytest.raises(DeedRefused, match="has no chosen plan yet"):
        tick(tag=head.tag, by=machinist)


def test_an_item_that_is_none_is_told(machined: Head, machinist: Person) -> None:
    with pytest.raises(DeedRefused, match="no gasket at 1A"):
        tick(tag=machined.tag, item="gasket", place="1A", by=machinist)


def test_a_viewer_may_not_tick(machined: Head, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="may look"):
        tick(tag=machined.tag, by=viewer)
