"""Proving, releasing and printing through the pages."""

from urllib.parse import quote

import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions.assembly import tick
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.records.models import Head, Person, Plan, ProofTest, Reading, Release
from factories import shop

VALVES = ("1A", "1B", "2A", "2B")


@pytest.fixture
def assembled(head: Head, owner: Person) -> Head:
    shop.measure_all(head.tag, by=owner)
    made = make_plans(tag=head.tag, by=owner)
    choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=owner)
    tick(tag=head.tag, by=owner)
    return head


def signed_in(person: Person) -> Client:
    client = Client(HTTP_HOST="localhost")
    client.force_login(person)
    return client


def page(name: str, head: Head, *more: str) -> str:
    return reverse(name, args=[head.tag, *more])


def prove_all(client: Client, head: Head) -> None:
    client.post(page("prove-crack", head), {"method": "magnetic particle", "result": "clear"})
    client.post(page("prove-pressure", head), {"medium": "water", "start": "45", "held": "44.9"})
    for place in VALVES:
        client.post(page("prove-vacuum", head, place), {"held": "25", "dead_head": "27"})


def test_a_head_is_proved_and_released(assembled: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    prove_all(client, assembled)
    ready = client.get(page("release", assembled)).content.decode()
    client.post(page("release-sign", assembled))
    released = client.get(page("release", assembled)).content.decode()

    assert "Ready to leave" in ready
    assert Release.objects.get().head == assembled
    assert "Release record 1" in released
    assert Release.objects.get().digest[:4] in released


def test_the_gauge_of_the_day_goes_with_every_port(
    assembled: Head, machinist: Person, owner: Person
) -> None:
    gauge, client = shop.add_vacuum_gauge(owner), signed_in(machinist)
    day = {"dead_head": "27", "gauge": gauge}
    client.post(page("prove-vacuum", assembled, "1A"), day | {"held": "26"})
    water = {"medium": "water", "start": "45", "held": "44.9", "gauge": gauge}
    client.post(page("prove-pressure", assembled), water)
    text = client.get(page("prove", assembled)).content.decode()
    readings = Reading.objects.filter(head=assembled, gauge__name=gauge)

    assert set(readings.values_list("quantity", flat=True)) == {"vacuum_hold", "pressure_hold"}
    # 0.2 inHg of 3.386389 kPa each (NIST SP 811).
    assert readings.get(quantity="vacuum_hold").u == pytest.approx(0.2 * 3.386389)
    assert f'value="{gauge}" selected' in text
    assert text.count(f", {gauge}") == 2


def test_a_port_answers_itself_and_what_it_moved(assembled: Head, machinist: Person) -> None:
    answer = signed_in(machinist).post(
        page("prove-vacuum", assembled, "1A"),
        {"held": "25", "dead_head": "27"},
        headers={"HX-Request": "true"},
    )
    text = answer.content.decode()

    assert 'id="port-1A"' in text
    assert "data-onward" in text
    assert "holds: 25.0 inHg" in text
    assert 'id="prove-summary"' in text


def test_what_is_refused_stays_in_its_field(assembled: Head, machinist: Person) -> None:
    answer = signed_in(machinist).post(
        page("prove-vacuum", assembled, "1A"),
        {"held": "31", "dead_head": "27"},
        headers={"HX-Request": "true"},
    )
    text = answer.content.decode()

    assert answer.status_code == 422
    assert 'value="31"' in text
    assert "Read both again." in text
    assert not ProofTest.objects.exists()


def test_the_pressure_form_marks_its_field(assembled: Head, machinist: Person) -> None:
    answer = signed_in(machinist).post(
        page("prove-pressure", assembled),
        {"medium": "water", "start": "forty", "held": "39"},
        headers={"HX-Request": "true"},
    )
    text = answer.content.decode()

    assert answer.status_code == 422
    assert "is no number" in text
    assert 'value="forty"' in text


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        ({"start": "1e9", "held": "44"}, "is no pressure a head is tested with"),
        ({"start": "-5", "held": "44"}, "is no pressure a head is tested with"),
        ({"start": "40", "held": "45"}, "More is left than at the start"),
        ({"start": "45", "held": "44", "hold": "-5"}, "-5 is no time"),
        ({"start": "", "held": "44"}, "It is still empty"),
    ],
)
def test_figures_no_test_can_give_are_refused(
    assembled: Head, machinist: Person, figures: dict[str, str], sentence: str
) -> None:
    answer = signed_in(machinist).post(
        page("prove-pressure", assembled),
        {"medium": "water", **figures},
        headers={"HX-Request": "true"},
    )
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not ProofTest.objects.exists()


def test_a_port_held_for_no_time_is_refused(assembled: Head, machinist: Person) -> None:
    answer = signed_in(machinist).post(
        page("prove-vacuum", assembled, "1A"),
        {"held": "25", "dead_head": "27", "hold": "0"},
        headers={"HX-Request": "true"},
    )
    assert answer.status_code == 422
    assert "0 is no time" in answer.content.decode()


def test_the_energy_of_air_is_said_while_typing(assembled: Head, machinist: Person) -> None:
    answer = signed_in(machinist).get(
        page("prove-energy", assembled), {"medium": "air", "start": "40", "volume": "5"}
    )

    assert "stores about 1.5 kJ" in answer.content.decode()


@pytest.mark.parametrize("wrong", [{"volume": "-4"}, {"volume": "abc"}, {"volume": "0"}])
def test_the_energy_of_air_stays_said_beside_a_wrong_figure(
    assembled: Head, machinist: Person, wrong: dict[str, str]
) -> None:
    typed = {"medium": "air", "start": "40"} | wrong
    answer = signed_in(machinist).get(page("prove-energy", assembled), typed)

    assert "Air at 40.0 psi in 5 l stores about 1.5 kJ" in answer.content.decode()


def test_what_blocks_is_listed_with_the_way(head: Head, machinist: Person) -> None:
    text = signed_in(machinist).get(page("release", head)).content.decode()
    refused = signed_in(machinist).post(page("release-sign", head))

    assert "Recession of valve 1A is not measured." in text
    assert f"quantity=recession&amp;place={quote('1A')}" in text
    assert refused.status_code == 422
    assert not Release.objects.exists()


@pytest.mark.parametrize("name", ["tag", "traveller", "claim"])
def test_papers_come_as_pdf(assembled: Head, viewer: Person, name: str) -> None:
    answer = signed_in(viewer).get(page("paper", assembled, name))

    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_an_unreleased_head_has_no_record_to_print(assembled: Head, viewer: Person) -> None:
    client = signed_in(viewer)

    assert client.get(page("paper", assembled, "release")).status_code == 422
    assert client.get(page("paper", assembled, "poster")).status_code == 404


@pytest.mark.parametrize("name", ["prove", "release"])
def test_strangers_sign_in_and_viewers_only_look(
    assembled: Head, viewer: Person, name: str
) -> None:
    stranger = Client(HTTP_HOST="localhost").get(page(name, assembled))
    looking = signed_in(viewer).get(page(name, assembled))

    assert stranger.status_code == 302
    assert looking.status_code == 200
    assert "<button" not in looking.content.decode().split("<main")[1].split("</main>")[0]


def test_a_viewer_cannot_record_or_release(assembled: Head, viewer: Person) -> None:
    client = signed_in(viewer)

    assert client.post(page("release-sign", assembled)).status_code == 403
    assert (
        client.post(
            page("prove-vacuum", assembled, "1A"), {"held": "25", "dead_head": "27"}
        ).status_code
        == 403
    )
    assert not ProofTest.objects.exists()


def test_an_empty_field_is_answered_by_the_shop(assembled: Head, machinist: Person) -> None:
    """A browser's own check of a required field would stop a swap without a word."""
    text = signed_in(machinist).get(page("prove", assembled)).content.decode()
    forms = [tag.split(">", 1)[0] for tag in text.split("<form")[1:]]
    assert [form for form in forms if "hx-post" in form and "novalidate" not in form] == []
