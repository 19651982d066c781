"""Kept sums stand where their step is done, beside their operation, and nowhere else."""

from dataclasses import replace
from html import unescape
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.records.kept_sums import KeptAnswer
from castworthy.records.lookups.kept_sums import kept_sums
from castworthy.records.models import Head, KeptSum, Operation, Person, Plan
from castworthy.web.contexts.sums.all_sums import SUMS
from castworthy.web.contexts.sums.at_step import newest, sums_at_step
from factories import shop
from factories.sums import seat_sunk

WIDER = "the seat is 52.8 thou wider"
STEPS = ("plan", "machine", "assemble", "prove", "finish")


@pytest.fixture
def client(machinist: Person) -> Client:
    """Somebody at the bench."""
    client = Client()
    client.force_login(machinist)
    return client


def look(client: Client, step: str, head: Head) -> str:
    return unescape(client.get(reverse(step, args=[head.tag])).content.decode())


def keep(
    head: Head, by: Person, *, name: str = "seat", place: str = "2B", says: str = ""
) -> KeptSum:
    worked = replace(seat_sunk(place=place), name=name, title=name.capitalize())
    if says:
        worked = replace(worked, answer=KeptAnswer(headline=says, tone="plain"))
    return keep_sum(tag=head.tag, uuid=uuid4(), worked=worked, by=by)


@pytest.mark.parametrize("step", STEPS)
def test_a_step_without_a_kept_sum_shows_only_the_ways_in(
    client: Client, head: Head, step: str
) -> None:
    page = look(client, step, head)
    assert "Kept sums" not in page
    for each in SUMS:
        there = f'href="/sums/{each.name}?head={head.tag}">{each.title}</a>' in page
        assert there == (step in each.steps), each.name


@pytest.mark.parametrize("shown", SUMS, ids=lambda each: each.name)
def test_a_kept_sum_stands_at_its_steps_alone(
    client: Client, head: Head, machinist: Person, shown
) -> None:
    keep(head, machinist, name=shown.name)
    for step in STEPS:
        told = "Kept sums" in look(client, step, head)
        assert told == (step in shown.steps), step


def test_the_newest_of_a_place_stands_and_none_taken_back(
    client: Client, head: Head, machinist: Person
) -> None:
    keep(head, machinist, says="The first.")
    last = keep(head, machinist, says="The second.")
    keep(head, machinist, place="1A", says="Another place.")
    page = look(client, "plan", head)
    assert "The second." in page
    assert "Another place." in page
    assert "The first." not in page
    take_back_sum(uuid=last.uuid, why="wrong", by=machinist)
    page = look(client, "plan", head)
    assert "The first." in page
    assert "The second." not in page


def test_many_kept_sums_are_counted_not_listed(head: Head, machinist: Person) -> None:
    places = [valve for cylinder in "12" for valve in (f"{cylinder}A", f"{cylinder}B")]
    for name in ("seat", "insert", "guide"):
        for place in places:
            keep(head, machinist, name=name, place=place)
    shown = sums_at_step(head.tag, step="machine")
    assert len(newest(kept_sums(head.tag))) == 12
    assert (len(shown.kept), shown.more_count) == (8, 4)


def test_pages_without_sums_look_none_up(head: Head) -> None:
    assert sums_at_step(head.tag, step="release") is None


def test_a_seat_stands_beside_its_operation(client: Client, head: Head, machinist: Person) -> None:
    shop.measure_all(head.tag, by=machinist, other={("recession", "2B"): "0.0270 in"})
    made = make_plans(tag=head.tag, by=machinist)
    choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist)
    seat = Operation.objects.get(head=head, kind="seat", state="planned")
    Operation.objects.filter(head=head, position__lt=seat.position).delete()
    before = look(client, "machine", head)
    assert f'href="/sums/seat?head={head.tag}&place={seat.place}">Seat cut</a>' in before
    keep(head, machinist, place="1A", says="Of another valve.")
    keep(head, machinist, name="guide", place=seat.place, says="Of its guide.")
    keep(head, machinist, place=seat.place, says="Of this seat.")
    page = look(client, "machine", head)
    row = page[page.index(f'id="operation-{seat.pk}"') :]
    row = row[: row.index("</li>")]
    assert "Of this seat." in row
    assert "Of another valve." not in row
    assert "Of its guide." not in row


def test_a_spring_stands_at_its_valve_on_the_assembly_list(
    client: Client, head: Head, machinist: Person
) -> None:
    keep(head, machinist, name="spring", place="2B")
    page = look(client, "assemble", head)
    row = page[page.index("<strong>2B</strong>") :]
    assert "/sums/spring?" in row[: row.index("</span>")]
    assert WIDER in page
