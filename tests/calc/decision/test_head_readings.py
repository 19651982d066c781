"""All readings of a head: judged in walking order, missing named, loads derived, slips asked."""

from dataclasses import replace

import pytest

from castworthy.calc.decision.head import judge_readings, neighbours_of, required_sites
from castworthy.calc.decision.loads import derived_readings
from castworthy.calc.decision.slips import SlipKind
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet, Limit, Reading, Spring, ValveKind
from castworthy.calc.quantity import Quantity

INCH = 25.4
RECESSION = Limit(quantity=Quantity.RECESSION, low=0.0325 * INCH, high=0.0465 * INCH)
FLATNESS = Limit(quantity=Quantity.FLATNESS, high=0.05)
VACUUM = Limit(quantity=Quantity.VACUUM_HOLD, low=70.0)
COIL_BIND = Limit(quantity=Quantity.COIL_BIND, low=1.5)
SEAT_LOAD = Limit(quantity=Quantity.SEAT_LOAD, low=180.0, high=230.0)
SPRING = Spring(rate_n_per_mm=24.0, free_mm=42.5, solid_mm=22.0, lift_mm=9.2)


def recession(place: str, value_in: float) -> Reading:
    return Reading(quantity=Quantity.RECESSION, place=place, value=value_in * INCH, u=0.005)


def limited(small_head: HeadSheet, *limits: Limit, springs: tuple[Spring, ...] = ()) -> HeadSheet:
    return replace(small_head, limits=limits, springs=springs)


def test_readings_come_back_in_walking_order(small_head: HeadSheet) -> None:
    sheet = limited(small_head, FLATNESS, RECESSION)
    flat = Reading(quantity=Quantity.FLATNESS, place="", value=0.08)
    read = judge_readings(sheet, readings=[flat, recession("1D", 0.04), recession("1B", 0.0493)])

    assert [(j.quantity, j.place) for j in read.judgements] == [
        (Quantity.RECESSION, "1B"),
        (Quantity.RECESSION, "1D"),
        (Quantity.FLATNESS, ""),
    ]
    assert [j.place for j in read.outside] == ["1B", ""]
    assert read.missing == ((Quantity.RECESSION, "1A"), (Quantity.RECESSION, "1C"))


def test_the_sheets_confidence_counts(small_head: HeadSheet) -> None:
    sheet = limited(small_head, RECESSION)
    near = recession("1A", 0.0461)
    loose = replace(sheet, work=replace(sheet.work, confidence_probability=0.90))
    strict = replace(sheet, work=replace(sheet.work, confidence_probability=0.99))

    assert judge_readings(loose, readings=[near]).judgements[0].verdict is Verdict.INSIDE
    assert judge_readings(strict, readings=[near]).judgements[0].verdict is Verdict.CLOSE
    assert [j.place for j in judge_readings(strict, readings=[near]).close] == ["1A"]


def test_limits_of_one_kind_ask_for_that_kind_only(small_head: HeadSheet) -> None:
    exhaust = replace(RECESSION, valve_kind=ValveKind.EXHAUST)

    assert required_sites(limited(small_head, exhaust)) == (
        (Quantity.RECESSION, "1C"),
        (Quantity.RECESSION, "1D"),
    )


def test_what_is_proved_by_a_test_is_no_missing_reading(small_head: HeadSheet) -> None:
    assert required_sites(limited(small_head, VACUUM, FLATNESS)) == ((Quantity.FLATNESS, ""),)


def test_a_known_spring_asks_for_its_height_instead_of_loads(small_head: HeadSheet) -> None:
    bare = limited(small_head, COIL_BIND, SEAT_LOAD)
    sprung = limited(small_head, COIL_BIND, SEAT_LOAD, springs=(SPRING,))

    assert {q for q, _ in required_sites(bare)} == {Quantity.COIL_BIND, Quantity.SEAT_LOAD}
    assert required_sites(sprung) == tuple(
        (Quantity.SPRING_HEIGHT, name) for name in ("1A", "1B", "1C", "1D")
    )


def test_loads_follow_from_the_height(small_head: HeadSheet) -> None:
    # By hand: 24 * (42.5 - 34) = 204 N; 34 - 9.2 - 22 = 2.8 mm; 24 N/mm times u.
    sheet = limited(small_head, COIL_BIND, SEAT_LOAD, springs=(SPRING,))
    height = Reading(
        quantity=Quantity.SPRING_HEIGHT, place="1A", value=34.0, u=0.02, u_bias=0.01, resolution=0.1
    )
    load, room = derived_readings(sheet, readings=[height])

    assert (load.quantity, load.value, load.u) == (Quantity.SEAT_LOAD, 204.0, pytest.approx(0.48))
    assert (load.u_bias, load.resolution) == (pytest.approx(0.24), pytest.approx(2.4))
    assert (room.quantity, room.value, room.u) == (
        Quantity.COIL_BIND,
        pytest.approx(2.8),
        pytest.approx(0.02),
    )


def test_the_open_load_is_at_full_lift(small_head: HeadSheet) -> None:
    # By hand: 24 * (42.5 - 34 + 9.2) = 424.8 N.
    sheet = limited(small_head, Limit(quantity=Quantity.OPEN_LOAD, low=300.0), springs=(SPRING,))
    height = Reading(quantity=Quantity.SPRING_HEIGHT, place="1A", value=34.0)

    (load,) = derived_readings(sheet, readings=[height])
    assert (load.value, load.u) == (pytest.approx(424.8), None)


def test_a_load_that_was_read_is_not_derived(small_head: HeadSheet) -> None:
    sheet = limited(small_head, SEAT_LOAD, springs=(SPRING,))
    height = Reading(quantity=Quantity.SPRING_HEIGHT, place="1A", value=34.0)
    load = Reading(quantity=Quantity.SEAT_LOAD, place="1A", value=150.0)
    read = judge_readings(sheet, readings=[height, load])

    assert [(j.quantity, j.value) for j in read.judgements] == [(Quantity.SEAT_LOAD, 150.0)]


def test_neighbours_are_of_the_same_kind_of_valve(small_head: HeadSheet) -> None:
    readings = [recession(place, i) for i, place in enumerate(("1A", "1B", "1C", "1D"), start=1)]

    assert neighbours_of(
        small_head, quantity=Quantity.RECESSION, place="1C", readings=readings
    ) == (4 * INCH,)


def test_slips_are_asked_about(small_head: HeadSheet) -> None:
    read = judge_readings(limited(small_head, RECESSION), readings=[recession("1A", 0.39)])

    assert [(slip.place, slip.kind) for slip in read.slips] == [("1A", SlipKind.POWER_OF_TEN)]


def test_twice_one_place_is_a_wrong_call(small_head: HeadSheet) -> None:
    twice = [recession("1A", 0.039), recession("1A", 0.040)]

    with pytest.raises(InputError, match="average repeats first"):
        judge_readings(limited(small_head, RECESSION), readings=twice)


def test_a_place_of_no_sheet_is_a_wrong_call(small_head: HeadSheet) -> None:
    with pytest.raises(InputError, match="has no such place"):
        judge_readings(limited(small_head, RECESSION), readings=[recession("9Z", 0.039)])
