"""The finish page: traces in, verdict, cause, cure, charts and the finish sheet."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from castworthy.records.models import Head, Person, Trace
from factories.traces import cusps


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def text_of(response) -> str:
    return response.content.decode()


def trace_file(feed_mm: float = 0.19, name: str = "deck.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, cusps(feed_mm), content_type="text/csv")


@pytest.fixture
def address(head: Head) -> str:
    return reverse("finish", args=[head.tag])


@pytest.fixture
def traced(head: Head, machinist: Person, address: str) -> Trace:
    sent = {
        "files": [trace_file()],
        "face": "deck",
        "place": "between 1 and 2",
        "machine": "Mill 2",
        "feed": "0.0075",
        "nose": "0.8 mm",
    }
    answer = signed_in(machinist).post(address, sent)
    assert answer.status_code == 302, text_of(answer)
    return Trace.objects.get()


def test_empty_page_says_what_a_trace_is_for(viewer: Person, address: str) -> None:
    page = text_of(signed_in(viewer).get(address))
    assert "No trace yet" in page
    assert 'name="files"' not in page


def test_a_trace_is_judged_explained_and_placed(
    head: Head, viewer: Person, address: str, traced: Trace
) -> None:
    page = text_of(signed_in(viewer).get(address))
    assert "marks every 0.0075 in carry" in page
    assert "the machine was set to 0.0075" in page
    assert traced.x_mm == pytest.approx(6.0 * 25.4)
    assert 'data-place="between 1 and 2"' in page
    assert "Rvk" in page


def test_several_files_at_once(head: Head, machinist: Person, address: str) -> None:
    sent = {
        "files": [trace_file(0.18, "a.csv"), trace_file(0.19, "b.csv")],
        "face": "deck",
        "place": "",
    }
    page = text_of(signed_in(machinist).post(address, sent, follow=True))
    assert "2 traces taken in and judged." in page
    assert "decides of 2 traces" in page


def test_a_file_that_is_none_is_said_at_the_form(
    head: Head, machinist: Person, address: str
) -> None:
    sent = {
        "files": [SimpleUploadedFile("x.csv", b"1,2\n3,4\n")],
        "face": "deck",
        "place": "left end",
        "machine": "Mill 2",
    }
    answer = signed_in(machinist).post(address, sent)
    assert answer.status_code == 422
    assert "the columns have no names" in text_of(answer)
    assert 'value="Mill 2"' in text_of(answer)


@pytest.mark.parametrize("name", ["profile", "ratio", "spectrum"])
def test_charts_come_as_drawings(machinist: Person, traced: Trace, name: str) -> None:
    answer = signed_in(machinist).get(reverse("trace-chart", args=[traced.uuid, name]))
    chart = json.loads(text_of(answer))
    assert chart["$schema"].startswith("https://vega.github.io/schema/vega-lite/")
    assert {"ink", "blue"} <= {param["name"] for param in chart["params"]}


def test_the_spectrum_names_the_pitch(machinist: Person, traced: Trace) -> None:
    answer = signed_in(machinist).get(reverse("trace-chart", args=[traced.uuid, "spectrum"]))
    assert "marks every 0.0075 in" in text_of(answer)


def test_the_file_comes_back_byte_for_byte(machinist: Person, traced: Trace) -> None:
    answer = signed_in(machinist).get(reverse("trace-file", args=[traced.uuid]))
    assert b"".join(answer.streaming_content) == cusps(0.19)
    answer.close()


def test_another_insert_is_answered_in_part(machinist: Person, head: Head) -> None:
    answer = signed_in(machinist).get(
        reverse("finish-cure", args=[head.tag]),
        {"machine": "", "nose": "1.6 mm", "turning": "900"},
        headers={"HX-Request": "true"},
    )
    assert "a minute" in text_of(answer)
    assert "<html" not in text_of(answer)


@pytest.mark.parametrize("nose", ["wide", "-1", "1e9"])
def test_an_insert_that_is_none(machinist: Person, head: Head, nose: str) -> None:
    answer = signed_in(machinist).get(reverse("finish-cure", args=[head.tag]), {"nose": nose})
    assert answer.status_code == 422
    assert nose in text_of(answer)


def test_a_viewer_may_not_send(viewer: Person, address: str) -> None:
    answer = signed_in(viewer).post(address, {"files": [trace_file()], "face": "deck"})
    assert answer.status_code == 403


def test_the_finish_sheet_prints(machinist: Person, head: Head, traced: Trace) -> None:
    answer = signed_in(machinist).get(reverse("paper", args=[head.tag, "finish"]))
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_the_machine_step_says_the_feed(machinist: Person, head: Head) -> None:
    from castworthy.actions import plans
    from castworthy.records.models import Plan
    from factories import shop

    shop.measure_all(head.tag, by=machinist, other={("flatness", ""): "0.010 in"})
    made = plans.make_plans(tag=head.tag, by=machinist)
    plans.choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist)
    page = text_of(signed_in(machinist).get(reverse("machine", args=[head.tag])))
    assert "a turn with the" in page
    assert reverse("finish", args=[head.tag]) in page
