"""A deed is one transaction and one row, at one time, by somebody who may."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from castworthy.actions.deed import (
    EVERYBODY,
    OWNERS,
    clock_words,
    deed,
    deeds_at,
    head_for_work,
)
from castworthy.actions.errors import DeedRefused
from castworthy.records.models import Customer, Head, Person, Trail


class UnforeseenError(RuntimeError):
    pass


def test_what_fails_leaves_nothing(owner: Person) -> None:
    rows = Trail.objects.count()

    def broken(fault: Exception) -> None:
        with deed("broken", by=owner):
            Customer.objects.create(name="Half Done")
            raise fault

    for fault in (DeedRefused("No."), UnforeseenError("oh")):
        with pytest.raises(type(fault)):
            broken(fault)
    assert not Customer.objects.exists()
    assert Trail.objects.count() == rows


def test_the_row_says_who_when_what(owner: Person, head: Head) -> None:
    then = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
    with deeds_at(then), deed("looked at", by=owner) as told:
        told.about(head=head, subject="x" * 200, first=1)
        told.about(second=2)
    row = Trail.objects.first()
    assert row is not None
    assert (row.at, row.by, row.deed, row.head) == (then, owner, "looked at", head)
    assert row.subject == "x" * 120
    assert row.detail == {"first": 1, "second": 2}
    with deed("now", by=owner):
        pass
    latest = Trail.objects.first()
    assert latest is not None
    assert timezone.now() - latest.at < timedelta(minutes=1)


@pytest.mark.parametrize("may", [OWNERS, EVERYBODY])
def test_roles_are_held(may: frozenset[str], viewer: Person, owner: Person) -> None:
    with deed("by the owner", by=owner, may=may):
        pass
    if may == EVERYBODY:
        with deed("by a viewer", by=viewer, may=may):
            pass
    else:
        with (
            pytest.raises(DeedRefused, match="Vera Lock is signed in as Viewer"),
            deed("by a viewer", by=viewer, may=may),
        ):
            pass


def test_a_replay_leaves_no_row(owner: Person) -> None:
    rows = Trail.objects.count()
    with deed("again", by=owner) as told:
        told.nothing_new()
    assert Trail.objects.count() == rows


def test_a_time_is_said_with_its_day_unless_it_is_today() -> None:
    now = datetime(2026, 3, 14, 15, 0, tzinfo=UTC)
    zone = timezone.get_current_timezone()
    early = datetime(2026, 3, 14, 10, 41, tzinfo=zone)
    with deeds_at(now):
        assert clock_words(early) == "at 10:41"
        assert clock_words(early - timedelta(days=9)) == "on 5 March 2026 at 10:41"


@pytest.mark.parametrize("tag", ["F2-9", "", "F2\x00"])
def test_an_unknown_head_is_refused(tag: str, owner: Person) -> None:
    with pytest.raises(DeedRefused, match="no head") as refusal, deed("x", by=owner):
        head_for_work(tag)
    assert refusal.value.field == "tag"
