"""Readings at the bench: typed text in, verdict out, nothing lost."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from castworthy.actions import gauges, heads, readings
from castworthy.actions.errors import DeedRefused
from castworthy.actions.readings import Recorded, SlipAsked
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.quantity import Quantity
from castworthy.records.models import Head, Person, Reading, Trail
from castworthy.records.standing import Spot, standing_of
from factories import shop

INCH = 25.4


def recorded(answer: Recorded | SlipAsked) -> Recorded:
    assert isinstance(answer, Recorded)
    return answer


def test_typed_text_is_kept_and_its_value_is_exact(
    head: Head, machinist: Person, gauge: str
) -> None:
    answer = recorded(
        shop.read(head.tag, "recession", "1A", "39,5 thou", by=machinist, gauge=gauge)
    )
    row = Reading.objects.get()
    assert (row.typed, row.unit, row.side) == ("39,5 thou", "thou", "below")
    assert row.value == pytest.approx(0.0395 * INCH, rel=1e-15)
    assert row.u == pytest.approx(0.0001 * INCH, rel=1e-12)
    assert row.resolution == pytest.approx(0.0001 * INCH, rel=1e-12)
    assert row.judged["verdict"] == "inside"
    assert row.judged["revision"] == 1
    assert row.judged["software"]
    assert answer.judgement is not None
    assert answer.judgement.verdict is Verdict.INSIDE
    assert "1A is inside" in answer.sentence
    assert answer.next_place == Spot(quantity=Quantity.RECESSION, place="1B")


def test_a_bare_number_is_in_the_persons_units_or_the_forms(head: Head, machinist: Person) -> None:
    shop.kept(head.tag, "recession", "1A", "0.0390", by=machinist)
    shop.kept(head.tag, "recession", "1B", "0.99", by=machinist, unit="mm")
    machinist.show_length = "mm"
    shop.kept(head.tag, "recession", "2A", "0,99", by=machinist)
    values = list(Reading.objects.values_list("value", "unit"))
    assert values == [(pytest.approx(0.039 * INCH), "in"), (0.99, "mm"), (0.99, "mm")]


@pytest.mark.parametrize(
    ("side", "typed", "value"),
    [("below", "0.5 mm", 0.5), ("above", "0.5 mm", -0.5), ("flush", "", 0.0), ("flush", "0", 0.0)],
)
def test_the_side_gives_the_sign(
    side: str, typed: str, value: float, head: Head, machinist: Person
) -> None:
    shop.kept(head.tag, "recession", "1A", typed, side=side, by=machinist)
    assert Reading.objects.get().value == value


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"typed": ""}, "typed", "still empty"),
        ({"typed": "deep"}, "typed", "no number"),
        ({"typed": "0.039 kPa"}, "typed", "kPa"),
        ({"typed": "0.039 inn"}, "typed", "unknown unit"),
        ({"typed": "0.0.39"}, "typed", "decimal"),
        ({"typed": "9" * 41}, "typed", "characters long"),
        ({"typed": "-0.039 in"}, "typed", "choose below or above"),
        ({"side": ""}, "side", "needs its side"),
        ({"side": "under"}, "side", "needs its side"),
        ({"side": "flush"}, "side", "Flush means 0"),
        ({"place": "3A"}, "place", "1A, 1B, 2A, 2B"),
        ({"place": ""}, "place", "a place is missing"),
        ({"quantity": "colour"}, "quantity", "nothing that is measured"),
        ({"quantity": "vacuum_hold", "typed": "60 kPa"}, "quantity", "step Prove"),
        ({"quantity": "flatness", "typed": "0.001 in"}, "place", "as a whole"),
        ({"quantity": "deck_thickness", "place": "T1", "typed": "-9 mm"}, "typed", "less than"),
        ({"gauge": "DG-9"}, "gauge", "no gauge 'DG-9'"),
        ({"uuid": "me"}, "uuid", "identity"),
        ({"replaces": uuid4()}, "replaces", "no such reading"),
        ({"tag": "F2-9"}, "tag", "no head 'F2-9'"),
    ],
)
def test_a_wrong_entry_gets_one_sentence_and_stores_nothing(
    change: dict[str, object], field: str, says: str, head: Head, machinist: Person
) -> None:
    sent = {
        "tag": head.tag,
        "uuid": uuid4(),
        "quantity": "recession",
        "place": "1A",
        "typed": "0.039 in",
        "side": "below",
        "by": machinist,
    }
    rows = Trail.objects.count()
    with pytest.raises(DeedRefused) as refusal:
        readings.record_reading(**{**sent, **change})
    assert refusal.value.field == field
    assert says in refusal.value.sentence
    assert "\n" not in refusal.value.sentence
    assert not Reading.objects.exists()
    assert Trail.objects.count() == rows


def test_a_gauge_of_another_kind_or_a_retired_one_is_refused(
    head: Head, owner: Person, gauge: str
) -> None:
    finish = gauges.add_gauge(name="RT-1", unit="µin", u="1", by=owner)
    scale = gauges.add_gauge(name="SC-1", unit="lbf", u="0.5", by=owner)
    with pytest.raises(DeedRefused, match="cannot give Deck thickness"):
        shop.read(head.tag, "deck_thickness", "T1", "0.4 in", by=owner, gauge=scale.name)
    with pytest.raises(DeedRefused, match="cannot give Finish Ra"):
        shop.read(head.tag, "finish_ra", "", "40 uin", by=owner, gauge=gauge)
    gauges.change_gauge(gauge_id=finish.pk, name="RT-1", unit="µin", u="1", retired=True, by=owner)
    with pytest.raises(DeedRefused, match="is retired"):
        shop.read(head.tag, "finish_ra", "", "40 uin", by=owner, gauge="RT-1")


def test_an_overdue_gauge_is_taken_and_said(head: Head, owner: Person) -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    gauges.add_gauge(name="DG-3", unit="mm", u="0.003", calibrated_until=yesterday, by=owner)
    gauges.add_gauge(name="DG-4", unit="mm", u="0.003", calibrated_until=date.max, by=owner)
    overdue = shop.kept(head.tag, "recession", "1A", "0.99 mm", by=owner, gauge="DG-3")
    valid = shop.kept(head.tag, "recession", "1B", "0.99 mm", by=owner, gauge="DG-4")
    assert (overdue.reading.gauge_overdue, valid.reading.gauge_overdue) == (True, False)
    assert any("DG-3 has run out" in caution for caution in overdue.cautions)
    assert not any("run out" in caution for caution in valid.cautions)


def test_a_slip_is_asked_about_and_stored_only_when_kept(head: Head, machinist: Person) -> None:
    uuid = uuid4()
    asked = shop.read(head.tag, "recession", "1A", "0.390 in", by=machinist, uuid=uuid)
    assert isinstance(asked, SlipAsked)
    assert asked.typed == "0.390 in"
    assert "0.0390 in" in asked.sentences[0]
    assert not Reading.objects.exists()
    kept = shop.kept(head.tag, "recession", "1A", "0.390 in", by=machinist, uuid=uuid)
    assert kept.judgement is not None
    assert kept.judgement.verdict is Verdict.OUTSIDE
    assert "decimal point" in Reading.objects.get().slip_kept
    assert [slip.spot.place for slip in standing_of(head.tag).slips] == ["1A"]


def test_the_same_entry_sent_again_answers_the_same_and_stores_once(
    head: Head, machinist: Person
) -> None:
    uuid = uuid4()
    first = shop.kept(head.tag, "recession", "1A", "0.039 in", by=machinist, uuid=uuid)
    rows = Trail.objects.count()
    again = shop.kept(head.tag, "recession", "1A", "0.039 in", by=machinist, uuid=uuid)
    assert (Reading.objects.count(), Trail.objects.count()) == (1, rows)
    assert again.replayed
    assert (again.reading, again.sentence) == (first.reading, first.sentence)
    heads.send_back(tag=head.tag, note="wrong casting", by=machinist)
    late = shop.kept(head.tag, "recession", "1A", "0.039 in", by=machinist, uuid=uuid)
    assert late.reading.id == first.reading.id


@pytest.mark.parametrize(
    "change", [{"typed": "0.040 in"}, {"place": "1B"}, {"side": "above"}, {"gauge": "DG-2"}]
)
def test_an_identity_used_for_another_entry_is_refused(
    change: dict[str, str], head: Head, machinist: Person, gauge: str
) -> None:
    sent = {"quantity": "recession", "place": "1A", "typed": "0.039 in", "uuid": uuid4()}
    shop.kept(head.tag, **sent, by=machinist)
    with pytest.raises(DeedRefused, match="was recorded at") as refusal:
        shop.kept(head.tag, **{**sent, **change}, by=machinist)
    assert refusal.value.code == "uuid"
    assert Reading.objects.count() == 1


def test_an_identity_of_another_heads_reading_is_refused(
    head: Head, machinist: Person, owner: Person
) -> None:
    other = shop.take_in(owner, code="F2", tag="F2-0002")
    uuid = uuid4()
    shop.kept(head.tag, "recession", "1A", "0.039 in", by=machinist, uuid=uuid)
    with pytest.raises(DeedRefused, match="another reading"):
        shop.kept(other.tag, "recession", "1A", "0.039 in", by=machinist, uuid=uuid)


def test_a_correction_takes_the_place_and_the_old_reading_stays(
    head: Head, machinist: Person, owner: Person
) -> None:
    old = shop.kept(head.tag, "recession", "1A", "0.0490 in", by=machinist)
    new = shop.kept(
        head.tag,
        "recession",
        "1A",
        "0.0390 in",
        by=machinist,
        replaces=old.reading.uuid,
        why="misread the thimble",
    )
    assert Trail.objects.first().deed == "reading corrected"
    spot = new.standing.by_spot[Quantity.RECESSION, "1A"]
    assert spot.value == pytest.approx(0.039 * INCH)
    assert [taken.typed for taken in spot.history] == ["0.0490 in", "0.0390 in"]
    assert [taken.replaced for taken in spot.history] == [True, False]
    assert spot == standing_of(head.tag).by_spot[Quantity.RECESSION, "1A"]
    with pytest.raises(DeedRefused, match=r"already corrected to 0\.0390 in by Ana Reed at"):
        shop.kept(head.tag, "recession", "1A", "0.0400 in", by=owner, replaces=old.reading.uuid)
    with pytest.raises(DeedRefused, match="same quantity at the same place"):
        shop.kept(head.tag, "recession", "1B", "0.04 in", by=owner, replaces=new.reading.uuid)


def test_repeats_are_averaged_and_shrink_the_uncertainty(
    head: Head, machinist: Person, gauge: str
) -> None:
    for typed in ("0.0390 in", "0.0391 in", "0.0392 in", "0.0391 in"):
        answer = shop.kept(head.tag, "recession", "1A", typed, by=machinist, gauge=gauge)
    spot = answer.standing.by_spot[Quantity.RECESSION, "1A"]
    assert len(spot.current) == 4
    assert spot.value == pytest.approx(0.0391 * INCH)
    assert spot.u == pytest.approx(0.0001 * INCH / 2)


def test_the_next_place_walks_on_and_then_to_the_next_quantity(
    head: Head, machinist: Person
) -> None:
    def next_after(place: str) -> Spot | None:
        return shop.kept(head.tag, "recession", place, "0.039 in", by=machinist).next_place

    def spot(quantity: Quantity, place: str) -> Spot:
        return Spot(quantity=quantity, place=place)

    assert next_after("2A") == spot(Quantity.RECESSION, "2B")
    assert next_after("2B") == spot(Quantity.RECESSION, "1A")
    assert next_after("1A") == spot(Quantity.RECESSION, "1B")
    assert next_after("1B") == spot(Quantity.DECK_THICKNESS, "T1")


def test_a_measured_head_goes_to_the_plan_with_its_decision(head: Head, machinist: Person) -> None:
    shop.measure_all(head.tag, by=machinist, other={("recession", "2B"): "0.0490 in"})
    head.refresh_from_db()
    assert (head.step, head.decision) == ("plan", "rework")
    assert head.progress["outside"] == 1
    assert (head.progress["read"], head.progress["required"]) == (7, 7)


def test_a_viewer_and_a_head_that_left_are_refused(
    head: Head, machinist: Person, viewer: Person
) -> None:
    with pytest.raises(DeedRefused, match="may look but not change") as refusal:
        shop.read(head.tag, "recession", "1A", "0.039 in", by=viewer)
    assert refusal.value.code == "role"
    heads.scrap(tag=head.tag, note="cracked", by=machinist)
    with pytest.raises(DeedRefused, match="was scrapped on"):
        shop.read(head.tag, "recession", "1A", "0.039 in", by=machinist)
