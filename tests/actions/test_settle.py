"""A head's step follows from its readings and its work."""

from datetime import timedelta

import pytest
from django.utils import timezone

from castworthy.actions.deed import deeds_at
from castworthy.actions.settle import settle
from castworthy.records.models import Head, Operation, Person
from factories import shop


def planned(head: Head, kind: str, place: str = "") -> Operation:
    return Operation.objects.create(head=head, position=1, kind=kind, place=place)


def sign(operation: Operation, *, number: int = 1) -> None:
    operation.state = "done"
    operation.done_number = number
    operation.save()


def settled(head: Head) -> tuple[str, str]:
    head.refresh_from_db()
    settle(head, at=timezone.now())
    head.refresh_from_db()
    return head.step, head.decision


@pytest.fixture
def measured(head: Head, owner: Person) -> Head:
    shop.measure_all(head.tag, by=owner, other={("recession", "2B"): "0.0640 in"})
    return head


def test_from_measuring_to_the_plan_and_back_with_nothing_worked(
    measured: Head, owner: Person
) -> None:
    assert settled(measured) == ("plan", "rework")
    assert measured.progress == {"read": 7, "required": 7, "outside": 1, "close": 0}


def test_planned_work_is_machined_then_measured_again(measured: Head, owner: Person) -> None:
    operation = planned(measured, "seat", "2B")
    assert settled(measured) == ("machine", "rework")
    assert measured.progress["operation"] == "seat"
    assert measured.progress["planned"] == 1
    sign(operation)
    assert settled(measured) == ("machine", "")
    assert measured.progress["quantity"] == "recession"
    assert (measured.progress["left"], measured.progress["of"]) == (1, 4)
    shop.kept(measured.tag, "recession", "2B", "0.0395 in", by=owner)
    measured.refresh_from_db()
    assert (measured.step, measured.decision) == ("assemble", "conforming")


def test_work_that_missed_goes_back_to_the_plan(measured: Head, owner: Person) -> None:
    sign(planned(measured, "seat", "2B"))
    assert settled(measured) == ("machine", "")
    shop.kept(measured.tag, "recession", "2B", "0.0600 in", by=owner)
    measured.refresh_from_db()
    assert (measured.step, measured.decision) == ("plan", "rework")


def test_a_reading_outside_late_in_the_way_brings_a_head_back(
    measured: Head, owner: Person
) -> None:
    Head.objects.update(step="prove")
    assert settled(measured) == ("plan", "rework")


def test_a_good_reading_late_in_the_way_leaves_a_head_where_it_is(
    head: Head, owner: Person
) -> None:
    shop.measure_all(head.tag, by=owner)
    Head.objects.update(step="prove")
    shop.kept(head.tag, "recession", "1A", "0.0391 in", by=owner)
    head.refresh_from_db()
    assert head.step == "prove"


def test_the_wait_begins_anew_only_when_the_step_changes(head: Head, owner: Person) -> None:
    begun = head.step_since
    with deeds_at(begun + timedelta(hours=1)):
        shop.kept(head.tag, "recession", "1A", "0.039 in", by=owner)
    head.refresh_from_db()
    assert head.step_since == begun
    with deeds_at(begun + timedelta(hours=2)):
        shop.measure_all(head.tag, by=owner)
    head.refresh_from_db()
    assert head.step_since == begun + timedelta(hours=2)
