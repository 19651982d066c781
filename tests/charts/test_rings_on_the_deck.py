"""Grooves and joints on a deck plan: at their true place and size.

Plane geometry by hand: a joint at 0 degrees lies straight right of the centre, at 90 above it.
"""

import re
from xml.etree import ElementTree

import pytest

from castworthy.charts.deck import deck_plan
from castworthy.charts.rings import RingMark
from castworthy.charts.theme import Theme
from castworthy.sheets.spec import read_sheet
from factories.ring_sheets import RINGED

SHEET = read_sheet(RINGED)
SVG = "{http://www.w3.org/2000/svg}"


def mark(joint_deg: float | None, title: str = "Groove of cylinder 1") -> RingMark:
    one = SHEET.cylinders[0]
    return RingMark(
        x_mm=one.x_mm,
        y_mm=one.y_mm,
        inner_mm=50.0,
        outer_mm=60.0,
        joint_deg=joint_deg,
        title=title,
    )


def drawn(joint_deg: float | None, **more) -> ElementTree.Element:
    return ElementTree.fromstring(deck_plan(SHEET, rings=[mark(joint_deg)], **more))


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [each for each in root.iter() if name in each.get("class", "").split()]


@pytest.mark.parametrize("theme", list(Theme))
def test_a_groove_is_as_wide_and_as_large_as_it_is(theme: Theme) -> None:
    (groove,) = of_class(drawn(0.0, theme=theme), "cw-groove")
    one = SHEET.cylinders[0]
    assert float(groove.get("r")) == pytest.approx(55.0)
    assert float(groove.get("stroke-width")) == pytest.approx(10.0)
    assert float(groove.get("cx")) == pytest.approx(one.x_mm)
    assert float(groove.get("cy")) == pytest.approx(-one.y_mm)


@pytest.mark.parametrize(("angle", "right", "up"), [(0.0, 55.0, 0.0), (90.0, 0.0, 55.0)])
def test_a_joint_lies_where_it_is_said(angle: float, right: float, up: float) -> None:
    root = drawn(angle)
    (ring,) = of_class(root, "cw-joint-ring")
    one = SHEET.cylinders[0]
    assert float(ring.get("cx")) == pytest.approx(one.x_mm + right, abs=1e-3)
    assert float(ring.get("cy")) == pytest.approx(-(one.y_mm + up), abs=1e-3)
    (tick,) = of_class(root, "cw-joint")
    numbers = [float(each) for each in re.findall(r"-?[\d.]+", tick.get("d"))]
    assert len(numbers) == 4


def test_without_a_joint_only_the_groove_is_drawn() -> None:
    root = drawn(None)
    assert of_class(root, "cw-groove")
    assert not of_class(root, "cw-joint")


def test_what_a_person_named_is_escaped() -> None:
    plan = deck_plan(SHEET, rings=[mark(0.0, title="<b>1 & 2")])
    assert "&lt;b&gt;1 &amp; 2" in plan


def test_on_a_phone_each_row_draws_its_own() -> None:
    plan = deck_plan(SHEET, rings=[mark(0.0)], compact=True)
    assert plan.count('class="cw-groove"') >= 1


def test_every_map_of_the_sheet_shows_the_groove_at_its_own_diameter() -> None:
    root = ElementTree.fromstring(deck_plan(SHEET))
    radii = {float(each.get("r")) for each in of_class(root, "cw-ring-line")}
    assert list(radii) == pytest.approx([4.2 * 25.4 / 2])
