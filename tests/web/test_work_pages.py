"""The pages of the work, from the plan to the assembly list, as a machinist walks them."""

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions import plans, work
from castworthy.records.models import Head, Operation, Person, Plan
from factories import shop

PART = {"HX-Request": "true"}


def signed_in(person: Person) -> Client:
    client = Client(HTTP_HOST="localhost")
    client.force_login(person)
    return client


@pytest.fixture
def planned(head: Head, machinist: Person) -> Head:
    """A head whose deck is to be surfaced."""
    shop.measure_all(head.tag, by=machinist, other={("flatness", ""): "0.010 in"})
    made = plans.make_plans(tag=head.tag, by=machinist)
    plans.choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist)
    return head


@pytest.fixture
def worked(planned: Head, machinist: Person) -> Head:
    """A head whose work is done and whose readings are taken again."""
    for operation in Operation.objects.filter(head=planned).order_by("position"):
        work.sign_operation(operation_id=operation.pk, by=machinist)
    shop.measure_all(planned.tag, by=machinist)
    return planned


def text_of(client: Client, name: str, head: Head) -> str:
    return client.get(reverse(name, args=[head.tag])).content.decode()


def test_the_title_of_a_cut_parts_it_from_its_amount(planned: Head, machinist: Person) -> None:
    assert "Surface the deck:</strong>" in text_of(signed_in(machinist), "machine", planned)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "It is empty; enter what was really taken."),
        ("  ", "It is empty; enter what was really taken."),
        ("0.01", "0.01 is far from the"),
        ("a bit", "is no number"),
    ],
)
def test_what_was_really_taken_is_not_guessed(
    planned: Head, machinist: Person, typed: str, sentence: str
) -> None:
    cut = Operation.objects.get(head=planned, kind="surface")
    for operation in Operation.objects.filter(head=planned, position__lt=cut.position):
        work.sign_operation(operation_id=operation.pk, by=machinist)
    address = reverse("machine-sign", args=[planned.tag, cut.pk])
    answer = signed_in(machinist).post(address, {"typed": typed}, headers=PART)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert Operation.objects.get(pk=cut.pk).state == "planned"


def test_nothing_taken_can_be_said(planned: Head, machinist: Person) -> None:
    cut = Operation.objects.get(head=planned, kind="surface")
    address = reverse("machine-sign", args=[planned.tag, cut.pk])
    assert signed_in(machinist).post(address, {"typed": "0"}, headers=PART).status_code == 200


def test_after_the_work_the_bench_leads_to_the_assembly_list(
    worked: Head, machinist: Person
) -> None:
    text = text_of(signed_in(machinist), "measure", worked)
    assert "Everything is read: to the assembly list" in text
    assert reverse("assemble", args=[worked.tag]) in text


def test_a_plan_whose_work_is_done_is_not_asked_for_again(worked: Head, machinist: Person) -> None:
    text = text_of(signed_in(machinist), "plan", worked)
    assert "The work of this plan is done and every limit holds, measured again." in text
    assert "Plan again" not in text


def test_a_reading_after_the_plan_asks_for_a_new_one(planned: Head, machinist: Person) -> None:
    shop.kept(planned.tag, "recession", "1A", "0.0391 in", by=machinist)
    assert "Plan again" in text_of(signed_in(machinist), "plan", planned)


def test_a_gauge_starts_in_the_persons_unit(machinist: Person) -> None:
    text = signed_in(machinist).get(reverse("gauges")).content.decode()
    assert '<option value="in" selected>' in text


def test_an_empty_deck_cut_says_what_to_type(planned: Head, machinist: Person) -> None:
    address = reverse("plan-try", args=[planned.tag])
    answer = signed_in(machinist).get(address, {"depth": ""}, headers=PART)
    assert answer.status_code == 422
    assert "The deck cut is empty; enter one in thou." in answer.content.decode()
