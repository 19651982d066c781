"""A bench sum is kept with a head, once, and taken back where everybody sees it."""

from uuid import uuid4

import pytest

from castworthy import __version__
from castworthy.actions.errors import DeedRefused
from castworthy.actions.heads import scrap
from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.records.kept_sums import kept_sums_of
from castworthy.records.models import Head, KeptSum, Person, Trail
from factories import shop
from factories.sums import seat_sunk


def test_what_was_typed_and_told_is_kept(head: Head, machinist: Person) -> None:
    worked = seat_sunk()
    keep_sum(tag=head.tag, uuid=uuid4(), worked=worked, note=" before the cut ", by=machinist)
    (facts,) = kept_sums_of(head)

    assert facts.worked == worked
    assert (facts.note, facts.by, facts.software) == ("before the cut", "Ana Reed", __version__)
    assert (facts.epoch, facts.later_count, facts.stands) == (0, 0, True)


def test_the_trail_tells_what_the_sum_said(head: Head, machinist: Person) -> None:
    keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    row = Trail.objects.first()
    assert (row.deed, row.subject, row.by) == ("sum kept", "Seat and contact 2B", machinist)
    assert row.detail["headline"] == "Sunk 10.0 thou, the seat is 52.8 thou wider."


def test_a_sum_knows_the_work_it_was_kept_after(head: Head, owner: Person) -> None:
    keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=owner)
    shop.ready_to_leave(head.tag, by=owner, other={("recession", "2B"): "0.0270 in"})
    keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=owner)
    before, after = kept_sums_of(head)
    done = head.operations.filter(state="done").count()

    assert done > 0
    assert (before.epoch, before.later_count) == (0, done)
    assert (after.epoch, after.later_count) == (done, 0)


def test_sent_again_it_is_kept_once(head: Head, machinist: Person) -> None:
    uuid, before = uuid4(), Trail.objects.count()
    first, second = (
        keep_sum(tag=head.tag, uuid=uuid, worked=seat_sunk(), by=machinist) for _ in range(2)
    )
    assert first.pk == second.pk
    assert KeptSum.objects.count() == 1
    assert Trail.objects.count() == before + 1


@pytest.mark.parametrize("other", [{"place": "1A"}, {"cut": "0.011"}])
def test_an_identity_belongs_to_one_sum(
    head: Head, machinist: Person, other: dict[str, str]
) -> None:
    uuid = uuid4()
    keep_sum(tag=head.tag, uuid=uuid, worked=seat_sunk(), by=machinist)
    with pytest.raises(DeedRefused, match="belongs to another kept sum"):
        keep_sum(tag=head.tag, uuid=uuid, worked=seat_sunk(**other), by=machinist)


def test_a_place_the_sheet_has_not_is_refused(head: Head, machinist: Person) -> None:
    with pytest.raises(DeedRefused, match="has no place '9Z'"):
        keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(place="9Z"), by=machinist)
    assert not KeptSum.objects.exists()


def test_signs_that_steer_a_machine_are_refused(head: Head, machinist: Person) -> None:
    with pytest.raises(DeedRefused, match="How much holds signs that cannot be shown"):
        keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(cut="0.010\x00"), by=machinist)
    keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(cut="0.010\n\t\xa00.011"), by=machinist)


def test_a_viewer_keeps_and_takes_back_nothing(
    head: Head, machinist: Person, viewer: Person
) -> None:
    with pytest.raises(DeedRefused, match="may look but not change"):
        keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=viewer)
    kept = keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    with pytest.raises(DeedRefused, match="may look but not change"):
        take_back_sum(uuid=kept.uuid, why="wrong valve", by=viewer)


def test_nothing_is_kept_with_a_head_that_left(head: Head, machinist: Person) -> None:
    kept = keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    scrap(tag=head.tag, note="cracked through", by=machinist)
    with pytest.raises(DeedRefused, match="nothing more is recorded"):
        keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    with pytest.raises(DeedRefused, match="nothing more is recorded"):
        take_back_sum(uuid=kept.uuid, why="wrong valve", by=machinist)


def test_taken_back_it_stays_with_who_and_why(head: Head, machinist: Person, owner: Person) -> None:
    kept = keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    take_back_sum(uuid=kept.uuid, why="that was 2A", by=owner)
    (facts,) = kept_sums_of(head)

    assert not facts.stands
    assert (facts.taken_back.why, facts.taken_back.by) == ("that was 2A", "Olive Marsh")
    assert facts.by == "Ana Reed"
    assert Trail.objects.first().detail == {"why": "that was 2A"}


def test_taking_back_wants_a_reason_a_sum_and_only_once(head: Head, machinist: Person) -> None:
    kept = keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=machinist)
    for why, uuid, says in (
        ("  ", kept.uuid, "The reason is empty"),
        ("x" * 201, kept.uuid, "200 characters"),
        ("wrong", uuid4(), "no such kept sum"),
        ("wrong", "nonsense", "lost its identity"),
    ):
        with pytest.raises(DeedRefused, match=says):
            take_back_sum(uuid=uuid, why=why, by=machinist)
    take_back_sum(uuid=kept.uuid, why="wrong", by=machinist)
    with pytest.raises(DeedRefused, match="taken back already"):
        take_back_sum(uuid=kept.uuid, why="again", by=machinist)


@pytest.mark.parametrize("note", ["x" * 201, "a\x07bell"])
def test_a_note_that_cannot_be_kept_is_refused(head: Head, machinist: Person, note: str) -> None:
    with pytest.raises(DeedRefused) as refusal:
        keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), note=note, by=machinist)
    assert refusal.value.field == "note"
    assert not KeptSum.objects.exists()


@pytest.mark.parametrize(
    ("typed", "unit", "said", "words"),
    [
        ("0.010", "in", "", "0.010 in"),
        ("-2", "mm", "", "-2 mm"),
        ("10 thou", "in", "", "10 thou"),
        ("3", "", "", "3"),
        ("sunk", "", "how deep", "how deep"),
    ],
)
def test_what_was_typed_is_told_with_its_unit(typed: str, unit: str, said: str, words: str) -> None:
    from castworthy.records.kept_sums import TypedField

    field = TypedField(name="cut", label="How much", typed=typed, unit=unit, said=said)
    assert field.words == words
