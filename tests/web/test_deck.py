"""The deck page: the height field, the trial cut, scan, straightedge and feeler, the deck sheet."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from castworthy.calc.quantity import Quantity
from castworthy.records.models import Head, Person
from castworthy.records.standing import standing_of
from factories import shop
from factories.sheet_texts import big_sheet_text

SCAN = b"x_mm,y_mm,z_mm\n" + b"\n".join(
    b"%d,%d,%.4f" % (x, y, 0.02 if (x, y) == (150, 90) else 0.0)
    for x in range(0, 301, 30)
    for y in range(0, 171, 30)
)


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def text_of(response) -> str:
    return response.content.decode()


@pytest.fixture
def bowed(owner: Person, machinist: Person) -> Head:
    """A head whose grid is read: the middle row 2 thou low."""
    code = shop.write_sheet(owner, text=big_sheet_text(cylinders_count=3, heights_count=9))
    head = shop.take_in(owner, code=code)
    sheet = standing_of(head.tag).sheet
    for place in sheet.sites_of(Quantity.HEIGHT):
        _, y_mm = sheet.spot_mm(Quantity.HEIGHT, place=place)
        low = "-2 thou" if abs(y_mm - 4.5 * 25.4) < 1.0 else "0 thou"
        shop.kept(head.tag, "height", place, low, by=machinist)
    return head


def test_before_the_heights_are_read_the_way_is_shown(owner: Person, viewer: Person) -> None:
    code = shop.write_sheet(owner, text=big_sheet_text(cylinders_count=3, heights_count=9))
    head = shop.take_in(owner, code=code)
    page = text_of(signed_in(viewer).get(reverse("deck", args=[head.tag])))
    assert "0 of 9 heights are read" in page
    assert "cw-route" in page


def test_a_sheet_without_a_grid_says_what_else_there_is(viewer: Person, head: Head) -> None:
    page = text_of(signed_in(viewer).get(reverse("deck", args=[head.tag])))
    assert "names no places for deck heights" in page


def test_the_field_the_figures_and_the_cut(viewer: Person, bowed: Head) -> None:
    page = text_of(signed_in(viewer).get(reverse("deck", args=[bowed.tag])))
    assert "cw-field" in page
    assert "cleans the whole face" in page
    assert "2.0 thou over the highest point" in page
    assert "follows from the heights" in page


@pytest.mark.parametrize(
    ("depth", "says"),
    [("1.0", "leaves 3 of 9 points uncut"), ("2.0", "cleans the whole face")],
)
def test_another_depth(viewer: Person, bowed: Head, depth: str, says: str) -> None:
    answer = signed_in(viewer).get(reverse("deck-try", args=[bowed.tag]), {"depth": depth})
    assert says in text_of(answer)
    assert ("cw-uncut" in text_of(answer)) == (depth == "1.0")


@pytest.mark.parametrize("depth", ["deep", "-1", "9999", ""])
def test_a_depth_that_is_none(viewer: Person, bowed: Head, depth: str) -> None:
    answer = signed_in(viewer).get(reverse("deck-try", args=[bowed.tag]), {"depth": depth})
    assert answer.status_code == 422
    assert 'class="error"' in text_of(answer)


@pytest.mark.parametrize("name", ["along", "across"])
def test_sections_come_as_drawings(viewer: Person, bowed: Head, name: str) -> None:
    answer = signed_in(viewer).get(reverse("deck-section", args=[bowed.tag, name]))
    assert "vega-lite" in json.loads(text_of(answer))["$schema"]


def test_a_scan_is_taken_in(machinist: Person, head: Head) -> None:
    sent = {"scan": SimpleUploadedFile("deck.csv", SCAN)}
    address = reverse("deck-scan", args=[head.tag])
    page = text_of(signed_in(machinist).post(address, sent, follow=True))
    assert "The scan is taken in" in page
    assert "deck.csv, 66 points" in page


def test_a_scan_that_is_none(machinist: Person, head: Head) -> None:
    sent = {"scan": SimpleUploadedFile("deck.csv", b"1,2,3\n")}
    answer = signed_in(machinist).post(reverse("deck-scan", args=[head.tag]), sent)
    assert answer.status_code == 422
    assert "the columns have no names" in text_of(answer)


def test_feeler_gaps_are_kept(machinist: Person, head: Head) -> None:
    sent = {"smallest": "1.5", "front-goes": "2.5", "front-stops": "3.5"}
    address = reverse("deck-feeler", args=[head.tag])
    page = text_of(signed_in(machinist).post(address, sent, follow=True))
    assert "cannot settle" in page


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"smallest": "1.5"}, "Enter the leaf that goes"),
        ({"smallest": "1.5", "front-goes": "two"}, "two"),
        ({"smallest": "1.5", "front-goes": "3", "front-stops": "2"}, "a leaf of 3 goes"),
    ],
)
def test_gaps_that_are_none_keep_what_was_typed(
    machinist: Person, head: Head, sent: dict[str, str], says: str
) -> None:
    answer = signed_in(machinist).post(reverse("deck-feeler", args=[head.tag]), sent)
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert 'value="1.5"' in text_of(answer)


def test_the_deck_sheet_prints(machinist: Person, bowed: Head) -> None:
    answer = signed_in(machinist).get(reverse("paper", args=[bowed.tag, "deck"]))
    assert answer.content.startswith(b"%PDF")


def test_without_heights_there_is_no_deck_sheet(machinist: Person, head: Head) -> None:
    answer = signed_in(machinist).get(reverse("paper", args=[head.tag, "deck"]))
    assert answer.status_code == 422
    assert "not all read yet" in text_of(answer)
