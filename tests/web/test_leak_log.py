"""A port's vacuum log through its page: worked out while typed, kept, nothing typed lost."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from castworthy.actions.assembly import tick
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.proof import record_pressure
from castworthy.records.models import Head, Person, Plan, ProofTest
from factories import shop

GOOD = "0 26.0\n5 26.0\n10 25.9\n15 25.9\n20 25.9\n30 25.8"
PART = {"HX-Request": "true"}


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


def page(head: Head, place: str = "1A", name: str = "leak-log") -> str:
    return reverse(name, args=[head.tag, place])


def typed(**other: object) -> dict[str, object]:
    return {"readings": GOOD, "volume": "250", "dead_head": "27", "hold": "30"} | other


def test_every_port_leads_to_its_log(assembled: Head, machinist: Person) -> None:
    text = signed_in(machinist).get(reverse("prove", args=[assembled.tag])).content.decode()
    for place in ("1A", "1B", "2A", "2B"):
        assert f'href="{page(assembled, place)}"' in text
    assert "shows nearly the pump&#x27;s full vacuum, and no leak-down" in text


def test_the_answer_comes_while_typing(assembled: Head, machinist: Person) -> None:
    answer = signed_in(machinist).post(page(assembled, name="leak-log-try"), typed(), headers=PART)
    text = answer.content.decode()

    assert "The port seals" in text
    assert "of the pump&#x27;s 27.0 inHg today" in text
    assert 'class="cw-decay"' in text
    assert 'class="cw-fit"' in text
    assert not ProofTest.objects.exists()


def test_without_a_volume_the_verdict_stands_and_no_leak_is_said(
    assembled: Head, machinist: Person
) -> None:
    text = (
        signed_in(machinist)
        .post(page(assembled, name="leak-log-try"), typed(volume=""), headers=PART)
        .content.decode()
    )
    assert "The port seals" in text
    assert "std cm³/min" not in text
    assert "Type the volume" in text


def test_two_readings_are_drawn_and_more_are_asked(assembled: Head, machinist: Person) -> None:
    text = (
        signed_in(machinist)
        .post(page(assembled, name="leak-log-try"), typed(readings="0 26\n5 25.9"), headers=PART)
        .content.decode()
    )
    assert text.count("cw-reading") >= 2
    assert "2 of 3 readings" in text


@pytest.mark.parametrize(
    ("readings", "sentence"),
    [
        ("0 26\n5 words\n9 25", "line 2: &#x27;words&#x27; is no number"),
        ("0 26\n5 25\n4 24", "the time must grow from line to line"),
        ("0 33\n5 32\n9 31", "deeper than the atmosphere"),
        ("t_s,p_kpa\n0,140\n5,141\n9,142", "stays below the atmosphere"),
    ],
)
def test_what_is_wrong_is_one_sentence_beside_the_chart(
    assembled: Head, machinist: Person, readings: str, sentence: str
) -> None:
    client = signed_in(machinist)
    live = client.post(page(assembled, name="leak-log-try"), typed(readings=readings), headers=PART)
    kept = client.post(page(assembled), typed(readings=readings), headers=PART)
    whole = client.post(page(assembled), typed(readings=readings))

    assert live["HX-Retarget"] == kept["HX-Retarget"] == "#leak-said"
    assert sentence in live.content.decode()
    assert kept.status_code == whole.status_code == 422
    assert sentence in whole.content.decode()
    assert readings.splitlines()[1] in whole.content.decode()
    assert 'value="250"' in whole.content.decode()
    assert not ProofTest.objects.exists()


@pytest.mark.parametrize("field", ["volume", "dead_head", "temperature"])
def test_a_sentence_is_tied_to_its_field(assembled: Head, machinist: Person, field: str) -> None:
    client = signed_in(machinist)
    whole = client.post(page(assembled), typed(**{field: "abc"})).content.decode()
    live = client.post(page(assembled), typed(**{field: "abc"}), headers=PART).content.decode()

    tag = re.search(rf'<input[^>]*name="{field}"[^>]*>', whole)
    assert tag is not None
    assert 'aria-invalid="true"' in tag[0]
    assert re.search(r'aria-describedby="[^"]*leak-said"', tag[0])
    assert f'data-field="{field}"' in live


def test_a_kept_log_is_the_test_of_its_port(assembled: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    answer = client.post(page(assembled), typed(), headers=PART)
    log = client.get(page(assembled)).content.decode()
    prove = client.get(reverse("prove", args=[assembled.tag])).content.decode()
    other = client.get(page(assembled, "1B")).content.decode()

    assert answer["HX-Redirect"] == page(assembled)
    assert ProofTest.objects.get().passed
    assert "1A is kept: The port seals" in log
    assert "Kept as the test of this port: passed." in log
    assert "Log 1B next" in log
    assert "holds: 25.8 inHg" in prove
    assert "logged: " in prove
    assert "Log 3 ports more" in prove
    assert 'value="250"' in other
    assert 'value="27"' in other


def test_a_kept_log_fills_the_sum(assembled: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    client.post(page(assembled), typed(), headers=PART)
    text = client.get(f"/sums/leak?head={assembled.tag}&place=1A").content.decode()

    assert "0 26.00\n5 26.00\n10 25.90" in text
    assert 'name="volume" value="250"' in text
    assert 'name="pump" value="27"' in text
    assert "The port seals" in text


def test_a_recorded_pressure_test_fills_the_sum(assembled: Head, machinist: Person) -> None:
    # Gay-Lussac's law, absolute, by hand: (50.696 * 299.817 / 283.150 - 14.696) / 40: 97.46 %.
    record_pressure(
        tag=assembled.tag,
        medium="air",
        start="40 psi",
        held="36 psi",
        hold="600",
        volume="5",
        start_temperature="80 °F",
        end_temperature="50 °F",
        by=machinist,
    )
    text = signed_in(machinist).get(f"/sums/pressure?head={assembled.tag}").content.decode()
    for name, value in (("start", "40"), ("held", "36"), ("hold", "600"), ("start_at", "80")):
        assert f'name="{name}" value="{value}"' in text
    assert "97.5 %" in text


def test_the_history_tells_a_log_in_one_sentence(assembled: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    client.post(page(assembled), typed(), headers=PART)
    history = client.get(reverse("history", args=[assembled.tag])).content.decode()
    row = history.partition("Recorded a vacuum test")[2].partition("</li>")[0]

    assert "The port seals" in row
    assert "std cm³/min" not in row


def test_a_file_fills_the_lines(assembled: Head, machinist: Person) -> None:
    content = "t_s,vacuum_inHg\n" + GOOD.replace(" ", ",")
    file = SimpleUploadedFile("port 1A.csv", content.encode())
    client = signed_in(machinist)
    live = client.post(
        page(assembled, name="leak-log-try"), typed(readings="", file=file), headers=PART
    ).content.decode()

    assert "The port seals" in live
    assert 'id="leak-lines" hx-swap-oob="true"' in live
    assert "30,25.8</textarea>" in live
    client.post(page(assembled), typed(readings=content))
    assert ProofTest.objects.get().passed


@pytest.mark.parametrize(
    ("content", "readings", "sentence"),
    [
        (b"%PDF-1.7 nothing", "", "a log is a CSV file"),
        (b"0,26\n5,25", "", "the columns have no names"),
        (b"t_s,vacuum_inHg\n0,26", GOOD, "Readings are typed already"),
    ],
)
def test_a_file_that_is_no_log_loses_nothing(
    assembled: Head, machinist: Person, content: bytes, readings: str, sentence: str
) -> None:
    file = SimpleUploadedFile("what.csv", content)
    answer = signed_in(machinist).post(
        page(assembled, name="leak-log-try"), typed(readings=readings, file=file), headers=PART
    )
    text = answer.content.decode()
    assert sentence in text
    assert "leak-lines" not in text


def test_viewers_look_and_strangers_sign_in(
    assembled: Head, machinist: Person, viewer: Person
) -> None:
    signed_in(machinist).post(page(assembled), typed())
    looking = signed_in(viewer)
    text = looking.get(page(assembled)).content.decode()

    assert "Kept as the test of this port" in text
    assert "<button" not in text.split("<main")[1].split("</main>")[0]
    assert looking.post(page(assembled), typed()).status_code == 403
    assert looking.post(page(assembled, name="leak-log-try"), typed()).status_code == 403
    assert Client(HTTP_HOST="localhost").get(page(assembled)).status_code == 302


def test_there_is_no_log_of_no_port(assembled: Head, machinist: Person) -> None:
    assert signed_in(machinist).get(page(assembled, "9Z")).status_code == 404


def test_cracks_stand_on_the_map_and_in_the_history(assembled: Head, machinist: Person) -> None:
    client = signed_in(machinist)
    told = {"method": "dye penetrant", "result": "crack"}
    rows = {"place": ["2B exhaust seat", "3.0, 5.0"], "found": ["14 mm long", "pores"]}
    card = client.post(
        reverse("prove-crack", args=[assembled.tag]), told | rows, headers=PART
    ).content.decode()
    history = client.get(reverse("history", args=[assembled.tag])).content.decode()

    for text in (card, history):
        assert "crack 1. 2B exhaust seat: 14 mm long" in text
        assert "3.0, 5.0 in, near 1A intake seat: pores" in text
        assert text.count("cw-mark") == 2
    assert "Failed." in card


def test_a_refused_crack_keeps_its_rows(assembled: Head, machinist: Person) -> None:
    rows = {"place": ["2B", "99, 99"], "found": ["14 mm long", "pores"]}
    answer = signed_in(machinist).post(
        reverse("prove-crack", args=[assembled.tag]),
        {"method": "dye penetrant", "result": "crack"} | rows,
        headers=PART,
    )
    text = answer.content.decode()

    assert answer.status_code == 422
    assert "99, 99 in lies off the deck" in text
    for typed_text in ("2B", "14 mm long", "99, 99", "pores"):
        assert f'value="{typed_text}"' in text
    assert not ProofTest.objects.exists()


def test_what_only_scripts_do_stays_hidden_until_they_run(
    assembled: Head, machinist: Person
) -> None:
    text = signed_in(machinist).get(page(assembled)).content.decode()
    for name in ("data-tap", "data-tap-over"):
        tag = re.search(rf"<(?:form|button)[^>]* {name}[ >][^>]*", text)
        assert tag is not None
        assert " hidden" in tag[0]
