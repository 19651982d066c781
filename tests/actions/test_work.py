"""Operations signed off with what was really taken, and the rest planned anew."""

import pytest

from castworthy.actions.errors import DeedRefused
from castworthy.actions.plans import choose_plan, make_plans
from castworthy.actions.work import sign_operation, skip_operation
from castworthy.calc.quantity import Quantity
from castworthy.records.models import Head, Operation, Person, Plan
from castworthy.records.predicted import readings_for_plan
from castworthy.records.standing import standing_of
from castworthy.records.to_calc import sheet_for
from castworthy.records.trial import try_deck_cut
from factories import shop

DEEP = {
    ("recession", "1A"): "0.0490 in",
    ("recession", "2B"): "0.0350 in",
    ("finish_ra", ""): "80 uin",
}
"""1A is 2.5 thou too deep and the deck too rough: a deck cut, which brings 2B too high."""


@pytest.fixture
def planned(head: Head, owner: Person) -> Head:
    shop.measure_all(head.tag, by=owner, other=DEEP)
    make_plans(tag=head.tag, by=owner)
    choose_plan(plan_id=Plan.objects.get(head=head, objective="cost").pk, by=owner)
    head.refresh_from_db()
    return head


def operation(head: Head, kind: str, place: str = "", state: str = "planned") -> Operation:
    return Operation.objects.get(head=head, kind=kind, place=place, state=state)


def test_the_plan_cuts_the_deck_and_the_seat_it_lifts(planned: Head) -> None:
    surface = operation(planned, "surface")

    assert surface.planned_mm == pytest.approx(0.0025 * 25.4, abs=0.0011 * 25.4)
    assert surface.planned_mm >= 0.0025 * 25.4 - 1e-9


def test_what_was_taken_is_kept_with_who_and_when(planned: Head, machinist: Person) -> None:
    sign_operation(operation_id=operation(planned, "surface").pk, typed="3.2", by=machinist)
    done = operation(planned, "surface", state="done")

    assert done.taken_mm == pytest.approx(3.2 * 0.0254)
    assert (done.typed, done.by, done.done_number) == ("3.2", machinist, 1)


def test_readings_the_cut_moved_are_of_the_past_and_counted_along(
    planned: Head, machinist: Person
) -> None:
    sign_operation(operation_id=operation(planned, "surface").pk, typed="3.2", by=machinist)
    standing = standing_of(planned.tag)
    spot = next(s for s in standing.of(Quantity.RECESSION) if s.place == "1A")
    moved = {
        (r.quantity.value, r.place): r.value
        for r in readings_for_plan(planned, sheet=sheet_for(planned))
    }

    assert spot.stale
    assert moved["recession", "1A"] == pytest.approx((0.0490 - 0.0032) * 25.4)
    assert moved["deck_thickness", "T1"] == pytest.approx((0.400 - 0.0032) * 25.4)
    assert ("finish_ra", "") not in moved


def test_a_deeper_cut_than_planned_brings_a_seat_into_the_work(
    planned: Head, machinist: Person
) -> None:
    before = set(
        Operation.objects.filter(head=planned, kind="seat").values_list("place", flat=True)
    )
    signed = sign_operation(
        operation_id=operation(planned, "surface").pk, typed="9 thou", by=machinist
    )
    seats = set(
        Operation.objects.filter(head=planned, kind="seat", state="planned").values_list(
            "place", flat=True
        )
    )

    assert signed.replanned
    assert signed.stuck is None
    assert "2B" in seats
    assert seats != before or Operation.objects.filter(head=planned, state="dropped").exists()


def test_signing_twice_names_who_was_first(planned: Head, machinist: Person, owner: Person) -> None:
    surface = operation(planned, "surface")
    sign_operation(operation_id=surface.pk, by=machinist)

    with pytest.raises(DeedRefused, match=r"Surface was signed off by Ana Reed at \d\d:\d\d\."):
        sign_operation(operation_id=surface.pk, by=owner)
    assert Operation.objects.filter(head=planned, state="done").count() == 1


def test_a_seat_waits_for_the_deck(planned: Head, machinist: Person) -> None:
    seat = Operation.objects.create(
        head=planned, position=90, kind="seat", place="2B", planned_mm=0.1
    )

    with pytest.raises(DeedRefused, match="Sign off the surfacing first"):
        sign_operation(operation_id=seat.pk, by=machinist)


def test_rubbish_and_far_amounts_are_told(planned: Head, machinist: Person) -> None:
    surface = operation(planned, "surface")
    for typed, sentence in (("four", "is no number"), ("40 in", "far from the"), ("3 psi", "psi")):
        with pytest.raises(DeedRefused, match=sentence) as refused:
            sign_operation(operation_id=surface.pk, typed=typed, by=machinist)
        assert refused.value.field == "typed"
    surface.refresh_from_db()
    assert surface.state == "planned"


def test_skipping_wants_a_reason_and_keeps_it(planned: Head, machinist: Person) -> None:
    clean = operation(planned, "clean")
    with pytest.raises(DeedRefused, match="why it is skipped"):
        skip_operation(operation_id=clean.pk, why=" ", by=machinist)
    skip_operation(operation_id=clean.pk, why="came in washed", by=machinist)
    clean.refresh_from_db()

    assert (clean.state, clean.note, clean.by) == ("dropped", "came in washed", machinist)


def test_what_was_skipped_does_not_come_back_with_the_rest_of_the_work(
    planned: Head, machinist: Person
) -> None:
    skip_operation(operation_id=operation(planned, "clean").pk, why="washed", by=machinist)
    signed = sign_operation(
        operation_id=operation(planned, "surface").pk, typed="9 thou", by=machinist
    )

    assert signed.replanned
    assert not Operation.objects.filter(head=planned, kind="clean", state="planned").exists()


def test_a_new_plan_asks_again_for_what_was_skipped(planned: Head, machinist: Person) -> None:
    skip_operation(operation_id=operation(planned, "clean").pk, why="washed", by=machinist)
    make_plans(tag=planned.tag, by=machinist)
    newest = Plan.objects.filter(head=planned, objective="cost").order_by("-id").first()
    choose_plan(plan_id=newest.pk, by=machinist)

    assert operation(planned, "clean").plan == newest


def test_an_amount_where_none_is_taken_is_told(planned: Head, machinist: Person) -> None:
    clean = operation(planned, "clean")
    with pytest.raises(DeedRefused, match="Clean takes no amount, not 3 thou") as refused:
        sign_operation(operation_id=clean.pk, typed="3 thou", by=machinist)
    clean.refresh_from_db()

    assert refused.value.field == "typed"
    assert clean.state == "planned"


def test_an_amount_too_long_to_keep_is_told(planned: Head, machinist: Person) -> None:
    surface = operation(planned, "surface")
    with pytest.raises(DeedRefused) as refused:
        sign_operation(operation_id=surface.pk, typed=f"3.2{'0' * 60} thou", by=machinist)
    surface.refresh_from_db()

    assert refused.value.field == "typed"
    assert surface.state == "planned"


def test_another_deck_cut_is_tried_and_nothing_is_stored(planned: Head) -> None:
    counts = Plan.objects.count(), Operation.objects.count()
    deep = try_deck_cut(planned.tag, depth_mm=0.0035 * 25.4)
    shallow = try_deck_cut(planned.tag, depth_mm=0.0)

    assert deep.answer
    assert deep.answer.deck.depth_mm == pytest.approx(0.0035 * 25.4, abs=1e-6)
    assert not shallow.answer
    assert (Plan.objects.count(), Operation.objects.count()) == counts
