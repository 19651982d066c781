"""The invented shop: every step filled, built through deeds, the same each time."""

from collections import Counter
from datetime import UTC, datetime

import pytest

from castworthy.calc.quantity import Quantity
from castworthy.demo.arrivals import ARRIVALS
from castworthy.demo.build import build_demo
from castworthy.demo.sums import DEMO_SUMS
from castworthy.records.lookups.measure import measure_page
from castworthy.records.models import Head, KeptSum, Reading, Release, Step, SumTakenBack, Trail
from castworthy.records.plans import digest_of
from castworthy.records.standing import standing_of
from castworthy.units import Show

NOW = datetime(2026, 3, 14, 15, 0, tzinfo=UTC)


@pytest.mark.django_db
def test_the_shop_is_full_honest_and_always_the_same() -> None:
    demo = build_demo(now=NOW)
    in_shop = Counter(Head.objects.filter(outcome="").values_list("step", flat=True))
    outcomes = Counter(Head.objects.exclude(outcome="").values_list("outcome", flat=True))

    assert demo.heads_count == len(ARRIVALS) == Head.objects.count()
    assert 35 <= demo.heads_count <= 45
    assert set(in_shop) == set(Step) - {Step.TAKE_IN}
    assert outcomes["released"] >= 8
    assert set(outcomes) == {"released", "sent back", "scrapped"}
    check_scene()
    check_releases()
    check_sums()
    assert Trail.objects.filter(deed="reading recorded").count() == demo.readings_count
    assert first_values() == pytest.approx(FIRST_VALUES_MM)


def check_scene() -> None:
    """The head at the bench: 2B too deep, 5C too shallow, 6B next."""
    page = measure_page("T66-0042", show=Show())
    standing = standing_of("T66-0042")
    out = {spot.place for spot in standing.of(Quantity.RECESSION) if spot.verdict == "outside"}

    assert (page.quantity, page.spot.place if page.spot else "") == (Quantity.RECESSION, "6B")
    assert out == {"2B", "5C"}


def check_releases() -> None:
    for release in Release.objects.all():
        assert release.digest == digest_of(release.content)
        assert all(row["verdict"] in {"inside", ""} for row in release.content["readings"])


def check_sums() -> None:
    """Every kept sum is there, one of them taken back, none later than now."""
    rows = KeptSum.objects.all()
    assert {(row.head.tag, row.name, row.place) for row in rows} == {
        (each.tag, each.name, each.place) for each in DEMO_SUMS
    }
    assert [back.kept.head.tag for back in SumTakenBack.objects.all()] == ["T66-0042"]
    assert all(row.at < NOW for row in rows)


def first_values() -> list[float]:
    rows = Reading.objects.filter(quantity="recession", head__tag="T66-0042").order_by("id")
    return list(rows.values_list("value", flat=True)[:3])


FIRST_VALUES_MM = [0.0406 * 25.4, 0.0417 * 25.4, 0.0393 * 25.4]
