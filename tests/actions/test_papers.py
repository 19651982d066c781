"""Papers say what is on record."""

from collections.abc import Callable
from io import BytesIO

import pypdf
import pytest

from castworthy.actions import papers
from castworthy.actions.errors import DeedRefused
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.release import release_head
from castworthy.records.models import Head, Person, Plan, Release, Trail
from factories import shop

ADDRESS = "http://bench.example:8000/heads/F2-0001/"
SHALLOW = {("recession", "2B"): "0.0270 in"}


def text_of(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages)


def printed(deed: Callable[..., bytes], head: Head, by: Person, **more: str) -> str:
    return text_of(deed(tag=head.tag, address=ADDRESS, by=by, **more))


@pytest.fixture
def shallow(head: Head, owner: Person) -> Head:
    shop.measure_all(head.tag, by=owner, other=SHALLOW)
    return head


def test_a_tag_names_the_head_and_leaves_a_row(head: Head, viewer: Person) -> None:
    text = printed(papers.print_tag, head, viewer)

    assert head.tag in text
    assert "Fen 2, two cylinders, 4 valves" in text
    assert Trail.objects.filter(head=head, deed="tag printed", by=viewer).count() == 1


def test_a_traveller_lists_the_work_with_its_figures(shallow: Head, machinist: Person) -> None:
    made = make_plans(tag=shallow.tag, by=machinist)
    choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist)
    text = printed(papers.print_traveller, shallow, machinist)
    cut_mm = Plan.objects.get(batch=made.batch, objective="cost").result["valves"]["2B"][
        "seat_metal_mm"
    ]

    assert "Cut seats" in text
    assert f"2B {cut_mm / 0.0254:.1f} thou" in text
    assert "Recession, 1 place" in text


def test_a_release_record_shows_both_states_and_its_digest(head: Head, owner: Person) -> None:
    shop.ready_to_leave(head.tag, by=owner, other=SHALLOW)
    with pytest.raises(DeedRefused, match="not released yet"):
        printed(papers.print_release, head, owner)
    release_head(tag=head.tag, by=owner)
    text = printed(papers.print_release, head, owner)
    digest = Release.objects.get().digest

    assert "0.0270" in text
    assert "0.0390" in text
    assert "invented for the tests" in text
    assert "Vacuum, 4 ports" in text
    for start in range(0, 64, 4):
        assert digest[start : start + 4] in text


def test_a_claim_names_every_fault_as_received(shallow: Head, owner: Person) -> None:
    text = printed(papers.print_claim, shallow, owner)

    assert "One fault" in text
    assert "5.5 thou" in text
    assert "Lode Foundry" in text


@pytest.mark.parametrize(("size", "width"), [("a4", 595), ("us-letter", 612), ("", 612)])
def test_papers_come_in_the_size_asked_for(
    shallow: Head, owner: Person, size: str, width: int
) -> None:
    pdf = papers.print_claim(tag=shallow.tag, address=ADDRESS, by=owner, size=size)

    assert round(float(pypdf.PdfReader(BytesIO(pdf)).pages[0].mediabox.width)) == width
