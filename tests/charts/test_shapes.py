"""The shapes of LOOK, told apart without colour."""

import re

import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.legend import legend
from castworthy.charts.shapes import hatch_box, hatch_round, verdict_mark
from castworthy.charts.theme import Theme


def _form(svg):
    """The drawing without its colours, words and class."""
    inner = re.sub(r"<title>.*?</title>", "", svg)
    inner = inner[inner.index(">") + 1 :]
    return re.sub(r' (?:fill|stroke|class)="(?!none)[^"]*"', "", inner)


def test_each_verdict_has_a_form_of_its_own():
    full = {v: verdict_mark(v, theme=Theme.PRINT) for v in Verdict}
    struck = {verdict_mark(v, theme=Theme.PRINT, stale=True) for v in Verdict}
    round_filled = re.search(r'<circle[^>]*fill="#000000"', full[Verdict.INSIDE])
    round_open = re.search(r'<circle[^>]*fill="#FFFFFF"', full[Verdict.MISSING])
    assert round_filled is not None
    assert round_open is not None
    assert "<circle" not in full[Verdict.OUTSIDE]
    assert "A" in re.search(r'<path d="([^"]+)"', full[Verdict.CLOSE]).group(1)
    assert len({_form(svg) for svg in (full[Verdict.OUTSIDE], full[Verdict.CLOSE])}) == 2
    assert len(struck) == 4
    assert struck.isdisjoint(full.values())


@pytest.mark.parametrize("verdict", list(Verdict))
def test_a_mark_says_its_verdict_or_leaves_it_to_the_word_beside_it(parse, verdict):
    spoken = parse(verdict_mark(verdict))
    assert spoken.get("aria-label") == spoken.find("title").text == verdict.value
    silent = parse(verdict_mark(verdict, labelled=False))
    assert silent.get("aria-hidden") == "true"
    assert silent.find("title") is None


def test_hollow_and_solid_differ():
    for verdict in (Verdict.INSIDE, Verdict.OUTSIDE, Verdict.CLOSE):
        assert verdict_mark(verdict) != verdict_mark(verdict, hollow=True)


def test_the_legend_names_every_verdict_once(parse):
    tree = parse(legend(stale=True))
    words = [line.text for line in tree.iter("text")]
    assert words == [*(verdict.value for verdict in Verdict), "taken before later work"]
    width = float(tree.get("width"))
    assert all(float(line.get("x")) < width for line in tree.iter("text"))


def test_hatching_stays_in_its_box():
    svg = hatch_box(x=10, y=5, width=40, height=12, gap=3, colour="#000000", line=1)
    points = re.findall(r"([\d.]+) ([\d.]+)", re.search(r'd="([^"]+)"', svg).group(1))
    assert len(points) > 20
    for x, y in points:
        assert 10 <= float(x) <= 50
        assert 5 <= float(y) <= 17


def test_hatching_stays_in_its_round():
    svg = hatch_round(x=20, y=20, radius=8, gap=2, colour="#000000", line=1)
    points = re.findall(r"([\d.]+) ([\d.]+)", re.search(r'd="([^"]+)"', svg).group(1))
    assert len(points) >= 14
    for x, y in points:
        assert (float(x) - 20) ** 2 + (float(y) - 20) ** 2 <= 8.01**2
