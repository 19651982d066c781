"""How a head stands: what is left, what is stale, what was received."""

import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import Decision
from castworthy.records.errors import NotOnRecord
from castworthy.records.models import Head, Operation, Person
from castworthy.records.standing import Spot, standing_of
from castworthy.records.to_calc import readings_last, readings_now, readings_received
from factories import shop
from factories.sheet_texts import big_sheet_text

INCH = 25.4
RECESSION = Quantity.RECESSION


def done(head: Head, kind: str, place: str = "", *, number: int) -> None:
    """An operation signed off."""
    Operation.objects.create(
        head=head, position=number, kind=kind, place=place, state="done", done_number=number
    )


def test_nothing_is_measured_at_first(head: Head) -> None:
    standing = standing_of(head.tag)
    assert (standing.read_count, standing.required_count) == (0, 7)
    assert standing.next_place == Spot(quantity=RECESSION, place="1A")
    assert standing.decision is None
    assert [(c.title, c.read_count, c.places_count) for c in standing.counts] == [
        ("Recession", 0, 4),
        ("Deck thickness", 0, 1),
        ("Flatness", 0, 1),
        ("Finish Ra", 0, 1),
    ]
    assert {spot.verdict for spot in standing.spots} == {Verdict.MISSING}


def test_the_decision_follows_the_verdicts(head: Head, owner: Person) -> None:
    shop.measure_all(head.tag, by=owner)
    assert standing_of(head.tag).decision is Decision.CONFORMING
    shop.kept(head.tag, "recession", "1B", "0.0640 in", by=owner)
    standing = standing_of(head.tag)
    assert standing.decision is Decision.REWORK
    assert [spot.place for spot in standing.outside] == ["1B"]
    assert standing.outside[0].value == pytest.approx((0.039 + 0.064) / 2 * INCH)


def test_a_reading_near_a_limit_is_too_close_to_call(head: Head, owner: Person, gauge: str) -> None:
    # Half a standard uncertainty inside: the normal table gives 0.69 (value from memory).
    shop.kept(head.tag, "recession", "2B", "0.04645 in", by=owner, gauge=gauge)
    shop.measure_all(head.tag, by=owner)
    standing = standing_of(head.tag)
    assert standing.decision is Decision.UNDECIDED
    (spot,) = standing.close
    assert spot.place == "2B"
    assert spot.judgement is not None
    assert spot.judgement.probability == pytest.approx(0.69, abs=0.005)


def test_later_work_makes_a_reading_stale_and_a_new_one_stands(head: Head, owner: Person) -> None:
    shop.measure_all(head.tag, by=owner, other={("recession", "2A"): "0.0490 in"})
    done(head, "seat", "1A", number=1)
    standing = standing_of(head.tag)
    spot = standing.by_spot[RECESSION, "1A"]
    assert (spot.stale, spot.read, spot.verdict) == (True, False, Verdict.MISSING)
    assert spot.value == pytest.approx(0.039 * INCH)
    assert spot.stale_by is not None
    assert (spot.stale_by.kind, spot.stale_by.number) == ("seat", 1)
    assert standing.missing == (Spot(quantity=RECESSION, place="1A"),)
    assert not standing.by_spot[RECESSION, "1B"].stale
    shop.kept(head.tag, "recession", "1A", "0.0410 in", by=owner)
    spot = standing_of(head.tag).by_spot[RECESSION, "1A"]
    assert (spot.stale, len(spot.current), len(spot.history)) == (False, 1, 2)
    assert spot.value == pytest.approx(0.041 * INCH)
    assert spot.received is not None
    assert spot.received.value == pytest.approx(0.039 * INCH)


def test_a_deck_cut_moves_every_recession_but_asks_no_heights_again(owner: Person) -> None:
    code = shop.write_sheet(owner, text=big_sheet_text(cylinders_count=2, heights_count=6))
    head = shop.take_in(owner, code=code, tag="F66-0001")
    assert standing_of(head.tag).next_place == Spot(quantity=Quantity.HEIGHT, place="H1")
    shop.measure_all(head.tag, by=owner)
    done(head, "surface", number=1)
    standing = standing_of(head.tag)
    missing = {spot.quantity for spot in standing.missing}
    assert {RECESSION, Quantity.DECK_THICKNESS, Quantity.FLATNESS} <= missing
    assert Quantity.HEIGHT not in missing
    assert Quantity.GUIDE_CLEARANCE not in missing
    assert len([spot for spot in standing.missing if spot.quantity is RECESSION]) == 8


def test_a_flatness_figure_alone_does_without_heights(owner: Person) -> None:
    code = shop.write_sheet(owner, text=big_sheet_text(cylinders_count=1, heights_count=6))
    head = shop.take_in(owner, code=code, tag="F66-0001")
    shop.kept(head.tag, "flatness", "", "0.001 in", by=owner)
    assert Quantity.HEIGHT not in {spot.quantity for spot in standing_of(head.tag).missing}
    shop.kept(head.tag, "height", "H3", "0.0002 in", by=owner)
    heights = [s for s in standing_of(head.tag).missing if s.quantity is Quantity.HEIGHT]
    assert [spot.place for spot in heights] == ["H1", "H2", "H6", "H5", "H4"], "there and back"


def test_repeats_across_other_peoples_work_stay_repeats(head: Head, owner: Person) -> None:
    shop.kept(head.tag, "recession", "1A", "0.0390 in", by=owner)
    done(head, "seat", "2B", number=1)
    shop.kept(head.tag, "recession", "1A", "0.0394 in", by=owner)
    spot = standing_of(head.tag).by_spot[RECESSION, "1A"]
    assert len(spot.current) == 2
    assert spot.value == pytest.approx(0.0392 * INCH)


def test_a_correction_belongs_to_the_moment_of_the_old_reading(head: Head, owner: Person) -> None:
    old = shop.kept(head.tag, "recession", "1A", "0.0450 in", by=owner)
    done(head, "seat", "1A", number=1)
    shop.kept(head.tag, "recession", "1A", "0.0400 in", by=owner)
    answer = shop.kept(
        head.tag, "recession", "1A", "0.0350 in", by=owner, replaces=old.reading.uuid
    )
    spot = answer.standing.by_spot[RECESSION, "1A"]
    assert spot.value == pytest.approx(0.04 * INCH)
    assert spot.received is not None
    assert spot.received.value == pytest.approx(0.035 * INCH)
    assert answer.judgement is not None
    assert answer.judgement.value == pytest.approx(0.035 * INCH)


def test_what_calc_is_given(head: Head, owner: Person, gauge: str) -> None:
    shop.kept(head.tag, "recession", "1A", "0.0390 in", by=owner, gauge=gauge)
    shop.kept(head.tag, "recession", "1B", "0.0400 in", by=owner)
    done(head, "seat", "1A", number=1)
    head.refresh_from_db()
    assert [r.place for r in readings_now(head)] == ["1B"]
    assert [r.place for r in readings_last(head)] == ["1A", "1B"]
    received = {r.place: r for r in readings_received(head)}
    assert received["1A"].u == pytest.approx(0.0001 * INCH)
    assert received["1A"].gauge == gauge
    assert received["1B"].u is None
    shop.kept(head.tag, "recession", "1A", "0.0410 in", by=owner)
    now = {r.place: r.value for r in readings_now(head)}
    assert now == {"1A": pytest.approx(0.041 * INCH), "1B": pytest.approx(0.04 * INCH)}


def test_mixed_gauges_count_with_the_least_certain(head: Head, owner: Person, gauge: str) -> None:
    shop.kept(head.tag, "recession", "1A", "0.0390 in", by=owner, gauge=gauge)
    shop.kept(head.tag, "recession", "1A", "0.0390 in", by=owner)
    assert standing_of(head.tag).by_spot[RECESSION, "1A"].u is None


@pytest.mark.django_db
def test_an_unknown_tag_is_said() -> None:
    for tag in ("F2-9", "F2\x00", ""):
        with pytest.raises(NotOnRecord):
            standing_of(tag)
