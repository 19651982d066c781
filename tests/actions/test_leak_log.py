"""A port's vacuum log kept as its test: the figures that stay, the verdict, what is refused.

The logs are air filling a port through one round hole, from the flow equations of
tests/calc/leak; readings are rounded as a gauge shows them.
"""

import json
from hashlib import sha256
from uuid import uuid4

import numpy as np
import pytest

from castworthy.actions.errors import DeedRefused
from castworthy.actions.leak_log import record_vacuum_log
from castworthy.actions.proved import Proved
from castworthy.calc.leak.flow import Port, filling_kpa
from castworthy.records.leak_logs import kept_log, odd_port_words, told_conditions
from castworthy.records.leak_trial import MOST_KEPT_COUNT, LogTyped
from castworthy.records.lookups.gauges import gauges
from castworthy.records.lookups.judged import heads_since_check
from castworthy.records.lookups.leak import leak_page
from castworthy.records.lookups.prove import prove_page
from castworthy.records.models import Head, Person, ProofTest, Reading, Step
from castworthy.records.models import TestKind as Kind
from factories import shop

INHG_KPA = 3.386389
"""NIST SP 811, table 8: conventional inch of mercury."""

VALVES = ("1A", "1B", "2A", "2B")


@pytest.fixture
def assembled(head: Head) -> Head:
    Head.objects.filter(pk=head.pk).update(step=Step.PROVE)
    head.refresh_from_db()
    return head


def lines(hole_um: float, *, volume_cm3: float = 250.0, start_inhg: float = 26.0) -> str:
    """What a gauge that reads in 0.1 inHg shows every five seconds."""
    port = Port(volume_cm3=volume_cm3)
    t = np.arange(0.0, 35.0, 5.0)
    start_kpa = port.atmosphere_kpa - start_inhg * INHG_KPA
    p = filling_kpa(t, port=port, start_kpa=start_kpa, hole_um=hole_um)
    vacuum = (port.atmosphere_kpa - p) / INHG_KPA
    return "\n".join(f"{at:g} {each:.1f}" for at, each in zip(t, vacuum, strict=True))


def keep(head: Head, by: Person, place: str = "1A", **typed: str) -> Proved:
    given = {"readings": lines(30.0), "volume": "250", "dead_head": "27"} | typed
    return record_vacuum_log(tag=head.tag, place=place, typed=LogTyped(**given), by=by)


def test_a_log_is_the_test_of_its_port_and_its_reading(assembled: Head, machinist: Person) -> None:
    kept = keep(assembled, machinist)
    test = ProofTest.objects.get(pk=kept.test_id)
    log = test.conditions["log"]
    reading = Reading.objects.get(head=assembled, quantity="vacuum_hold", place="1A")

    assert kept.passed
    assert test.reading == reading
    assert reading.value == pytest.approx(log["fit"]["held_kpa"])
    assert reading.u == pytest.approx(log["fit"]["u_held_kpa"])
    assert log["time_s"] == [0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0]
    assert log["pressure_kpa"][0] == pytest.approx(101.325 - 26.0 * INHG_KPA, abs=1e-3)
    assert (log["volume_cm3"], test.conditions["hold_s"]) == (250.0, 30.0)
    assert log["software"]
    assert "It leaks" in test.found
    assert "One round hole" in test.found


def test_the_hole_that_made_the_log_is_found(assembled: Head, machinist: Person) -> None:
    # The hole the readings were made with lies in the 95 % interval of the fit.
    test = ProofTest.objects.get(pk=keep(assembled, machinist, readings=lines(90.0)).test_id)
    low, high = test.conditions["log"]["fit"]["hole_interval_um"]
    assert low <= 90.0 <= high


def test_a_port_that_leaks_down_does_not_pass(assembled: Head, machinist: Person) -> None:
    # Below nine tenths of the pump's 27 inHg: common practice, no source.
    kept = keep(assembled, machinist, readings=lines(120.0))
    assert not kept.passed
    assert kept.sentence.startswith("The port leaks too much")
    assert kept.left_count == kept.tests_count


def test_too_close_to_call_is_no_pass(assembled: Head, machinist: Person) -> None:
    # 24.3 inHg is nine tenths of 27; the fit ends there and the gauge reads in 0.5 inHg.
    close = "0 25.5\n10 25.0\n20 24.5\n30 24.5"
    kept = keep(assembled, machinist, readings=close)
    assert not kept.passed
    assert "Too close to call" in kept.sentence


def test_volume_and_height_of_the_shop_are_asked_once(assembled: Head, machinist: Person) -> None:
    keep(
        assembled,
        machinist,
        volume="243",
        atmosphere="4000 ft",
        dead_head="25",
        readings=lines(30.0, start_inhg=22.0),
    )
    page = leak_page(assembled.tag, place="1B")
    log = ProofTest.objects.get().conditions["log"]

    assert (page.last.volume_cm3, page.atmosphere_typed, page.next_place) == (
        243.0,
        "4000 ft",
        "2A",
    )
    # U.S. Standard Atmosphere, 1976, table II: 87.49 kPa at 4,000 ft (value from memory).
    assert log["atmosphere_kpa"] == pytest.approx(87.49, abs=0.05)


def test_the_gauge_is_counted_shown_and_found_again(
    assembled: Head, machinist: Person, owner: Person
) -> None:
    name = shop.add_vacuum_gauge(owner)
    keep(assembled, machinist, gauge=name, u_volume="4 %")
    reading = Reading.objects.get(head=assembled, quantity="vacuum_hold", place="1A")
    test = prove_page(assembled.tag).proof(Kind.VACUUM, place="1A").latest
    log = kept_log(test)
    gauge = next(each for each in gauges() if each.name == name)

    assert reading.gauge is not None
    assert (reading.gauge.name, test.gauge, log.gauge) == (name, name, name)
    # 0.2 inHg, of which the even readings scatter next to nothing; 4 % of 250 cm3.
    assert reading.u == pytest.approx(0.2 * INHG_KPA, rel=0.05)
    assert reading.u_bias == pytest.approx(0.2 * INHG_KPA, rel=0.05)
    assert log.u_volume_cm3 == pytest.approx(10.0)
    assert "10.0 cm³ in the volume" in test.found
    assert "that VG-2 may be out by in every reading alike" in test.found
    assert (gauge.readings_count, gauge.heads_count) == (1, 1)
    assert [each.head.tag for each in heads_since_check(gauge.id).heads] == [assembled.tag]
    assert leak_page(assembled.tag, place="1B").last.gauge == name


def test_a_gauge_that_may_be_out_by_more_than_the_room_gives_no_pass(
    assembled: Head, machinist: Person, owner: Person
) -> None:
    # 24.3 inHg of 27 is asked; the port ends 1.2 inHg above it, and the gauge is good to 1.
    readings = "0 25.6\n5 25.6\n10 25.6\n15 25.5\n20 25.5\n25 25.5\n30 25.5"
    bare = keep(assembled, machinist, readings=readings)
    doubted = keep(
        assembled, machinist, readings=readings, gauge=shop.add_vacuum_gauge(owner, u="1")
    )
    assert bare.passed
    assert not doubted.passed
    assert "Too close to call" in doubted.sentence


def test_figures_on_the_marks_of_a_coarse_dial_were_read_in_its_steps(
    assembled: Head, machinist: Person, owner: Person
) -> None:
    name = shop.add_vacuum_gauge(owner, u="0.01")
    on_marks = "0 26.0\n5 26.0\n10 26.0\n15 25.5\n20 25.5\n25 25.5\n30 25.5"
    between = on_marks.replace("25.5\n20", "25.7\n20")
    steps = [
        ProofTest.objects.get(
            pk=keep(assembled, machinist, readings=lines, gauge=name).test_id
        ).conditions["log"]["step_kpa"]
        for lines in (on_marks, between)
    ]
    assert steps == pytest.approx([0.5 * INHG_KPA, 0.1 * INHG_KPA])


def test_the_odd_port_is_named_from_four_logs_on(assembled: Head, machinist: Person) -> None:
    for place in VALVES[:3]:
        keep(assembled, machinist, place)
    three = odd_port_words(prove_page(assembled.tag).proofs)
    keep(assembled, machinist, "2B", readings=lines(110.0))
    four = odd_port_words(prove_page(assembled.tag).proofs)

    assert three == "Log one port more to see whether one of them is the odd one out."
    assert four.startswith("2B is the odd one out of 4")


def test_ports_that_were_only_read_say_nothing_of_each_other(assembled: Head) -> None:
    assert odd_port_words(prove_page(assembled.tag).proofs) == ""


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"readings": "0 26\n5 many\n10 25"}, "readings", "line 2: 'many' is no number"),
        ({"readings": "0 26\n5 25\n4 24"}, "readings", "the time must grow"),
        ({"readings": "0 31\n5 30.5\n10 30.2"}, "readings", "deeper than the atmosphere"),
        ({"readings": "0 -2\n5 -3\n9 -3"}, "readings", "a reading below 0 cannot be"),
        ({"readings": "t_s,p_kpa\n0,130\n5,131\n9,132"}, "readings", "below the atmosphere"),
        ({"readings": "0 26\n5 25.9"}, "readings", "2 of 3 readings"),
        ({"readings": ""}, "readings", "No reading is there yet"),
        ({"dead_head": "99"}, "dead_head", "atmosphere of 29.9 inHg, got 99.0 inHg"),
        ({"temperature": "999"}, "temperature", "from -40 to 302 °F (got 999)"),
        ({"volume": ""}, "volume", "still empty"),
        ({"volume": "a cup"}, "volume", "is no number"),
        ({"volume": "-3"}, "volume", "more than nothing"),
        ({"volume": "9e9"}, "volume", "from 0.1 to 1,000,000"),
        ({"u_volume": "some"}, "u_volume", "is no number"),
        ({"u_volume": "250"}, "u_volume", "less than the volume itself"),
        ({"u_volume": "120 %"}, "u_volume", "less than the volume itself"),
        ({"gauge": "VG-9"}, "gauge", "is not on record"),
        ({"gauge": "DG-2"}, "gauge", "reads in in, no vacuum"),
        ({"dead_head": ""}, "dead_head", "still empty"),
        ({"dead_head": "20"}, "dead_head", "no more than the pump's own reading"),
        ({"hold": "0"}, "hold", "more than nothing"),
        ({"atmosphere": "thin"}, "atmosphere", "a pressure or a height"),
        ({"atmosphere": "3 kPa"}, "atmosphere", "from 11.8 inHg to 35.4 inHg"),
    ],
)
def test_what_cannot_be_gets_one_sentence_at_its_field(
    assembled: Head,
    machinist: Person,
    owner: Person,
    typed: dict[str, str],
    field: str,
    words: str,
) -> None:
    shop.add_depth_gauge(owner)
    with pytest.raises(DeedRefused, match=r".") as refused:
        keep(assembled, machinist, **typed)
    assert refused.value.field == field
    assert words in refused.value.sentence
    assert not ProofTest.objects.exists()
    assert not Reading.objects.exists()


def test_a_log_longer_than_a_test_keeps_is_refused(assembled: Head, machinist: Person) -> None:
    many = "\n".join(f"{n} 26.0" for n in range(MOST_KEPT_COUNT + 1))
    with pytest.raises(DeedRefused, match="log less often"):
        keep(assembled, machinist, readings=many)


def test_the_same_log_is_kept_once(assembled: Head, machinist: Person) -> None:
    typed, uuid = LogTyped(readings=lines(30.0), volume="250", dead_head="27"), uuid4()
    told = {"tag": assembled.tag, "place": "1A", "typed": typed, "uuid": uuid, "by": machinist}
    record_vacuum_log(**told)
    with pytest.raises(DeedRefused, match="kept already"):
        record_vacuum_log(**told)
    assert ProofTest.objects.count() == 1


def test_a_record_holds_the_digest_of_the_readings(assembled: Head, machinist: Person) -> None:
    keep(assembled, machinist)
    conditions = ProofTest.objects.get().conditions
    told = told_conditions(conditions)
    other = json.loads(json.dumps(conditions))
    other["log"]["pressure_kpa"][3] += 0.001

    assert "pressure_kpa" not in told["log"]
    assert told["log"]["readings_count"] == 7
    assert len(told["log"]["readings_digest"]) == len(sha256().hexdigest())
    assert told_conditions(other)["log"]["readings_digest"] != told["log"]["readings_digest"]


def test_a_viewer_may_not_keep(assembled: Head, viewer: Person) -> None:
    with pytest.raises(DeedRefused, match="may look"):
        keep(assembled, viewer)
