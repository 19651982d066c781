"""What the trade does at a step stands where the step is done, on the page and on paper.

The lines are common practice, no source; here only that nobody has to know them by heart.
"""

from html import unescape
from io import BytesIO

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions import papers, plans, work
from castworthy.records.models import Head, Operation, Person, Plan
from factories import shop
from factories.ring_sheets import RINGED

ADDRESS = "http://bench.example:8000/heads/F2-0001/"
MARKED = "Mark every valve to its place before it comes out: seat and stem heights differ."
DOWN = "close-wound end"
TAP = "light tap"
SEALS = "A port that seals shows nearly the pump's full vacuum, and no leak-down with the pump off."
PRESS = "about 3 thou of press and stands 8 to 9 thou"
BOLT = "Start the joint beside a stud or head bolt: clamping is greatest there."
ENDS = "File both ends square and deburr them; leave the wire long rather than short"


def seen(person: Person, name: str, *args: str) -> str:
    """The words of a page."""
    client = Client(HTTP_HOST="localhost")
    client.force_login(person)
    text = unescape(client.get(reverse(name, args=args)).content.decode())
    return " ".join(text.split())


def words_of(pdf: bytes) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(BytesIO(pdf)).pages).split())


@pytest.fixture
def loaded(head: Head, machinist: Person) -> Head:
    """A head that came with its valves in, its deck to be surfaced."""
    Head.objects.filter(pk=head.pk).update(loaded=True)
    shop.measure_all(head.tag, by=machinist, other={("flatness", ""): "0.010 in"})
    made = plans.make_plans(tag=head.tag, by=machinist)
    plans.choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist)
    return head


def test_valves_are_marked_where_they_come_out(loaded: Head, machinist: Person) -> None:
    assert MARKED in seen(machinist, "take-in-new")
    assert MARKED in seen(machinist, "take-in", loaded.tag)
    assert MARKED in seen(machinist, "machine", loaded.tag)


def test_a_bare_head_has_no_valves_to_mark(loaded: Head, machinist: Person) -> None:
    Head.objects.filter(pk=loaded.pk).update(loaded=False)
    assert MARKED not in seen(machinist, "machine", loaded.tag)


def test_assembly_says_why_and_which_way_up(loaded: Head, machinist: Person) -> None:
    text = seen(machinist, "assemble", loaded.tag)
    assert "Every valve goes back to its marked place: seat and stem heights differ." in text
    assert DOWN in text
    assert "toward the head" in text
    assert TAP in text


@pytest.mark.parametrize(
    ("name", "more", "before"),
    [("prove", (), 'class="ports"'), ("leak-log", ("1A",), 'id="leak-answer"')],
)
def test_a_sealing_port_is_described_where_it_is_tested(
    loaded: Head, machinist: Person, name: str, more: tuple[str, ...], before: str
) -> None:
    text = seen(machinist, name, loaded.tag, *more)
    assert text.count(SEALS) == 1
    assert text.index(SEALS) < text.index(before)


def test_the_traveller_carries_them_to_the_bench(loaded: Head, machinist: Person) -> None:
    text = words_of(papers.print_traveller(tag=loaded.tag, address=ADDRESS, by=machinist))
    for line in (MARKED, DOWN, TAP, SEALS):
        assert line in text


def test_a_ring_is_told_on_page_groove_sheet_and_traveller(owner: Person) -> None:
    head = shop.take_in(owner, code=shop.write_sheet(owner, text=RINGED), tag="R2-0001")
    page = seen(owner, "ring", head.tag)
    groove = words_of(papers.print_groove(tag=head.tag, address=ADDRESS, by=owner))
    for line in (PRESS, BOLT, ENDS):
        assert line in page
        assert line in groove


def test_the_next_operation_alone_says_how(loaded: Head, machinist: Person) -> None:
    first = Operation.objects.filter(head=loaded).order_by("position").first()
    assert first is not None
    work.sign_operation(operation_id=first.pk, by=machinist)
    assert MARKED not in seen(machinist, "machine", loaded.tag)
