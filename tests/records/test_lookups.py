"""What the pages read."""

from datetime import timedelta
from itertools import pairwise

import pytest
from django.utils import timezone

from castworthy.actions import heads, trade
from castworthy.actions.deed import deeds_at
from castworthy.calc.quantity import Quantity
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.history import history_of
from castworthy.records.lookups.measure import measure_page
from castworthy.records.lookups.rack import rack
from castworthy.records.lookups.search import find_heads
from castworthy.records.models import Head, Person
from castworthy.records.progress import words
from castworthy.records.standing import Spot
from castworthy.units import Show
from factories import shop

THOU = Show()


def test_an_empty_rack_says_so(owner: Person) -> None:
    assert rack().empty
    assert [step.title for step in rack().steps][:3] == ["Take in", "Measure", "Plan"]


def test_the_rack_stands_by_step_the_longest_waiting_first(sheet: str, owner: Person) -> None:
    now = timezone.now()
    for number, days in ((1, 1), (2, 9), (3, 4)):
        with deeds_at(now - timedelta(days=days)):
            shop.take_in(owner, code=sheet, tag=f"F2-000{number}")
    shop.kept("F2-0003", "recession", "1A", "0.039 in", by=owner)
    shop.measure_all("F2-0001", by=owner, other={("flatness", ""): "0.004 in"})
    heads.scrap(tag=shop.take_in(owner, code=sheet, tag="F2-0004").tag, note="x", by=owner)
    shelves = {step.step: step for step in rack().steps}
    assert [head.tag for head in shelves["measure"].heads] == ["F2-0002", "F2-0003"]
    oldest, next_ = shelves["measure"].heads
    assert (oldest.waiting_days_count, next_.waiting_days_count) == (9, 4)
    assert oldest.next_words == "4 of 4 recession readings to take"
    assert next_.next_words == "3 of 4 recession readings to take"
    assert (next_.read_count, next_.required_count) == (1, 7)
    (planned,) = shelves["plan"].heads
    assert (planned.decision, planned.next_words) == ("rework", "choose a plan")
    assert (planned.waiting_days_count, planned.outside_count) == (0, 1)
    assert planned.origin == "lot 7F from Lode Foundry of F2-0001"
    assert (rack().heads_count, rack().ended_count) == (3, 1)


def test_a_long_shelf_is_shown_in_parts(sheet: str, owner: Person) -> None:
    for _ in range(5):
        heads.take_in_head(sheet=sheet, kind="new casting", by=owner)
    (shelf,) = rack(only="measure", per_step_count=2, skip_count=2).steps
    assert [head.tag for head in shelf.heads] == ["F2-0003", "F2-0004"]
    assert (shelf.heads_count, shelf.more_count) == (5, 3)


@pytest.mark.parametrize(
    ("step", "progress", "decision", "said"),
    [
        ("take in", {}, "", "take it in"),
        ("measure", {}, "", "start measuring"),
        (
            "measure",
            {"quantity": "height", "left": 9, "of": 45},
            "",
            "9 of 45 deck heights to take",
        ),
        ("measure", {"quantity": "flatness", "left": 1, "of": 1}, "", "flatness to read"),
        ("plan", {}, "conforming", "nothing to do: confirm"),
        ("plan", {}, "scrap", "no plan keeps every limit: decide"),
        ("plan", {}, "", "make a plan"),
        (
            "machine",
            {"operation": "surface", "place": "", "planned": 3},
            "",
            "surface, then 2 more",
        ),
        (
            "machine",
            {"operation": "seat", "place": "2B", "planned": 1},
            "",
            "seat 2B, the last one",
        ),
        (
            "machine",
            {"quantity": "recession", "left": 2, "of": 4},
            "",
            "2 of 4 recession readings to take, after the work",
        ),
        ("machine", {}, "", "measure what was worked on"),
        ("assemble", {"left": 3, "of": 30}, "", "3 of 30 items to tick"),
        ("assemble", {}, "", "go through the assembly list"),
        ("prove", {"left": 1, "of": 26}, "", "1 of 26 tests to record"),
        ("prove", {"left": 0, "of": 26}, "", "prove it"),
        ("release", {}, "", "sign the release"),
    ],
)
def test_what_is_next_in_words(
    step: str, progress: dict[str, object], decision: str, said: str
) -> None:
    assert words(step=step, progress=progress, decision=decision) == said


def test_a_head_is_found_by_anything_written_about_it(sheet: str, owner: Person) -> None:
    ridge = trade.add_customer(name="Ridge Farms", by=owner)
    shop.take_in(owner, code=sheet, tag="F2-0001")
    heads.take_in_head(
        tag="F2-0002", sheet=sheet, kind="core", mark="red dot", customer_id=ridge.pk, by=owner
    )
    heads.send_back(tag="F2-0001", note="thin", by=owner)

    def tags(text: str) -> list[str]:
        return [found.head.tag for found in find_heads(text).heads]

    assert tags("f2-0002") == ["F2-0002"]
    assert tags("RED") == ["F2-0002"]
    assert tags("ridge") == ["F2-0002"]
    assert tags("red ridge") == ["F2-0002"]
    assert tags("red lode") == []
    assert tags("lode 7f") == ["F2-0001"]
    assert tags("fen") == ["F2-0002", "F2-0001"]
    assert tags("F2-0001") == ["F2-0001"]
    assert find_heads("lode").heads[0].outcome == "sent back"
    for nothing in ("", "   ", "%", "_", "\x00", "x" * 5000, "a b c d e f g h i j"):
        assert tags(nothing) == []
    assert find_heads("fen", most=1).cut


def test_the_bench_opens_where_reading_goes_on(head: Head, owner: Person, gauge: str) -> None:
    page = measure_page(head.tag, show=THOU)
    assert page.spot == Spot(quantity=Quantity.RECESSION, place="1A")
    assert (page.unit, page.sided, page.gauge) == ("in", True, "")
    assert [row.place for row in page.rows] == ["1A", "1B", "2A", "2B"]
    shop.kept(head.tag, "recession", "1A", "0.039 in", by=owner, gauge=gauge)
    page = measure_page(head.tag, show=Show(length="mm"), quantity="deck_thickness", place="T1")
    assert page.spot == Spot(quantity=Quantity.DECK_THICKNESS, place="T1")
    assert (page.unit, page.sided, page.gauge) == ("mm", False, "")
    assert [g.name for g in page.gauges] == [gauge]
    page = measure_page(head.tag, show=THOU)
    assert page.spot == Spot(quantity=Quantity.RECESSION, place="1B")
    assert page.gauge == gauge
    assert Quantity.SEAT_RUNOUT in {other.quantity for other in page.others}
    extra = measure_page(head.tag, show=THOU, quantity="seat_runout")
    assert [row.required for row in extra.rows] == [False] * 4
    assert extra.spot == Spot(quantity=Quantity.SEAT_RUNOUT, place="1A")


@pytest.mark.parametrize(
    ("quantity", "place"), [("colour", None), ("vacuum_hold", "1A"), ("recession", "9Z")]
)
def test_a_place_that_is_none_is_not_on_record(
    quantity: str, place: str | None, head: Head
) -> None:
    with pytest.raises(NotOnRecord):
        measure_page(head.tag, show=THOU, quantity=quantity, place=place)


def test_the_history_keeps_every_reading_and_deed(head: Head, owner: Person) -> None:
    old = shop.kept(head.tag, "recession", "1A", "0.049 in", by=owner)
    shop.kept(head.tag, "recession", "1A", "0.039 in", by=owner, replaces=old.reading.uuid)
    history = history_of(head.tag)
    assert [line.deed for line in history.trail] == [
        "reading corrected",
        "reading recorded",
        "taken in",
    ]
    assert history.trail[0].detail["instead_of"] == "0.049 in"
    assert [(taken.typed, taken.replaced) for taken in history.readings] == [
        ("0.049 in", True),
        ("0.039 in", False),
    ]
    times = [line.at for line in history.trail]
    assert all(newer >= older for newer, older in pairwise(times))
