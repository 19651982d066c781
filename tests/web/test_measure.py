"""The bench over HTTP: with scripts in parts, without them page by page."""

from urllib.parse import unquote
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.records.models import Head, Person, Reading
from factories import shop

PART = {"HX-Request": "true"}


@pytest.fixture
def client(machinist: Person, head: Head, gauge: str) -> Client:
    client = Client()
    client.force_login(machinist)
    return client


def entry(place: str, typed: str, **more: str) -> dict[str, str]:
    return {
        "uuid": str(uuid4()),
        "quantity": "recession",
        "place": place,
        "typed": typed,
        "unit": "in",
        "side": "below",
        "gauge": "DG-2",
    } | more


def record(client: Client, head: Head, **more: str):
    sent = entry(more.pop("place", "1A"), more.pop("typed", "0.0390"), **more)
    return client.post(reverse("record", args=[head.tag]), sent, headers=PART)


def page(client: Client, head: Head, **query: str) -> str:
    return client.get(reverse("measure", args=[head.tag]), query).content.decode()


def test_the_page_shows_places_in_walking_order_with_what_is_next(
    client: Client, head: Head
) -> None:
    text = page(client, head)
    assert [text.index(f'data-label="{place}') for place in ("1A", "1B", "2A", "2B")] == sorted(
        text.index(f'data-label="{place}') for place in ("1A", "1B", "2A", "2B")
    )
    assert 'data-place="1A"' in text.split('id="bench"', 1)[1].split(">", 1)[0]
    assert "allowed 0.0325 to 0.0465 in below the deck, aim 0.0390" in text
    assert "Depth, standard uncertainty 0.0001 in." in text
    assert "0 / 4" in text


def test_a_reading_answers_with_what_it_changed(client: Client, head: Head) -> None:
    answer = record(client, head, place="2B", typed="0.0493", map="phone")
    assert answer.status_code == 200
    assert answer["X-Reading"] == "stored"
    text = answer.content.decode()
    assert "2B is too deep by 2.8 thou." in text
    assert "off the deck would bring it inside" in text
    assert 'id="map-phone"' in text
    assert 'id="map-wide"' not in text
    assert text.count("<tr ") == 1
    assert "1 out" in text
    assert "1 of 7" in text
    kept = Reading.objects.get()
    assert (kept.typed, kept.place, kept.side, kept.gauge.name) == (
        "0.0493",
        "2B",
        "below",
        "DG-2",
    )


def test_a_resend_is_the_same_reading(client: Client, head: Head) -> None:
    sent = entry("1A", "0.0390")
    for _ in range(2):
        answer = client.post(reverse("record", args=[head.tag]), sent, headers=PART)
        assert answer["X-Reading"] == "stored"
    assert Reading.objects.count() == 1


def test_a_slip_is_asked_about_and_nothing_is_stored(client: Client, head: Head) -> None:
    answer = record(client, head, typed="0.427")
    assert answer["X-Reading"] == "asked"
    assert "is it 0.0427 in below the deck?" in unquote(answer["X-Sentence"])
    text = answer.content.decode()
    assert 'data-words="It was 0.0427"' in text
    assert 'data-typed="0.0427"' in text
    assert not Reading.objects.exists()
    assert record(client, head, typed="0.427", slip_kept="yes")["X-Reading"] == "stored"
    assert Reading.objects.get().slip_kept


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"typed": "12 psi"}, "psi"),
        ({"typed": "deep"}, "deep"),
        ({"typed": ""}, "empty"),
        ({"place": "9Z"}, "9Z"),
        ({"side": "sideways"}, "side"),
        ({"gauge": "XX"}, "XX"),
        ({"uuid": "no uuid"}, "identity"),
        ({"quantity": "temper"}, "temper"),
        ({"typed": "-0.01"}, "sign"),
    ],
)
def test_bad_input_is_one_sentence(
    client: Client, head: Head, changed: dict[str, str], says: str
) -> None:
    answer = record(client, head, **changed)
    assert answer.status_code == 422
    sentence = unquote(answer["X-Sentence"])
    assert says in sentence
    assert "\n" not in sentence
    assert not Reading.objects.exists()


def test_without_scripts_the_next_place_follows(client: Client, head: Head) -> None:
    answer = client.post(reverse("record", args=[head.tag]), entry("1A", "0.0390"))
    assert (
        answer["Location"] == f"{reverse('measure', args=[head.tag])}?quantity=recession&place=1B"
    )
    assert "1A is inside" in client.get(answer["Location"]).content.decode()


def test_without_scripts_a_refused_text_stays_in_the_field(client: Client, head: Head) -> None:
    answer = client.post(reverse("record", args=[head.tag]), entry("2A", "12 psi"))
    assert answer.status_code == 422
    text = answer.content.decode()
    field = text.split('id="typed"', 1)[1].split(">", 1)[0]
    assert 'value="12 psi"' in field
    assert 'aria-invalid="true"' in field
    assert 'name="place" value="2A"' in text


def test_without_scripts_a_slip_is_asked_about_on_the_page(client: Client, head: Head) -> None:
    answer = client.post(reverse("record", args=[head.tag]), entry("2A", "0.427"))
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Keep 0.427" in text
    assert 'value="0.427"' in text
    assert not Reading.objects.exists()


def test_a_correction_keeps_the_old_reading_in_sight(client: Client, head: Head) -> None:
    record(client, head, typed="0.0400")
    old = Reading.objects.get()
    record(client, head, typed="0.0390", replaces=str(old.uuid), why="misread")
    past = client.get(
        reverse("measure-history", args=[head.tag]), {"quantity": "recession", "place": "1A"}
    ).content.decode()
    assert "<s>0.0400 in below the deck</s>" in past
    assert "Why: misread" in past
    assert "0.0390 in below the deck" in past
    assert past.count("data-correct=") == 1


def test_repeats_are_averaged_and_counted(client: Client, head: Head) -> None:
    record(client, head, typed="0.0390")
    record(client, head, typed="0.0392")
    text = page(client, head, quantity="recession", place="1A")
    row = text.split('id="readings"', 1)[1].split('data-place="1A"', 1)[1]
    assert 'data-readings="2"' in row.split(">", 1)[0]
    assert "0.0391" in row.split("</tr>", 1)[0]


@pytest.mark.parametrize("typed", ["1e9", "-1e9", "5000 m"])
def test_what_no_head_can_measure_is_refused(client: Client, head: Head, typed: str) -> None:
    answer = record(client, head, typed=typed)
    assert answer.status_code == 422
    assert Reading.objects.count() == 0
    assert "more than a head can measure" in unquote(answer.headers["X-Sentence"])


def test_no_cut_is_offered_that_nobody_takes(client: Client, head: Head) -> None:
    near = record(client, head, typed="0.0480").content.decode()
    far = record(client, head, place="1B", typed="39", slip_kept="yes").content.decode()
    assert "would bring it inside" in near
    assert "too deep by" in far
    assert "would bring it inside" not in far


def test_the_map_names_its_unit_in_words(client: Client, head: Head) -> None:
    said = page(client, head, quantity="deck_thickness")
    assert "Deck thickness in inches. Tap a place to go there." in said


def test_a_finished_quantity_leads_on(client: Client, head: Head, machinist: Person) -> None:
    for place in ("1A", "1B", "2A"):
        shop.kept(head.tag, "recession", place, "0.039 in", by=machinist)
    answer = record(client, head, place="2B")
    assert "Next: Deck thickness" in answer.content.decode()


def test_when_everything_is_read_the_plan_is_next(
    client: Client, head: Head, machinist: Person
) -> None:
    shop.measure_all(head.tag, by=machinist)
    text = page(client, head)
    assert "7 of 7" in text
    assert "Everything is read: to the plan" in text


def test_the_bench_alone_is_answered_to_a_swap(client: Client, head: Head) -> None:
    address = reverse("measure", args=[head.tag])
    part = client.get(
        address, {"quantity": "finish_ra"}, headers={**PART, "HX-Target": "bench"}
    ).content.decode()
    assert part.startswith('<div id="bench"')
    assert "Finish Ra" in part
    assert "µin" in part


def test_an_unknown_quantity_or_place_is_not_here(client: Client, head: Head) -> None:
    address = reverse("measure", args=[head.tag])
    assert client.get(address, {"quantity": "temper"}).status_code == 404
    assert client.get(address, {"quantity": "recession", "place": "9Z"}).status_code == 404
    assert client.get(address, {"quantity": "vacuum_hold"}).status_code == 404


def test_millimetres_for_those_who_read_them(client: Client, head: Head, machinist: Person) -> None:
    machinist.show_length = "mm"
    machinist.save()
    record(client, head, typed="0.990", unit="mm")
    text = page(client, head, quantity="recession", place="1A")
    assert "0.990" in text
    assert "allowed 0.826 to 1.181 mm below the deck" in text


def test_a_viewer_gets_no_entry_panel(head: Head, viewer: Person) -> None:
    client = Client()
    client.force_login(viewer)
    text = page(client, head)
    assert 'id="entry"' not in text
    assert 'id="readings"' in text


def test_a_head_that_left_the_shop_is_read_only(
    client: Client, head: Head, machinist: Person
) -> None:
    from castworthy.actions import heads

    heads.scrap(tag=head.tag, note="cracked through", by=machinist)
    text = page(client, head)
    assert 'id="entry"' not in text
    assert "This head was scrapped" in text
    answer = record(client, head)
    assert answer.status_code == 422
    assert "scrapped" in unquote(answer["X-Sentence"])
