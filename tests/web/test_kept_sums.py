"""A sum is kept with the head beside it: worked out again here, shown, worked again, taken back."""

import re
from html import unescape
from urllib.parse import parse_qs, urlencode, urlsplit
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions.heads import scrap
from castworthy.actions.people import change_units
from castworthy.records.kept_sums import kept_sums_of
from castworthy.records.models import Head, KeptSum, Person, Reading
from castworthy.units import Show
from castworthy.web.contexts.sums.all_sums import SUMS
from castworthy.web.contexts.sums.form import Sum
from castworthy.web.contexts.sums.keeping import again_address, worked_sum
from castworthy.web.contexts.sums.page import example, starting, sum_page
from castworthy.web.frame import STEPS
from factories.sums import seat_sunk

TEN_THOU = {"seat": "45", "top": "30", "throat": "60", "cut": "0.010"}
WIDER = "Sunk 10.0 thou, the seat is 52.8 thou wider."
"""30/45/60 and 0.010 in: plane geometry, 5.278 times as wide."""


@pytest.fixture
def client(machinist: Person) -> Client:
    """Somebody at the bench."""
    client = Client()
    client.force_login(machinist)
    return client


def look(client: Client, address: str) -> str:
    """The text of a page."""
    return unescape(client.get(address).content.decode())


def sum_address(name: str, **query: str) -> str:
    return f"{reverse('sum', args=[name])}?{urlencode(query)}"


def whole(shown: Sum, *, show: Show) -> dict[str, str]:
    """A sum's example as its form sends it, with every field."""
    return starting(shown, head=None, show=show) | example(shown, show=show)


def keep(client: Client, name: str, **sent: str):
    return client.post(reverse("keep-sum", args=[name]), {"uuid": str(uuid4()), **sent})


def test_the_action_is_there_where_an_answer_and_a_head_are(client: Client, head: Head) -> None:
    asked = {"head": head.tag, "place": "2B"}
    assert f"Keep with {head.tag}, 2B" in look(client, sum_address("seat", **asked, **TEN_THOU))
    assert "Keep with" not in look(client, sum_address("seat", **asked))
    assert "Keep with" not in look(client, sum_address("seat", **TEN_THOU))


def test_a_sum_is_kept_from_its_page(client: Client, head: Head) -> None:
    answer = keep(client, "seat", head=head.tag, place="2B", note="before the cut", **TEN_THOU)
    (facts,) = kept_sums_of(head)
    assert facts.worked.answer.headline == WIDER
    assert (facts.worked.name, facts.worked.place, facts.worked.units) == ("seat", "2B", "thou")
    assert (facts.note, facts.by) == ("before the cut", "Ana Reed")
    assert [(f.name, f.words) for f in facts.worked.typed][-1] == ("cut", "0.010 in")
    page = look(client, answer.url)
    assert f"Kept with <strong>{head.tag}, 2B</strong> by Ana Reed" in page
    assert "before the cut" in page
    assert "Keep with" not in page


def test_a_forged_answer_has_no_effect(client: Client, head: Head) -> None:
    forged = {"headline": "It is fine.", "answer": '{"headline": "It is fine."}', "tone": "inside"}
    keep(client, "seat", head=head.tag, place="2B", **TEN_THOU, **forged)
    row = KeptSum.objects.get()
    assert row.answer["headline"] == WIDER
    assert row.answer["rows"][0]["value"] == "52.8 thou"
    assert "It is fine" not in str(row.typed)
    assert "svg" not in row.answer


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"cut": ""}, "Nothing is kept. Still to type: How much."),
        ({"cut": "12 psi"}, "Nothing is kept. Look again: How much."),
    ],
)
def test_a_sum_without_an_answer_is_refused_and_nothing_is_lost(
    client: Client, head: Head, sent: dict[str, str], says: str
) -> None:
    typed = {"head": head.tag, "place": "2B", "note": "for Jon", **TEN_THOU, "top": "31", **sent}
    answer = keep(client, "seat", **typed)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422
    assert says in page
    assert 'name="top" value="31"' in page
    assert f'name="cut" value="{sent["cut"]}"' in page
    assert not KeptSum.objects.exists()


@pytest.mark.parametrize("tag", ["", "NONE-1"])
def test_without_a_head_nothing_is_kept(client: Client, head: Head, tag: str) -> None:
    answer = keep(client, "seat", head=tag, **TEN_THOU)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422
    assert "Nothing is kept." in page
    assert 'name="cut" value="0.010"' in page


def test_a_refused_deed_keeps_the_note_and_the_figures(client: Client, head: Head) -> None:
    answer = keep(client, "seat", head=head.tag, place="2B", note="x" * 201, **TEN_THOU)
    page = unescape(answer.content.decode())
    assert answer.status_code == 422
    assert "The note may have 200 characters" in page
    assert "x" * 201 in page
    assert 'name="cut" value="0.010"' in page


def test_a_text_no_database_holds_is_refused_in_words(client: Client, head: Head) -> None:
    springs = "a\x00 80 1.80 240 1.40\nb 86 1.80 246 1.40"
    answer = keep(
        client, "matching", head=head.tag, springs=springs, valves="1A 1.807 83\n1B 1.793 83"
    )
    assert answer.status_code == 422
    assert "Springs holds signs that cannot be shown" in answer.content.decode()


def test_a_head_that_left_says_so(client: Client, head: Head, machinist: Person) -> None:
    scrap(tag=head.tag, note="cracked through", by=machinist)
    page = look(client, sum_address("seat", head=head.tag, place="2B", **TEN_THOU))
    assert f"{head.tag} was scrapped; nothing more is kept with it." in page
    assert "Keep with" not in page
    answer = keep(client, "seat", head=head.tag, place="2B", **TEN_THOU)
    assert answer.status_code == 422
    assert "nothing more is recorded" in answer.content.decode()


def test_a_viewer_sees_and_may_not_keep(client: Client, head: Head, viewer: Person) -> None:
    keep(client, "seat", head=head.tag, place="2B", **TEN_THOU)
    other = Client()
    other.force_login(viewer)
    page = look(other, sum_address("seat", head=head.tag, place="2B", **TEN_THOU))
    assert "Kept with" in page
    assert "Take it back" not in page
    assert keep(other, "seat", head=head.tag, **TEN_THOU).status_code == 403
    back = reverse("take-back-sum", args=[KeptSum.objects.get().uuid])
    assert other.post(back, {"why": "no"}).status_code == 403


def test_keeping_wants_its_token(machinist: Person, head: Head) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(machinist)
    assert keep(strict, "seat", head=head.tag, **TEN_THOU).status_code == 403
    assert not KeptSum.objects.exists()


def test_the_same_form_sent_twice_keeps_once(client: Client, head: Head) -> None:
    sent = {"uuid": str(uuid4()), "head": head.tag, "place": "2B", **TEN_THOU}
    for _ in range(2):
        assert keep(client, "seat", **sent).status_code == 302
    assert KeptSum.objects.count() == 1


def test_earlier_ones_of_the_place_stand_below_newest_first(client: Client, head: Head) -> None:
    for cut in ("0.004", "0.006"):
        keep(client, "seat", head=head.tag, place="2B", **TEN_THOU | {"cut": cut})
    keep(client, "seat", head=head.tag, place="1A", **TEN_THOU | {"cut": "0.002"})
    page = look(client, sum_address("seat", head=head.tag, place="2B", **TEN_THOU))
    found = re.findall(r'past__value">Sunk ([\d.]+) thou', page)
    assert found == ["6.0", "4.0"]


def test_worked_again_the_form_holds_what_was_typed_then(client: Client, head: Head) -> None:
    keep(client, "seat", head=head.tag, place="2B", **TEN_THOU | {"top": "31", "cut": "7 thou"})
    led = client.get(reverse("kept-sum", args=[KeptSum.objects.get().uuid]))
    page = look(client, led.url)
    assert 'name="cut" value="7 thou"' in page
    assert 'name="top" value="31"' in page
    assert "Kept with" in page


def test_worked_again_by_another_reader_it_counts_in_its_own_units(
    client: Client, head: Head, machinist: Person
) -> None:
    keep(client, "seat", head=head.tag, place="2B", **TEN_THOU)
    change_units(show_length="mm", by=machinist)
    led = client.get(reverse("kept-sum", args=[KeptSum.objects.get().uuid]))
    page = look(client, led.url)
    assert WIDER in page
    assert "In inches, as it was typed then." in page
    assert "Kept with" in page
    assert "0.254 mm" in look(client, sum_address("seat", **TEN_THOU | {"cut": "0.254"}))


@pytest.mark.parametrize("shown", SUMS, ids=lambda each: each.name)
@pytest.mark.parametrize("length", ["thou", "mm"])
def test_every_sum_comes_back_as_it_was_kept(
    client: Client, head: Head, machinist: Person, shown: Sum, length: str
) -> None:
    change_units(show_length=length, by=machinist)
    typed = whole(shown, show=Show(length=length))
    answer = keep(client, shown.name, head=head.tag, **typed)
    assert answer.status_code == 302
    (facts,) = kept_sums_of(head)
    query = parse_qs(urlsplit(again_address(facts)).query, keep_blank_values=True)
    again = sum_page(
        shown,
        sent={name: texts[0] for name, texts in query.items()},
        head=None,
        show=Show(length=facts.worked.units),
        live=False,
    )
    assert worked_sum(again, place="", show=Show(length=length)) == facts.worked
    assert "Kept with" in look(client, answer.url)


def test_a_sum_of_a_cylinder_is_kept_at_it(client: Client, head: Head) -> None:
    typed = whole(next(s for s in SUMS if s.name == "ratio"), show=Show())
    keep(client, "ratio", head=head.tag, place="2B", **typed)
    (facts,) = kept_sums_of(head)
    assert facts.worked.place == "2"


def test_taken_back_it_stays_with_who_and_why(client: Client, head: Head) -> None:
    keep(client, "seat", head=head.tag, place="2B", **TEN_THOU)
    row = KeptSum.objects.get()
    answer = client.post(reverse("take-back-sum", args=[row.uuid]), {"why": "that was 2A"})
    page = look(client, answer.url)
    assert "taken back by Ana Reed" in page
    assert "that was 2A" in page
    assert f"Keep with {head.tag}, 2B" in page
    assert 'name="cut" value="0.010"' in page


def test_taken_back_without_a_reason_is_refused(client: Client, head: Head) -> None:
    keep(client, "seat", head=head.tag, place="2B", **TEN_THOU)
    back = reverse("take-back-sum", args=[KeptSum.objects.get().uuid])
    page = unescape(client.post(back, {"why": " "}, follow=True).content.decode())
    assert "The reason is empty" in page
    assert "Kept with" in page


def test_a_head_is_chosen_by_its_tag_and_what_was_typed_stays(client: Client, head: Head) -> None:
    page = look(client, sum_address("seat", **TEN_THOU | {"top": "31"}))
    assert f'<option value="{head.tag}">' in page
    chosen = re.search(r'id="choose-typed"[^>]*>(.*?)</span>', page, re.DOTALL)[1]
    sent = dict(re.findall(r'name="(\w+)" value="([^"]*)"', chosen))
    assert sent == {"top": "31", "cut": "0.010"}
    page = look(client, sum_address("seat", head=head.tag.lower(), **sent))
    assert f"Keep with {head.tag}" in page
    assert 'name="top" value="31"' in page


def test_an_unknown_tag_is_told_at_its_field_and_nothing_is_lost(
    client: Client, head: Head
) -> None:
    answer = client.get(sum_address("seat", head="F2-99", **TEN_THOU))
    page = unescape(answer.content.decode())
    assert answer.status_code == 404
    assert "There is no head 'F2-99' on record" in page
    assert 'name="head" list="tags-in-shop" value="F2-99"' in page
    assert WIDER in page


def test_a_live_answer_brings_the_action_and_what_was_typed(client: Client, head: Head) -> None:
    headers = {"HX-Request": "true"}
    alone = client.get(sum_address("seat", **TEN_THOU), headers=headers).content.decode()
    assert re.search(r'id="choose-typed" hidden hx-swap-oob="true">.*?value="0.010"', alone)
    beside = client.get(sum_address("seat", head=head.tag, **TEN_THOU), headers=headers)
    assert f"Keep with {head.tag}" in beside.content.decode()


def test_a_sum_that_is_no_longer_worked_here_still_stands(
    client: Client, head: Head, machinist: Person
) -> None:
    from dataclasses import replace

    from castworthy.actions.kept_sums import keep_sum

    old = replace(seat_sunk(), name="gone", title="A sum of old")
    row = keep_sum(tag=head.tag, uuid=uuid4(), worked=old, by=machinist)
    assert client.get(reverse("kept-sum", args=[row.uuid])).status_code == 404
    assert client.get(reverse("kept-sum", args=[uuid4()])).status_code == 404


def test_steps_of_sums_are_pages_of_a_head() -> None:
    pages = {name for name, _, _ in STEPS} | {"finish", "ring"}
    assert {step for each in SUMS for step in each.steps} <= pages
    assert all(each.steps for each in SUMS)


def test_the_index_offers_a_head(client: Client, head: Head) -> None:
    assert f'<option value="{head.tag}">' in look(client, reverse("sums"))
    beside = look(client, f"{reverse('sums')}?head={head.tag.lower()}")
    assert f"/sums/seat?head={head.tag}" in beside
    assert client.get(f"{reverse('sums')}?head=NONE").status_code == 404


def test_the_history_tells_kept_and_taken_back(client: Client, head: Head) -> None:
    keep(client, "seat", head=head.tag, place="2B", note="a note", **TEN_THOU)
    row = KeptSum.objects.get()
    client.post(reverse("take-back-sum", args=[row.uuid]), {"why": "that was 2A"})
    page = look(client, reverse("history", args=[head.tag]))
    assert "Kept a sum" in page
    assert f"Seat cut 2B. {WIDER} a note" in page
    assert "Took back a kept sum" in page
    assert re.search(r'past__row--replaced"><strong>Seat cut 2B</strong>', page)
    assert "taken back by Ana Reed" in page


# ---- a figure of a sum that is a reading ----


GUIDE = {"bores": "0.3148\n0.3145", "stems": "0.3120\n0.3121"}
"""Widest 0.3148 less thinnest 0.3120: 0.0028 in; tightest 0.3145 less 0.3121: 0.0024 in."""
LOADS = {
    "way": "loads",
    "load_1": "80",
    "height_1": "1.8",
    "load_2": "240",
    "height_2": "1.4",
    "installed": "1.75",
    "lift": "0.25",
}
"""A straight line through both: 400 lbf/in, so 100 lbf at 1.75 in and 200 lbf at 1.5 in."""


def to_measure(page: str) -> list[str]:
    """The figures a page offers to take in, as quantity and text."""
    found = re.findall(r"/measure\?quantity=(\w+)&place=2B&typed=([^\"]+)", page)
    return [f"{quantity} {typed}" for quantity, typed in found]


@pytest.mark.parametrize(
    ("name", "typed", "wanted"),
    [
        ("guide", GUIDE, ["guide_clearance 0.0028"]),
        ("guide", GUIDE | {"high": "0.0020"}, ["guide_clearance 0.0028"]),
        ("guide", GUIDE | {"low": "0.0026", "high": "0.0040"}, ["guide_clearance 0.0024"]),
        ("guide", GUIDE | {"stems": "0.3149"}, []),
        ("spring", LOADS, ["seat_load 100.0", "open_load 200.0"]),
        ("spring", LOADS | {"lift": ""}, ["seat_load 100.0"]),
        ("spring", LOADS | {"installed": ""}, []),
        ("spring", {**LOADS, "way": "rate", "rate": "400", "free": "2.0"}, []),
        ("seat", TEN_THOU, []),
    ],
)
def test_what_was_read_leads_to_measure(
    client: Client, head: Head, name: str, typed: dict[str, str], wanted: list[str]
) -> None:
    page = look(client, sum_address(name, head=head.tag, place="2B", **typed))
    assert to_measure(page) == wanted
    assert "typed=" not in look(client, sum_address(name, head=head.tag, **typed)).split("<main")[1]


def test_measure_holds_the_figure_and_stores_nothing(
    client: Client, head: Head, machinist: Person
) -> None:
    page = look(client, sum_address("guide", head=head.tag, place="2B", **GUIDE))
    address = re.search(r'href="([^"]*typed=[^"]*)"', page)[1]
    before = Reading.objects.count()
    bench = look(client, address)
    assert 'id="typed" name="typed" value="0.0028"' in bench
    assert "0.0028 comes from a sum. Enter takes it in as your reading." in bench
    assert 'name="quantity" value="guide_clearance"' in bench
    assert 'name="place" value="2B"' in bench
    assert Reading.objects.count() == before


def test_a_figure_too_long_is_cut_to_the_field(client: Client, head: Head) -> None:
    address = f"{reverse('measure', args=[head.tag])}?quantity=guide_clearance&typed={'9' * 90}"
    assert f'value="{"9" * 40}"' in look(client, address)


def test_a_sum_that_offers_a_reading_says_why() -> None:
    assert {each.name for each in SUMS if each.readings} == {"guide", "spring"}
    assert all(each.readings_say for each in SUMS if each.readings)
