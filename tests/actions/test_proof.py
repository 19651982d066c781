"""Crack check, pressure and vacuum recorded, judged and repeated."""

import pytest

from castworthy.actions.errors import DeedRefused
from castworthy.actions.proof import Proved, record_crack_check, record_pressure, record_vacuum
from castworthy.records.models import Head, Person, ProofTest, Reading, Step

VALVES = ("1A", "1B", "2A", "2B")


@pytest.fixture
def assembled(head: Head) -> Head:
    Head.objects.filter(pk=head.pk).update(step=Step.PROVE)
    head.refresh_from_db()
    return head


def vacuum(head: Head, place: str, held: str, by: Person, dead_head: str = "27") -> Proved:
    return record_vacuum(tag=head.tag, place=place, held=held, dead_head=dead_head, by=by)


def test_all_tests_passed_send_the_head_to_its_release(assembled: Head, machinist: Person) -> None:
    record_crack_check(tag=assembled.tag, method="magnetic particle", clear=True, by=machinist)
    record_pressure(tag=assembled.tag, medium="water", start="40", held="39.8", by=machinist)
    for place in VALVES[:-1]:
        assert vacuum(assembled, place, "25", machinist).step == "prove"
    last = vacuum(assembled, VALVES[-1], "25", machinist)
    assembled.refresh_from_db()

    assert (last.left_count, assembled.step) == (0, "release")


def test_a_leaking_port_is_told_and_its_repeat_counts(assembled: Head, machinist: Person) -> None:
    bad = vacuum(assembled, "1A", "18", machinist)
    good = vacuum(assembled, "1A", "26", machinist)

    assert (bad.passed, good.passed) == (False, True)
    assert bad.sentence == "It held 67% of the pump's reading of the day."
    assert good.left_count == bad.left_count - 1
    assert ProofTest.objects.filter(head=assembled, place="1A").count() == 2


def test_the_figure_is_a_reading_too(assembled: Head, machinist: Person) -> None:
    vacuum(assembled, "1A", "25.4", machinist)
    reading = Reading.objects.get(head=assembled, quantity="vacuum_hold", place="1A")

    assert reading.value == pytest.approx(25.4 * 3.386389)


def test_air_is_judged_at_the_temperature_of_the_start(assembled: Head, machinist: Person) -> None:
    told = {"tag": assembled.tag, "medium": "air", "start": "40 psi", "held": "36 psi"}
    plain = record_pressure(**told, by=machinist)
    cooled = record_pressure(
        **told, start_temperature="80 °F", end_temperature="39 °F", by=machinist
    )

    assert (plain.passed, cooled.passed) == (False, True)


def test_a_seen_leak_fails_whatever_the_gauge_says(assembled: Head, machinist: Person) -> None:
    test = record_pressure(
        tag=assembled.tag,
        medium="water",
        start="40",
        held="40",
        found="beads at plug 3",
        by=machinist,
    )

    assert not test.passed
    assert "beads at plug 3" in test.sentence


@pytest.mark.parametrize(
    ("held", "dead_head", "field"),
    [("29", "27", "held"), ("x", "27", "held"), ("25", "0", "held"), ("25", "27 mm", "dead_head")],
)
def test_what_cannot_be_is_told_at_its_field(
    assembled: Head, machinist: Person, held: str, dead_head: str, field: str
) -> None:
    with pytest.raises(DeedRefused) as refused:
        vacuum(assembled, "1A", held, machinist, dead_head=dead_head)
    assert refused.value.field == field
    assert not ProofTest.objects.exists()


@pytest.mark.parametrize(
    ("figures", "field", "words"),
    [
        ({"volume": "-4 l"}, "volume", "from 0.001 to 1000 litres (got -4 l)"),
        ({"volume": "9e9 l"}, "volume", "from 0.001 to 1000 litres"),
        ({"start_temperature": "9999", "end_temperature": "70"}, "start_temperature", "302 °F"),
        ({"start_temperature": "70", "end_temperature": "-500"}, "end_temperature", "-40 to"),
    ],
)
def test_a_pressure_test_that_nobody_does_is_told_at_its_field(
    assembled: Head, machinist: Person, figures: dict[str, str], field: str, words: str
) -> None:
    with pytest.raises(DeedRefused) as refused:
        record_pressure(
            tag=assembled.tag, medium="air", start="40", held="39", by=machinist, **figures
        )
    assert refused.value.field == field
    assert words in refused.value.sentence
    assert not ProofTest.objects.exists()


@pytest.mark.parametrize("medium", ["water", "air"])
def test_a_pressure_that_rose_is_no_pass(assembled: Head, machinist: Person, medium: str) -> None:
    """40 psi that read 46 at the end: the head warmed, and a leak may hide behind it."""
    with pytest.raises(DeedRefused, match=r"the pressure rose by 6\.00 psi") as refused:
        record_pressure(tag=assembled.tag, medium=medium, start="40", held="46", by=machinist)
    assert refused.value.field == "held"
    assert not ProofTest.objects.exists()


def test_a_crack_is_said_where_and_what(assembled: Head, machinist: Person) -> None:
    with pytest.raises(DeedRefused, match="Say what was found"):
        record_crack_check(tag=assembled.tag, method="dye", clear=False, by=machinist)
    found = record_crack_check(
        tag=assembled.tag,
        method="dye",
        clear=False,
        place="between 1A and 1B",
        found="12 mm, into the seat",
        by=machinist,
    )

    assert not found.passed
    assert ProofTest.objects.get().conditions["where"] == "between 1A and 1B"


def test_a_viewer_may_not_record(assembled: Head, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="may look"):
        vacuum(assembled, "1A", "25", viewer)
