"""Papers say what is on record."""

from collections.abc import Callable
from io import BytesIO
from uuid import uuid4

import pypdf
import pytest
from PIL import Image

from castworthy.actions import papers, photos
from castworthy.actions.errors import DeedRefused
from castworthy.actions.kept_sums import keep_sum
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.release import release_head
from castworthy.actions.setting.work_words import figures
from castworthy.actions.traces import TraceUpload, add_traces
from castworthy.calc.rework.results import OperationKind
from castworthy.records.lookups.machine import OperationFacts
from castworthy.records.models import Head, Person, Plan, Release, Trail
from castworthy.units import Show
from factories import shop
from factories.sums import seat_sunk
from factories.traces import cusps

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
    keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=owner)
    release_head(tag=head.tag, by=owner)
    text = printed(papers.print_release, head, owner)
    digest = Release.objects.get().digest

    assert "0.0270" in text
    assert "0.0390" in text
    assert "invented for the tests" in text
    assert "Vacuum, 4 ports" in text
    assert "Bench sums" in text
    assert "Seat and contact 2B Sunk 10.0 thou, the seat is 52.8 thou wider." in text
    for start in range(0, 64, 4):
        assert digest[start : start + 4] in text


def test_a_claim_names_every_fault_as_received(shallow: Head, owner: Person) -> None:
    text = printed(papers.print_claim, shallow, owner)

    assert "One fault" in text
    assert "5.5 thou" in text
    assert "Lode Foundry" in text


def test_a_claim_without_a_fault_asks_for_nothing(head: Head, owner: Person) -> None:
    shop.measure_all(head.tag, by=owner)
    text = printed(papers.print_claim, head, owner)

    assert "nothing measured is outside its limits" in text
    assert "Replace it or credit it" not in text
    assert "What it costs" not in text


def test_a_head_that_needed_no_work_is_not_called_reconditioned(head: Head, owner: Person) -> None:
    shop.ready_to_leave(head.tag, by=owner)
    release_head(tag=head.tag, by=owner)
    text = printed(papers.print_release, head, owner)

    assert "Checked, no work needed" in text
    assert "Bench sums" not in text
    assert "Reconditioned" not in text


def test_the_number_of_a_cylinder_does_not_run_into_its_figure() -> None:
    washer = OperationFacts(
        id=1,
        kind=OperationKind.WASHER,
        place="5",
        planned_mm=0.254,
        parts=(),
        minutes=5.0,
        cost=0.0,
        done_number=None,
        typed="",
        taken_mm=None,
        state="planned",
        why="",
        note="",
        by="",
        at=None,
    )
    assert figures([washer], show=Show(length="thou")) == ("cylinder 5: 0.010 in",)


@pytest.mark.parametrize(("size", "width"), [("a4", 595), ("us-letter", 612), ("", 612)])
def test_papers_come_in_the_size_asked_for(
    shallow: Head, owner: Person, size: str, width: int
) -> None:
    pdf = papers.print_claim(tag=shallow.tag, address=ADDRESS, by=owner, size=size)

    assert round(float(pypdf.PdfReader(BytesIO(pdf)).pages[0].mediabox.width)) == width


def test_a_claim_shows_what_made_a_rough_deck_and_the_photo(head: Head, owner: Person) -> None:
    upload = TraceUpload(name="deck.csv", content=cusps(0.26))
    add_traces(tag=head.tag, files=[upload], by=owner)
    reading = head.readings.get(quantity="finish_ra")
    picture = BytesIO()
    Image.new("RGB", (60, 40), "grey").save(picture, format="PNG")
    picture.seek(0)
    photos.add_photo(
        tag=head.tag, upload=picture, reading=reading.uuid, caption="Waves at web 1", by=owner
    )
    text = printed(papers.print_claim, head, owner)
    assert "marks every 0.0102 in" in text
    assert "Waves at web 1" in text
