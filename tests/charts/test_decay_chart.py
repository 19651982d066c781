"""The chart of a vacuum log says what its figures say: positions are arithmetic, no source."""

from itertools import pairwise

import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.decay import DecayFigure, decay_chart
from castworthy.charts.theme import Theme
from castworthy.units import Show

INHG_KPA = 3.386389
TIMES = (0.0, 5.0, 10.0, 15.0)
VACUUMS = (88.0, 86.0, 84.0, 83.0)


def figure(**other: object) -> DecayFigure:
    told = {
        "time_s": TIMES,
        "vacuum_kpa": VACUUMS,
        "hold_s": 30.0,
        "show": Show(length="mm"),
        "least_kpa": 70.0,
        "pump_kpa": 90.0,
    }
    return DecayFigure(**(told | other))  # type: ignore[arg-type]


def fitted(**other: object) -> DecayFigure:
    times = [float(t) for t in range(0, 31, 3)]
    curve = {"curve_s": times, "curve_kpa": [88.0 - t / 3.0 for t in times]}
    held = {"held_kpa": 78.0, "u_held_kpa": 1.0, "verdict": Verdict.INSIDE}
    return figure(**curve, **held, **other)


def rounds(tree):
    found = tree.findall("g[@class='cw-readings']/circle")
    return [(float(each.get("cx")), float(each.get("cy"))) for each in found]


def level(tree, hook):
    """How high a level line stands."""
    return float(tree.find(f"path[@class='{hook}']").get("d").split()[1].split("L")[0])


def test_readings_stand_in_proportion_between_the_lines(parse):
    tree = parse(decay_chart(figure()))
    points = rounds(tree)
    least, pump = level(tree, "cw-least"), level(tree, "cw-pump")
    for (_, y), vacuum in zip(points, VACUUMS, strict=True):
        assert (least - y) / (least - pump) == pytest.approx((vacuum - 70.0) / 20.0, abs=1e-3)
    steps = [right - left for (left, _), (right, _) in pairwise(points)]
    assert steps == pytest.approx([steps[0]] * 3, abs=2e-3)


def test_the_hold_ends_where_its_time_says(parse):
    tree = parse(decay_chart(figure()))
    first, *_, last = [x for x, _ in rounds(tree)]
    hold = float(tree.find("path[@class='cw-hold']").get("d")[1:].split()[0])
    assert (hold - first) / (last - first) == pytest.approx(30.0 / 15.0, abs=1e-3)


def test_the_whisker_is_twice_the_standard_uncertainty_to_each_side(parse):
    tree = parse(decay_chart(fitted()))
    d = tree.find("g[@class='cw-held']/path[@class='cw-whisker']").get("d")
    up, down = (float(part.split()[1].split("L")[0]) for part in d.split("M")[1].split("L"))
    per_kpa = (level(tree, "cw-least") - level(tree, "cw-pump")) / 20.0
    assert (down - up) / per_kpa == pytest.approx(4.0, abs=1e-3)


def test_the_curve_is_dashed_past_the_last_reading(parse):
    tree = parse(decay_chart(fitted()))
    over, ahead = tree.find("path[@class='cw-fit']"), tree.find("path[@class='cw-ahead']")
    assert over.get("stroke-dasharray") is None
    assert ahead.get("stroke-dasharray")
    assert ahead.get("d").split("L")[0][1:] == over.get("d").split("L")[-1]


def test_a_stray_reading_is_a_cross(parse):
    tree = parse(decay_chart(figure(strays_s=(5.0,))))
    assert len(tree.findall("g/path[@class='cw-stray']")) == 1
    assert len(rounds(tree)) == len(TIMES) - 1


def test_figures_are_in_the_units_the_person_reads(parse):
    words = "".join(parse(decay_chart(figure(show=Show(length="thou")))).itertext())
    assert "inHg" in words
    assert f"least {70.0 / INHG_KPA:.1f} inHg" in words
    assert "kPa" not in words


@pytest.mark.parametrize("verdict", list(Verdict))
def test_paper_is_black_on_white(verdict):
    drawn = decay_chart(fitted() if verdict is Verdict.INSIDE else figure(), theme=Theme.PRINT)
    assert "var(" not in drawn
    assert "#1D4F91" not in drawn


def test_a_name_cannot_break_out_of_the_drawing():
    assert "<script" not in decay_chart(figure(title="<script>1A"))


def test_a_long_log_is_drawn_in_few_rounds(parse):
    times = [0.1 * n for n in range(5000)]
    tree = parse(decay_chart(figure(time_s=times, vacuum_kpa=[88.0] * 5000)))
    assert len(rounds(tree)) <= 400


def test_one_reading_and_none_are_drawn(parse):
    assert len(rounds(parse(decay_chart(figure(time_s=(0.0,), vacuum_kpa=(88.0,)))))) == 1
    assert rounds(parse(decay_chart(figure(time_s=(), vacuum_kpa=())))) == []
