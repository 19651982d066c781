"""The odd port of a head, and a port beside the pump."""

from dataclasses import replace
from math import isfinite

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.errors import InputError
from castworthy.calc.leak.ports import (
    PortComparison,
    PortLeak,
    compare_ports,
    compare_with_pump,
)
from castworthy.calc.outcome import Refused
from castworthy.units import Show


def compared(*leaks: float) -> PortComparison:
    found = compare_ports(
        tuple(PortLeak(place=f"{i}A", leak_pa_m3_per_s=leak) for i, leak in enumerate(leaks, 1))
    )
    assert isinstance(found, PortComparison)
    return found


def test_scores_by_hand() -> None:
    """Roots 0.07 0.08 0.09 0.10 0.30: middle 0.09, deviations 0.02 0.01 0 0.01 0.21, MAD 0.01."""
    found = compared(0.0049, 0.0064, 0.0081, 0.0100, 0.0900)

    assert found.usual_pa_m3_per_s == 0.0081
    assert found.ports[0].score == pytest.approx(0.21 / 0.014826)
    assert found.odd == ("5A",)
    assert found.sentence.startswith(
        "5A is the odd one out of 5: it leaks 11.1 times the usual 4.8"
    )


def test_the_floor_of_ports_that_tie_is_a_tenth_of_the_usual_leak() -> None:
    """Four ports at 0.04 and one at 0.06: MAD 0, spread sqrt(0.044) - sqrt(0.04) = 0.00976."""
    found = compared(0.04, 0.04, 0.04, 0.04, 0.06)

    assert found.ports[0].score == pytest.approx((0.06**0.5 - 0.2) / (0.044**0.5 - 0.2))
    assert found.odd == ()
    assert compared(0.04, 0.04, 0.04, 0.04, 0.07).odd == ("5A",)


def test_ports_alike_have_no_odd_one() -> None:
    found = compared(0.010, 0.011, 0.012, 0.013)

    assert found.odd == ()
    assert found.sentence == "No odd one out among 4 ports; the usual leak is 6.81 std cm³/min."


def test_tight_ports_beside_one_that_leaks() -> None:
    found = compared(0.0, 0.0, 0.0, 0.0, 0.03, 0.02)

    assert found.odd == ("5A", "6A")
    assert "where the others hold. 6A too." in found.sentence


def test_a_difference_no_seat_test_can_tell_is_not_odd() -> None:
    assert compared(0.0, 0.0, 0.0, 0.0, 0.003).odd == ()


def test_ports_known_poorly_are_not_called_odd() -> None:
    ports = [
        PortLeak(place=str(i), leak_pa_m3_per_s=leak, u_leak_pa_m3_per_s=0.02)
        for i, leak in enumerate((0.01, 0.01, 0.01, 0.05))
    ]
    found = compare_ports(tuple(ports))

    assert isinstance(found, PortComparison)
    assert found.odd == ()
    sure = compare_ports(tuple(replace(port, u_leak_pa_m3_per_s=0.001) for port in ports))
    assert isinstance(sure, PortComparison)
    assert sure.odd == ("3",)


ALIKE = st.lists(st.floats(0.85, 1.15), min_size=3, max_size=23)


@given(ALIKE, st.floats(0.05, 2.0), st.floats(9.0, 100.0), st.integers(0, 23))
def test_a_planted_port_is_found_and_none_beside_it(
    leaks: list[float], usual: float, factor: float, at: int
) -> None:
    """Nine times the others, which lie within 15 % of each other: worst case 4.8 scores off."""
    planted = [usual * leak for leak in leaks]
    at = min(at, len(planted))
    planted.insert(at, usual * factor)

    assert compared(*planted).odd == (f"{at + 1}A",)


@given(ALIKE.filter(lambda leaks: len(leaks) >= 4), st.floats(0.0, 2.0))
def test_ports_within_fifteen_per_cent_are_never_odd(leaks: list[float], usual: float) -> None:
    assert compared(*(usual * leak for leak in leaks)).odd == ()


@given(st.lists(st.sampled_from([0.0, 0.01, 0.02]), min_size=4, max_size=24))
def test_ties_break_nothing(leaks: list[float]) -> None:
    found = compared(*leaks)

    assert all(isfinite(port.score) for port in found.ports)
    assert {port.leak_pa_m3_per_s for port in found.ports if port.odd} <= {0.01, 0.02}


@pytest.mark.parametrize("count", [4, 5, 6, 8, 12, 24])
def test_ports_alike_show_an_odd_one_on_one_head_in_twenty(count: int) -> None:
    """4,000 made heads: 5 % give or take three standard deviations of that count (1.03 %).

    The floor of ports that tie takes a few of the small heads off again, up to 1 % of them.
    """
    rng = np.random.default_rng(count)
    diameters = np.abs(1.0 + 0.25 * rng.standard_normal((4000, count)))
    heads_count = sum(bool(compared(*(0.05 * head**2)).odd) for head in diameters)

    assert 0.0297 <= heads_count / 4000 <= 0.0603


@given(st.lists(st.floats(0.0, 1.0), min_size=4, max_size=24), st.floats(0.1, 10.0))
def test_neither_order_nor_a_larger_unit_matters(leaks: list[float], factor: float) -> None:
    """Above the floor of what can be told, the odd ones stay when every leak grows alike."""
    leaks = [0.02 + leak for leak in leaks]
    forward, backward = compared(*leaks), compared(*leaks[::-1])
    scores = sorted(port.score for port in forward.ports)

    assert scores == pytest.approx(sorted(port.score for port in backward.ports))
    assert [port.score for port in forward.ports] == sorted(scores, reverse=True)
    grown = compared(*(leak * max(factor, 1.0) for leak in leaks))
    assert [port.score for port in grown.ports] == pytest.approx(
        [port.score for port in forward.ports], rel=1e-6, abs=1e-9
    )


def test_too_few_or_wrong_ports() -> None:
    refused = compare_ports((PortLeak(place="1A", leak_pa_m3_per_s=0.1),) * 1)
    assert isinstance(refused, Refused)
    assert refused.sentence == (
        "No port can be called odd among 1. Log 4 ports of this head or more."
    )
    with pytest.raises(InputError, match="given twice"):
        compare_ports((PortLeak(place="1A", leak_pa_m3_per_s=0.1),) * 2)
    with pytest.raises(InputError, match="0 or more"):
        compare_ports((PortLeak(place="1A", leak_pa_m3_per_s=-0.1),))


def test_a_port_beside_the_pump() -> None:
    inch = 3.386389
    found = compare_with_pump(
        held_kpa=24.0 * inch, dead_head_kpa=26.0 * inch, atmosphere_kpa=101.325, show=Show()
    )

    assert found.share_ratio == pytest.approx(24 / 26)
    assert found.sentence == "Holds 24.0 inHg, 92% of the pump's 26.0 inHg today."
    assert found.cautions == ()


def test_a_tight_port_may_read_as_much_as_the_pump_and_a_hair_more() -> None:
    """Two readings of one vacuum differ by the gauge: 88.1 against 88.0 kPa is a tight port."""
    found = compare_with_pump(
        held_kpa=88.1, dead_head_kpa=88.0, atmosphere_kpa=101.325, show=Show(length="mm")
    )

    assert found.share_ratio == pytest.approx(88.1 / 88.0)
    assert "100% of the pump's 88.0 kPa today" in found.sentence
    with pytest.raises(InputError, match="read both again"):
        compare_with_pump(held_kpa=91, dead_head_kpa=88, atmosphere_kpa=101.325, show=Show())


def test_a_weak_pump_is_told_by_the_air_it_works_in() -> None:
    """22 inHg is weak at the sea and sound at 1,500 m, where the air is 24.9 inHg."""
    weak = compare_with_pump(held_kpa=70, dead_head_kpa=74.5, atmosphere_kpa=101.3, show=Show())
    high = compare_with_pump(held_kpa=70, dead_head_kpa=74.5, atmosphere_kpa=84.6, show=Show())

    assert "Look for a leak in line or adapter" in weak.cautions[0]
    assert high.cautions == ()
    with pytest.raises(InputError, match="at most the atmosphere"):
        compare_with_pump(held_kpa=70, dead_head_kpa=90.0, atmosphere_kpa=84.6, show=Show())
