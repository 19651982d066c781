"""The odd port of a head, and a port beside the pump."""

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
    """Median 0.012, deviations 0.002 0.001 0 0.001 0.038: MAD 0.001, sigma 0.0014826."""
    found = compared(0.010, 0.011, 0.012, 0.013, 0.050)

    assert found.usual_pa_m3_per_s == 0.012
    assert found.spread_pa_m3_per_s == pytest.approx(0.0014826)
    assert found.ports[0].score == pytest.approx(0.038 / 0.0014826)
    assert found.odd == ("5A",)
    assert found.sentence.startswith("5A is the odd one out of 5: it leaks 4.2 times the usual 7.1")


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


def test_a_weak_pump_is_told_by_the_air_it_works_in() -> None:
    """22 inHg is weak at the sea and sound at 1,500 m, where the air is 24.9 inHg."""
    weak = compare_with_pump(held_kpa=70, dead_head_kpa=74.5, atmosphere_kpa=101.3, show=Show())
    high = compare_with_pump(held_kpa=70, dead_head_kpa=74.5, atmosphere_kpa=84.6, show=Show())

    assert "Look for a leak in line or adapter" in weak.cautions[0]
    assert high.cautions == ()
    with pytest.raises(InputError, match="at most the atmosphere"):
        compare_with_pump(held_kpa=70, dead_head_kpa=90.0, atmosphere_kpa=84.6, show=Show())
