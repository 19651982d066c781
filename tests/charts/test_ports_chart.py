"""Small charts of many logs stand on one scale; positions are arithmetic, no source."""

import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.ports import PortTrace, ports_chart, scale_ends
from castworthy.units import Show

TIMES = (0.0, 10.0, 20.0, 30.0)


def port(place: str, *vacuums: float, **other: object) -> PortTrace:
    told = {
        "place": place,
        "time_s": TIMES,
        "vacuum_kpa": vacuums,
        "curve_s": TIMES,
        "curve_kpa": vacuums,
        "words": f"{vacuums[-1]:.1f}",
        "verdict": Verdict.INSIDE,
    }
    return PortTrace(**(told | other))  # type: ignore[arg-type]


def rounds(tree, at: int) -> list[tuple[float, float]]:
    found = tree.findall("g[@class='cw-port']")[at].findall("circle[@class='cw-reading']")
    return [(float(each.get("cx")), float(each.get("cy"))) for each in found]


def test_every_port_has_its_box_and_one_scale_rules_them_all(parse):
    ports = [port(f"{n}A", 88.0, 87.0, 86.0, 85.0 - n) for n in range(9)]
    tree = parse(ports_chart(ports, show=Show(length="mm"), pump_kpa=90.0))
    slopes = []
    for at in range(9):
        (_, first), (_, second), *_ = rounds(tree, at)
        slopes.append(second - first)

    assert len(tree.findall("g[@class='cw-port']")) == 9
    assert slopes == pytest.approx([slopes[0]] * 9, abs=2e-3)
    assert slopes[0] > 0  # a leak falls
    # the ninth port begins the second row, under the first
    assert rounds(tree, 8)[0][0] == pytest.approx(rounds(tree, 0)[0][0])
    assert rounds(tree, 8)[0][1] > rounds(tree, 0)[0][1]


def test_the_odd_one_is_named_and_a_limit_off_the_scale_is_not_drawn(parse):
    ports = [port("1A", 88.0, 88.0, 88.0, 88.0), port("1B", 88.0, 86.0, 84.0, 82.0, odd=True)]
    near, far = (
        parse(ports_chart(ports, show=Show(length="mm"), pump_kpa=90.0, least_kpa=least))
        for least in (83.0, 60.0)
    )

    assert [each.text for each in near.iter("text")].count("odd") == 1
    assert len(near.findall("path[@class='cw-least']")) == 2
    assert far.findall("path[@class='cw-least']") == []
    assert len(far.findall("path[@class='cw-pump']")) == 2


def test_tight_ports_do_not_look_like_leaking_ones():
    """The scale never spans less than about 2 inHg, 6.8 kPa."""
    low, high = scale_ends([port("1A", 88.0, 88.0, 87.9, 88.0)], pump_kpa=None)
    assert high - low >= 6.8


def test_what_a_person_typed_is_escaped_and_nothing_is_drawn_of_nothing(parse):
    svg = ports_chart([port("<b>", 88.0, 87.0, 86.0, 85.0)], show=Show())
    assert "<b>" not in svg
    assert parse(svg).get("role") == "img"
    assert ports_chart([], show=Show()) == ""
