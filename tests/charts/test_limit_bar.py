"""A bar says what its numbers say: positions are arithmetic, common practice, no source."""

import re
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.bar import BarMark, LimitBar, limit_bar, scale_of
from castworthy.charts.scale import Scale, Tick, factor_of, ticks
from castworthy.charts.theme import Theme
from castworthy.units import Show

LOW, HIGH, AIM = 0.8255, 1.1811, 0.9906


def _middles(tree):
    """Where each mark stands: the round that clears the ground under its shape."""
    return [float(group.find("circle").get("cx")) for group in tree.findall("g[@class]")]


def _span(tree):
    box = tree.find("rect[@class='cw-span']")
    left = float(box.get("x"))
    return left, left + float(box.get("width"))


@given(value=st.floats(min_value=0.7, max_value=1.3))
def test_a_mark_stands_in_proportion(value):
    from xml.etree import ElementTree as ET

    svg = limit_bar(LimitBar(low=LOW, high=HIGH, marks=(BarMark(value=value),)))
    tree = ET.fromstring(re.sub(r' xmlns="[^"]+"', "", svg))
    left, right = _span(tree)
    share = (_middles(tree)[0] - left) / (right - left)
    assert share == pytest.approx((value - LOW) / (HIGH - LOW), abs=2e-5)


def test_the_whisker_is_twice_the_standard_uncertainty_to_each_side(parse):
    tree = parse(limit_bar(LimitBar(low=LOW, high=HIGH, marks=(BarMark(value=1.0, u=0.04),))))
    left, right = _span(tree)
    whisker = tree.find("g/path[@class='cw-whisker']").get("d")
    start, end = (float(x) for x in re.findall(r"([\d.]+) 10", whisker)[:2])
    assert (end - start) / (right - left) == pytest.approx(4 * 0.04 / (HIGH - LOW), abs=2e-5)
    assert (start + end) / 2 == pytest.approx(_middles(tree)[0], abs=1e-3)


def test_the_aim_stands_in_proportion(parse):
    tree = parse(limit_bar(LimitBar(low=LOW, high=HIGH, aim=AIM)))
    left, right = _span(tree)
    x = float(re.match(r"M([\d.]+)", tree.find("path[@class='cw-aim']").get("d")).group(1))
    assert (x - left) / (right - left) == pytest.approx((AIM - LOW) / (HIGH - LOW), abs=2e-5)


@given(
    first=st.floats(min_value=-50, max_value=50),
    width=st.floats(min_value=1e-4, max_value=400),
    length=st.sampled_from(["thou", "in", "mm"]),
    suffix=st.sampled_from(["mm", "um", "n", "cm3", "kpa"]),
)
def test_ticks_stand_at_round_values_of_the_shown_unit(first, width, length, suffix):
    show = Show(length=length)
    scale = Scale(first=first, last=first + width, left=9.0, right=231.0)
    found = ticks(scale, suffix=suffix, show=show, closest=6.0)
    factor = factor_of(suffix, show=show)
    assert 6 <= len(found) <= 38
    figures = [float(Fraction(value) / factor) for value, _ in found]
    step = min(b - a for a, b in pairwise(figures))
    round_step = float(f"{step:.0e}")
    assert step == pytest.approx(round_step, rel=1e-4)
    assert f"{round_step:.0e}"[0] in "125"
    for figure in figures:
        assert abs(figure / round_step - round(figure / round_step)) < 1e-6
    for a, b in pairwise(value for value, _ in found):
        assert scale.at(b) - scale.at(a) > 5.99


def test_every_fifth_and_tenth_tick_is_longer():
    scale = Scale(first=0.0, last=30.0, left=0.0, right=180.0)
    found = dict(ticks(scale, suffix="mm", show=Show(length="mm"), closest=6.0))
    assert found[10.0] is found[0.0] is Tick.MAJOR
    assert found[5.0] is Tick.HALF
    assert found[7.0] is Tick.MINOR


def test_the_same_limit_gives_the_same_scale():
    near = LimitBar(low=LOW, high=HIGH, marks=(BarMark(value=0.9, u=0.01),))
    far = LimitBar(low=LOW, high=HIGH, marks=(BarMark(value=1.25, u=0.01),))
    assert scale_of(near, width_px=240) == scale_of(far, width_px=240)


def test_a_value_outside_widens_the_scale_and_one_far_outside_is_said_to_be_beyond(parse):
    out = LimitBar(low=LOW, high=HIGH, marks=(BarMark(value=1.6, verdict=Verdict.OUTSIDE),))
    assert scale_of(out, width_px=240).last == pytest.approx(1.6)
    lost = LimitBar(low=LOW, high=HIGH, marks=(BarMark(value=25.4, verdict=Verdict.OUTSIDE),))
    scale = scale_of(lost, width_px=240)
    assert scale.last == pytest.approx(HIGH + 0.5 * (HIGH - LOW) + 3.0 * (HIGH - LOW))
    tree = parse(limit_bar(lost))
    assert tree.find("g/path[@class='cw-beyond']") is not None
    assert _middles(tree) == [231.0]
    assert parse(limit_bar(out)).find("g/path[@class='cw-beyond']") is None


@pytest.mark.parametrize(
    ("low", "high", "open_side"),
    [(None, 0.05, "left"), (10.9, None, "right"), (None, -0.2, "left"), (None, None, "both")],
)
def test_a_one_sided_limit_shades_to_the_end_of_the_scale(parse, low, high, open_side):
    value = 11.2 if low else 0.03
    tree = parse(limit_bar(LimitBar(low=low, high=high, marks=(BarMark(value=value, u=0.001),))))
    if open_side == "both":
        assert tree.find("rect[@class='cw-span']") is None
        return
    left, right = _span(tree)
    assert (left == 9.0) is (open_side == "left")
    assert (right == pytest.approx(231.0)) is (open_side == "right")


def test_a_dotted_way_leads_from_hollow_to_solid(parse):
    marks = (
        BarMark(value=1.25, verdict=Verdict.OUTSIDE, solid=False),
        BarMark(value=1.1, verdict=Verdict.INSIDE),
    )
    tree = parse(limit_bar(LimitBar(low=LOW, high=HIGH, marks=marks)))
    way = tree.find("path[@class='cw-way']")
    ends = [float(x) for x in re.findall(r"([\d.]+) 10", way.get("d"))]
    assert ends == pytest.approx(_middles(tree), abs=1e-3)
    hooks = [group.get("class") for group in tree.findall("g")]
    assert hooks == ["cw-mark cw-outside cw-hollow", "cw-mark cw-inside cw-solid"]


def test_labels_are_the_limits_in_the_persons_unit(parse):
    bar = LimitBar(low=LOW, high=HIGH, aim=AIM, show=Show(length="thou"))
    words = [line.text for line in parse(limit_bar(bar, labels=True)).findall("text")]
    assert words == ["0.0325", "0.0465", "0.0390"]
    metric = LimitBar(low=LOW, high=HIGH, show=Show(length="mm"))
    words = [line.text for line in parse(limit_bar(metric, labels=True)).findall("text")]
    assert words == ["0.826", "1.181"]


def test_equal_limits_and_no_marks_still_draw(parse):
    assert parse(limit_bar(LimitBar(low=1.0, high=1.0))).tag == "svg"
    assert parse(limit_bar(LimitBar(low=0.0, high=None))).tag == "svg"
    assert parse(limit_bar(LimitBar(low=None, high=None))).tag == "svg"


def test_a_title_is_spoken_and_never_markup(parse):
    nasty = '"><script>alert(1)</script>&\x00\x1b'
    svg = limit_bar(LimitBar(low=LOW, high=HIGH, title=nasty))
    tree = parse(svg)
    assert "<script" not in svg
    assert tree.get("role") == "img"
    assert tree.find("title").text == '"><script>alert(1)</script>&\ufffd\ufffd'
    assert tree.get("aria-label") == tree.find("title").text


def test_paper_bars_are_black_white_and_grey_and_hatched():
    marks = (BarMark(value=1.3, u=0.02, verdict=Verdict.OUTSIDE), BarMark(value=1.0, solid=False))
    svg = limit_bar(LimitBar(low=LOW, high=HIGH, aim=AIM, marks=marks), theme=Theme.PRINT)
    assert "var(" not in svg
    for red, green, blue in re.findall(r"#(..)(..)(..)", svg):
        assert red == green == blue
    assert svg.count("L") > 60


def test_page_bars_take_every_colour_from_the_page():
    svg = limit_bar(LimitBar(low=LOW, high=HIGH, aim=AIM, marks=(BarMark(value=1.0),)))
    assert re.findall(r'(?:fill|stroke)="(?!none|var\(--)[^"]*"', svg) == []
    assert "style=" not in svg
