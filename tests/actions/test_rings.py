"""Ring readings: what is kept, what decides, what is asked and what is refused.

The stands are the trade's (8 to 9 thou, common practice, no source), the arithmetic is by hand.
"""

from dataclasses import replace
from uuid import uuid4

import pytest

from castworthy.actions.errors import DeedRefused
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.rings import RingAsked, RingRecorded, RingTyped, record_ring
from castworthy.actions.work import sign_operation
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import Objective, OperationKind
from castworthy.calc.rework.results import Plan as CalcPlan
from castworthy.records.lookups.ring import ring_page
from castworthy.records.models import Head, Operation, OperationState, Person, Plan, Reading, Trail
from castworthy.records.ring_words import cut_sentences
from castworthy.records.standing import standing_of
from castworthy.units import Show
from factories import shop
from factories.ring_sheets import LIMIT, RING, RINGED

GOOD = RingTyped(twelve="8.4", three="8.6", six="8.5", nine="8.3", before="8.4", after="8.5")
THOU_MM = 0.0254


@pytest.fixture
def ringed(owner: Person) -> Head:
    return shop.take_in(owner, code=shop.write_sheet(owner, text=RINGED), tag="R2-0001")


def record(head: Head, by: Person, typed: RingTyped = GOOD, **more) -> RingRecorded | RingAsked:
    given = {"cylinder": "1", "uuid": uuid4()} | more
    return record_ring(tag=head.tag, typed=typed, by=by, **given)


def surfaced(head: Head, *, number: int, taken_mm: float, kind: str = "surface", place: str = ""):
    Operation.objects.create(
        head=head,
        position=number,
        kind=kind,
        place=place,
        planned_mm=taken_mm,
        taken_mm=taken_mm,
        parts=[],
        minutes=0.0,
        cost=0.0,
        state=OperationState.DONE,
        done_number=number,
    )


def test_the_six_are_one_reading_that_stands_alone(ringed: Head, machinist: Person) -> None:
    kept = record(ringed, machinist)
    row = Reading.objects.get(head=ringed)
    spot = standing_of(ringed.tag).by_spot[Quantity.RING_STAND, "1"]

    assert isinstance(kept, RingRecorded)
    assert kept.verdict == "inside"
    assert "inside all round" in kept.sentences[0]
    assert (row.quantity, row.place, row.alone) == ("ring_stand", "1", True)
    assert row.why == (
        "12 o'clock 8.4, 3 o'clock 8.6, 6 o'clock 8.5, 9 o'clock 8.3, before the joint 8.4, "
        "after the joint 8.5 thou"
    )
    assert spot.verdict == "inside"
    assert Trail.objects.filter(head=ringed, deed="ring recorded").count() == 1


@pytest.mark.parametrize(
    ("typed", "decides"),
    [
        (GOOD, 8.3),
        (replace(GOOD, three="9.1"), 9.1),
        (replace(GOOD, six="7.9"), 7.9),
        (replace(GOOD, twelve="9.8", six="7.4"), 9.8),
    ],
    ids=["lowest", "nearest the top", "nearest the bottom", "farthest past"],
)
def test_the_stand_nearest_a_limit_decides(
    ringed: Head, machinist: Person, typed: RingTyped, decides: float
) -> None:
    """Limits 7.5 and 9.5 thou: 8.3 has 0.8 of room where 8.6 has 0.9; 9.8 is 0.3 past."""
    record(ringed, machinist, typed, kept=True)
    assert Reading.objects.get(head=ringed).value == pytest.approx(decides * THOU_MM)


def test_without_a_limit_the_lowest_is_kept(owner: Person) -> None:
    text = RINGED.replace(LIMIT, "")
    head = shop.take_in(owner, code=shop.write_sheet(owner, text=text), tag="R2-0001")
    kept = record(head, owner)
    assert isinstance(kept, RingRecorded)
    assert kept.verdict == ""
    assert "stands 8.3 to 8.6 thou" in kept.sentences[0]
    assert Reading.objects.get(head=head).value == pytest.approx(8.3 * THOU_MM)


def test_a_later_reading_takes_the_place_of_the_first(ringed: Head, machinist: Person) -> None:
    record(ringed, machinist, replace(GOOD, six="7.0"), kept=True)
    record(ringed, machinist)
    spot = standing_of(ringed.tag).by_spot[Quantity.RING_STAND, "1"]
    assert spot.value == pytest.approx(8.3 * THOU_MM)
    assert len(spot.history) == 2


def test_the_gauge_gives_the_uncertainty(ringed: Head, owner: Person) -> None:
    gauge = shop.add_depth_gauge(owner)
    record(ringed, owner, gauge=gauge)
    row = Reading.objects.get(head=ringed)
    assert row.u == pytest.approx(0.0001 * 25.4)
    assert row.gauge.name == gauge


def test_an_echo_stores_nothing_more(ringed: Head, machinist: Person) -> None:
    identity = uuid4()
    record(ringed, machinist, uuid=identity)
    again = record(ringed, machinist, uuid=identity)
    assert isinstance(again, RingRecorded)
    assert again.replayed
    assert Reading.objects.filter(head=ringed).count() == 1
    with pytest.raises(DeedRefused, match="belongs to another reading"):
        record(ringed, machinist, uuid=identity, cylinder="2")


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (replace(GOOD, before="8.0", after="9.2"), "steps 1.2 thou across its joint"),
        (replace(GOOD, six="85"), "85"),
        (replace(GOOD, six="-8.6"), "8.6 thou below the deck at 6 o'clock"),
    ],
    ids=["step", "decimal point", "sign"],
)
def test_what_looks_wrong_is_asked_and_kept_on_demand(
    ringed: Head, machinist: Person, typed: RingTyped, says: str
) -> None:
    asked = record(ringed, machinist, typed)
    assert isinstance(asked, RingAsked)
    assert says in " ".join(asked.sentences)
    assert not Reading.objects.filter(head=ringed).exists()

    kept = record(ringed, machinist, typed, kept=True)
    assert isinstance(kept, RingRecorded)
    assert kept.verdict == "outside"
    assert Reading.objects.get(head=ringed).slip_kept != ""
    assert standing_of(ringed.tag).slips[0].question


@pytest.mark.parametrize(
    ("typed", "more", "field"),
    [
        (replace(GOOD, nine=" "), {}, "nine"),
        (replace(GOOD, after="eight"), {}, "after"),
        (replace(GOOD, three="8.4 psi"), {}, "three"),
        (GOOD, {"cylinder": "7"}, "place"),
        (GOOD, {"gauge": "none such"}, "gauge"),
    ],
)
def test_what_is_refused_names_its_field(
    ringed: Head, machinist: Person, typed: RingTyped, more: dict[str, str], field: str
) -> None:
    with pytest.raises(DeedRefused) as refused:
        record(ringed, machinist, typed, **more)
    assert refused.value.field == field
    assert not Reading.objects.filter(head=ringed).exists()


def test_a_viewer_may_not(ringed: Head, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="look but not change"):
        record(ringed, viewer)


class TestDeckCutSince:
    """Groove 32.5 thou deep, deck cut 4.0 thou: 28.5 thou are left and the wire stands 12.5."""

    def test_after_a_ring_was_read(self, ringed: Head, machinist: Person) -> None:
        record(ringed, machinist)
        surfaced(ringed, number=1, taken_mm=4.0 * THOU_MM)
        page = ring_page(ringed.tag)
        assert [each.deck_cut_mm for each in page.cylinders] == pytest.approx([0.1016, 0.1016])
        words = cut_sentences(page, show=Show())
        assert "The groove of cylinder 1 is now shallower by 4.0 thou" in words[0]
        assert "0.0285 in deep, where the wire would stand 12.5 thou" in words[0]
        assert "recut it by 4.0 thou" in words[0]
        assert "cylinder 2, if it was there before," in words[1]

    def test_not_once_it_is_recut(self, ringed: Head) -> None:
        surfaced(ringed, number=1, taken_mm=4.0 * THOU_MM)
        kind = OperationKind.RING_GROOVE.value
        surfaced(ringed, number=2, taken_mm=0.0, kind=kind, place="1")
        page = ring_page(ringed.tag)
        assert [each.deck_cut_mm for each in page.cylinders] == pytest.approx([0.0, 0.1016])

    def test_not_once_it_is_read_again(self, ringed: Head, machinist: Person) -> None:
        surfaced(ringed, number=1, taken_mm=4.0 * THOU_MM)
        record(ringed, machinist)
        assert ring_page(ringed.tag).cylinders[0].deck_cut_mm == 0.0


def test_the_page_of_a_sheet_without_a_ring_has_no_design(owner: Person) -> None:
    text = RINGED.replace(RING, "")
    head = shop.take_in(owner, code=shop.write_sheet(owner, text=text), tag="R2-0001")
    page = ring_page(head.tag)
    assert page.design is None
    assert [each.placed for each in page.cylinders] == [None, None]


def test_deck_left_under_the_groove(ringed: Head, machinist: Person) -> None:
    """T2 lies 2.4 in from the bore of cylinder 1, the groove 2.1 in: 0.3 in, near enough.

    0.4000 in read, 0.0325 in groove, 4.0 thou cut since: 0.3635 in left.
    """
    shop.kept(ringed.tag, "deck_thickness", "T2", "0.4000 in", by=machinist)
    surfaced(ringed, number=1, taken_mm=4.0 * THOU_MM)
    one, two = ring_page(ringed.tag).cylinders
    assert one.placed is not None
    assert two.placed is not None
    assert one.placed.deck_left_mm == pytest.approx(0.3635 * 25.4)
    assert one.placed.thickness_place == "T2"
    assert two.placed.deck_left_mm is None


def surfaced_by_its_plan(head: Head, by: Person) -> None:
    """Both rings read, a deck too rough, its plan chosen and signed off up to the deck cut."""
    for cylinder in ("1", "2"):
        record(head, by, cylinder=cylinder)
    shop.measure_all(head.tag, by=by, other={("finish_ra", ""): "90 uin"})
    choose(head, by)
    while planned := Operation.objects.filter(head=head, state="planned").order_by("position"):
        operation = planned[0]
        sign_operation(operation_id=operation.pk, by=by)
        if operation.kind == OperationKind.SURFACE:
            break


def choose(head: Head, by: Person) -> None:
    made = make_plans(tag=head.tag, by=by)
    choose_plan(plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=by)


def left_at_rings(head: Head) -> set[tuple[str, str]]:
    left = Operation.objects.filter(head=head, state="planned", kind__startswith="ring")
    return set(left.values_list("kind", "place"))


ALL_RINGS = {("ring groove", "1"), ("ring", "1"), ("ring groove", "2"), ("ring", "2")}


def test_a_new_plan_after_the_deck_cut_still_recuts_the_grooves(
    ringed: Head, machinist: Person
) -> None:
    surfaced_by_its_plan(ringed, machinist)
    choose(ringed, machinist)
    assert left_at_rings(ringed) == ALL_RINGS
    answer = make_plans(tag=ringed.tag, by=machinist).answers[Objective.COST]
    assert isinstance(answer, CalcPlan)
    why = {step.why for step in answer.work if step.kind is OperationKind.RING_GROOVE}
    assert why == {"the deck was cut since, so the groove is too shallow"}


def test_a_new_plan_after_a_groove_is_recut_still_fits_its_ring(
    ringed: Head, machinist: Person
) -> None:
    surfaced_by_its_plan(ringed, machinist)
    groove = Operation.objects.get(head=ringed, state="planned", kind="ring groove", place="1")
    sign_operation(operation_id=groove.pk, by=machinist)
    choose(ringed, machinist)
    assert left_at_rings(ringed) == ALL_RINGS - {("ring groove", "1")}


def test_a_ring_read_after_the_cut_is_as_it_reads(ringed: Head, machinist: Person) -> None:
    surfaced_by_its_plan(ringed, machinist)
    record(ringed, machinist, cylinder="2")
    choose(ringed, machinist)
    assert left_at_rings(ringed) == {("ring groove", "1"), ("ring", "1")}


def test_the_grooves_stay_to_be_recut_once_the_deck_is_cut(ringed: Head, machinist: Person) -> None:
    """A deck too rough is surfaced, which makes both readings a thing of the past."""
    surfaced_by_its_plan(ringed, machinist)
    assert left_at_rings(ringed) == ALL_RINGS
