"""The chart of a gap says what its figures say: positions are arithmetic, no source."""

import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.gap import GapFigure, gap_chart
from castworthy.charts.theme import Theme
from castworthy.units import Show

ANGLES = (-10.0, -5.0, 0.0, 5.0, 10.0)
NOW = (2.0, 1.4, 1.2, 1.5, 2.2)


def figure(**other: object) -> GapFigure:
    told = {
        "crank_deg": ANGLES,
        "now_mm": NOW,
        "least_deg": 0.0,
        "least_mm": 1.2,
        "wanted_mm": 0.8,
        "show": Show(length="mm"),
    }
    return GapFigure(**(told | other))  # type: ignore[arg-type]


def rounds(tree):
    found = tree.findall("g[@class='cw-points']/circle")
    return [(float(each.get("cx")), float(each.get("cy"))) for each in found]


def level(tree, hook):
    return float(tree.find(f"path[@class='{hook}']").get("d").split()[1].split("L")[0])


def test_points_stand_in_proportion_above_the_least(parse):
    tree = parse(gap_chart(figure()))
    points, wanted = rounds(tree), level(tree, "cw-wanted")
    scale = (wanted - points[2][1]) / (1.2 - 0.8)
    for (x, y), angle, gap in zip(points, ANGLES, NOW, strict=True):
        assert wanted - y == pytest.approx(scale * (gap - 0.8), abs=2e-2)
        assert x - points[2][0] == pytest.approx(
            (points[4][0] - points[2][0]) * angle / 10.0, abs=2e-3
        )


def test_now_is_dashed_where_work_is_planned(parse):
    tree = parse(gap_chart(figure(after_mm=[gap - 0.1 for gap in NOW], least_mm=1.1)))
    now, after = (tree.find(f"path[@class='{hook}']") for hook in ("cw-gap-now", "cw-gap-after"))
    assert now.get("stroke-dasharray")
    assert after.get("stroke-dasharray") is None
    assert "after the work" in "".join(tree.itertext())


def test_a_touching_valve_shows_where_the_piston_is(parse):
    tree = parse(gap_chart(figure(now_mm=[gap - 1.5 for gap in NOW], least_mm=-0.3)))
    touch = level(tree, "cw-touch")
    assert rounds(tree)[2][1] > touch > rounds(tree)[0][1]


@pytest.mark.parametrize("verdict", list(Verdict))
def test_the_whisker_is_two_uncertainties_long(parse, verdict):
    tree = parse(gap_chart(figure(u_least_mm=0.1, verdict=verdict)))
    whisker = tree.find("g[@class='cw-least-gap']/path[@class='cw-whisker']").get("d")
    up, down = (float(end.split()[1]) for end in whisker[1:].split("M")[0].split("L"))
    points = rounds(tree)
    px_per_mm = (points[0][1] - points[2][1]) / (NOW[2] - NOW[0])
    assert down - up == pytest.approx(0.4 * px_per_mm, abs=2e-2)


def test_paper_has_no_tint_and_inches_are_told(parse):
    assert "cw-refused" not in gap_chart(figure(), theme=Theme.PRINT)
    assert "0.0472 in" in "".join(parse(gap_chart(figure(show=Show(length="thou")))).itertext())
