"""The ring page: grooves, joints, wire and tolerances shown; six stands read, asked, refused.

Wire and groove are the trade's (common practice, no source); the arithmetic is by hand:
press 41 - 38 = 3 thou, stand 41 - 32.5 = 8.5 thou, worst case 0.2 + 0.5 either way.
"""

from dataclasses import replace
from io import BytesIO, StringIO
from uuid import uuid4

import ezdxf
import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from castworthy.actions.kept_sums import keep_sum
from castworthy.records.models import Head, Operation, OperationState, Person, Reading
from factories import shop
from factories.ring_sheets import LIMIT, RING, RINGED
from factories.sheet_texts import big_sheet_text
from factories.sums import seat_sunk

STANDS = {
    "twelve": "8.4",
    "three": "8.6",
    "six": "8.5",
    "nine": "8.3",
    "before": "8.4",
    "after": "8.5",
}
UUID = "0b8f7b54-3f0e-4c58-9a0a-2d1f8f5a9c01"


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def text_of(response) -> str:
    return response.content.decode()


def send(person: Person, head: Head, *, follow: bool = True, **changed: str):
    sent = {"uuid": UUID, "place": "1", "gauge": ""} | STANDS | changed
    return signed_in(person).post(reverse("ring", args=[head.tag]), sent, follow=follow)


@pytest.fixture
def ringed(owner: Person) -> Head:
    return shop.take_in(owner, code=shop.write_sheet(owner, text=RINGED), tag="R2-0001")


def test_the_page_says_what_the_sheet_comes_to(viewer: Person, ringed: Head) -> None:
    page = text_of(signed_in(viewer).get(reverse("ring", args=[ringed.tag])))
    assert "pressed 3.0 thou and stands 8.5 thou above the deck" in page
    assert "7.8 to 9.2 thou at worst, 8.0 to 9.0 thou by root-sum-square" in page
    assert "Of 100 000 rings drawn within the tolerances" in page
    assert "past what is allowed" in page
    assert page.count("cw-joint-ring") >= 2
    assert "where clamping is greatest" in page
    assert "In all 26.51 in, cuts included" in page
    assert "Judge and keep" not in page


def test_the_sums_of_a_ring_are_at_hand_and_what_was_kept_stands(
    owner: Person, viewer: Person, ringed: Head
) -> None:
    kept = replace(seat_sunk(place="1"), name="ring", title="Ring in its groove")
    keep_sum(tag=ringed.tag, uuid=UUID, worked=kept, note="tried on a scrap head", by=owner)
    page = text_of(signed_in(viewer).get(reverse("ring", args=[ringed.tag])))

    for name in ("ring", "lands", "clamp"):
        assert f"/sums/{name}?head={ringed.tag}" in page
    assert "tried on a scrap head" in page


def test_the_wire_is_pi_times_the_groove_and_a_little_more(viewer: Person, ringed: Head) -> None:
    """Pi times 4.2 in is 13.19 in, 0.5 mm for filing is 0.02 in."""
    page = text_of(signed_in(viewer).get(reverse("ring", args=[ringed.tag])))
    assert "2 of 13.21 in" in page
    assert "13.19 in" in page


def test_without_a_ring_on_the_sheet_the_way_is_shown(owner: Person, viewer: Person) -> None:
    code = shop.write_sheet(owner, text=RINGED.replace(RING, ""))
    head = shop.take_in(owner, code=code, tag="R2-0001")
    client = signed_in(viewer)
    page = text_of(client.get(reverse("ring", args=[head.tag])))
    assert "The sheet has no ring" in page
    assert client.get(reverse("groove-drawing", args=[head.tag])).status_code == 404
    assert client.get(reverse("paper", args=[head.tag, "groove"])).status_code == 422


def test_without_a_limit_nothing_is_judged(owner: Person) -> None:
    head = shop.take_in(
        owner, code=shop.write_sheet(owner, text=RINGED.replace(LIMIT, "")), tag="R2-0001"
    )
    page = text_of(send(owner, head))
    assert "the sheet sets no limit for it" in page
    assert "nothing is judged" in page


def test_six_stands_are_judged_and_the_next_cylinder_asked_for(
    machinist: Person, ringed: Head
) -> None:
    page = text_of(send(machinist, ringed))
    assert "The ring of cylinder 1 is inside all round" in page
    assert "12 o&#x27;clock 8.4" in page
    assert 'name="place" value="2"' in page
    assert Reading.objects.filter(head=ringed, quantity="ring_stand").count() == 1


def test_what_was_typed_stays_until_it_is_right(machinist: Person, ringed: Head) -> None:
    answer = send(machinist, ringed, six="eight")
    page = text_of(answer)
    assert answer.status_code == 422
    assert 'value="eight"' in page
    assert 'value="8.6"' in page
    assert page.count('aria-invalid="true"') == 1
    assert not Reading.objects.filter(head=ringed).exists()


def test_a_step_is_asked_about_and_kept(machinist: Person, ringed: Head) -> None:
    asked = send(machinist, ringed, before="8.0", after="9.2")
    assert asked.status_code == 422
    assert "steps 1.2 thou across its joint" in text_of(asked)
    assert "Keep it as read" in text_of(asked)
    kept = text_of(send(machinist, ringed, before="8.0", after="9.2", kept="yes"))
    assert "file the ends square" in kept
    later = text_of(signed_in(machinist).get(reverse("ring", args=[ringed.tag])))
    assert "Kept as read: The ring of cylinder 1 steps 1.2 thou across its joint" in later
    again = text_of(send(machinist, ringed, uuid=str(uuid4())))
    assert "Kept as read" not in again


def test_a_viewer_is_refused(viewer: Person, ringed: Head) -> None:
    answer = send(viewer, ringed)
    assert "look but not change" in text_of(answer)
    assert not Reading.objects.filter(head=ringed).exists()


def test_a_later_deck_cut_is_said(machinist: Person, ringed: Head) -> None:
    send(machinist, ringed)
    Operation.objects.create(
        head=ringed,
        position=1,
        kind="surface",
        planned_mm=0.1016,
        taken_mm=0.1016,
        parts=[],
        minutes=0.0,
        cost=0.0,
        state=OperationState.DONE,
        done_number=1,
    )
    page = text_of(signed_in(machinist).get(reverse("ring", args=[ringed.tag])))
    assert "The groove of cylinder 1 is now shallower by 4.0 thou" in page
    assert "measure again" in page


def test_the_bench_leads_here(machinist: Person, ringed: Head) -> None:
    address = reverse("measure", args=[ringed.tag])
    page = text_of(signed_in(machinist).get(address, {"quantity": "ring_stand"}))
    assert f"{reverse('ring', args=[ringed.tag])}?place=1#read" in page
    other = text_of(signed_in(machinist).get(address, {"quantity": "recession"}))
    assert "At four places" not in other


def test_the_drawing_opens_with_both_grooves_and_joints(viewer: Person, ringed: Head) -> None:
    answer = signed_in(viewer).get(reverse("groove-drawing", args=[ringed.tag]))
    assert answer.headers["Content-Disposition"].endswith('"R2-0001-groove.dxf"')
    drawing = ezdxf.read(StringIO(text_of(answer)))
    space = drawing.modelspace()
    assert len(space.query('LINE[layer=="RING JOINTS"]')) == 2
    radii = sorted(c.dxf.radius for c in space.query('CIRCLE[layer=="GROOVE EDGES"]'))
    assert radii == pytest.approx([2.081, 2.081, 2.119, 2.119])


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_the_groove_sheet_is_one_page_with_every_figure(
    viewer: Person, ringed: Head, size: str
) -> None:
    answer = signed_in(viewer).get(reverse("paper", args=[ringed.tag, "groove"]), {"size": size})
    pages = pypdf.PdfReader(BytesIO(answer.content)).pages
    words = " ".join(pages[0].extract_text().split())
    assert len(pages) == 1
    for part in ("3.5000", "8.5000", "4.1620", "4.2380", "13.21 in", "0.0325 in ± 0.5 thou"):
        assert part in words
    for part in ("depth cut", "before joint", "Chips are hot", "last word"):
        assert part in words


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_the_groove_sheet_of_six_cylinders_is_one_page_too(
    owner: Person, viewer: Person, size: str
) -> None:
    ring = RING.replace("4.2", "4.32") + LIMIT.replace("0.0095", "0.0088")
    six = big_sheet_text(heights_count=9) + ring
    head = shop.take_in(owner, code=shop.write_sheet(owner, text=six), tag="F66-1")
    answer = signed_in(viewer).get(reverse("paper", args=[head.tag, "groove"]), {"size": size})
    pages = pypdf.PdfReader(BytesIO(answer.content)).pages
    assert len(pages) == 1
    assert "fit one ring and measure it" in " ".join(pages[0].extract_text().split())
    assert "last word" in pages[0].extract_text()


def test_a_cylinder_the_sheet_does_not_have_is_not_found(viewer: Person, ringed: Head) -> None:
    answer = signed_in(viewer).get(f"{reverse('ring', args=[ringed.tag])}?place=99")
    assert answer.status_code == 404
    assert "has no cylinder" in answer.content.decode()
