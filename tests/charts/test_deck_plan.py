"""The deck is drawn to scale and every mark is a place; geometry only, no source needed."""

import re
from dataclasses import replace

import pytest

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.head import Valve
from castworthy.calc.quantity import Quantity
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.charts.theme import Theme
from castworthy.units import Show


def _recession(sheet):
    return [
        DeckMark(quantity=Quantity.RECESSION, place=v.name, verdict=Verdict.INSIDE, text="39.9")
        for v in sheet.valves
    ]


def _marks(tree):
    return [e for e in tree.iter() if "cw-mark" in (e.get("class") or "").split()]


def _box(view):
    return [float(side) for side in view.get("viewBox").split()]


def test_bores_valves_and_studs_stand_where_the_sheet_says(make_sheet, parse):
    sheet = make_sheet()
    tree = parse(deck_plan(sheet))
    by_class = {}
    for circle in tree.iter("circle"):
        kind = (circle.get("class") or "").split(" ")[0]
        by_class.setdefault(kind, []).append(
            tuple(float(circle.get(key)) for key in ("cx", "cy", "r"))
        )
    assert by_class["cw-valve"] == [
        pytest.approx((v.x_mm, -v.y_mm, v.head_diameter_mm / 2)) for v in sheet.valves
    ]
    assert by_class["cw-bore"] == [
        pytest.approx((c.x_mm, -c.y_mm, c.bore_mm / 2)) for c in sheet.cylinders
    ]
    assert by_class["cw-stud"] == [pytest.approx((15.0, -20.0, 7.0))]
    assert by_class["cw-opening"] == [pytest.approx((40.0, -205.0, 9.0))]
    assert len(by_class["cw-ring-line"]) == len(by_class["cw-injector"]) == 6


def test_one_millimetre_is_as_long_both_ways(make_sheet, parse):
    tree = parse(deck_plan(make_sheet(), theme=Theme.PRINT))
    view = tree.find("svg")
    _, _, wide, high = _box(view)
    assert float(view.get("width")) / wide == pytest.approx(1.0)
    assert float(view.get("height")) / high == pytest.approx(1.0)
    _, _, whole_wide, whole_high = _box(tree)
    assert whole_wide / whole_high == pytest.approx(
        float(tree.get("width")) / float(tree.get("height")), rel=1e-4
    )


def test_a_page_lets_the_drawing_shrink_in_shape(make_sheet, parse):
    tree = parse(deck_plan(make_sheet()))
    assert float(tree.get("width")) <= 1230.001
    assert tree.get("height") is None


def test_what_is_up_on_the_deck_is_up_on_the_page(make_sheet, parse):
    sheet = make_sheet(1)
    upper, lower = sheet.valves[0], sheet.valves[2]
    assert upper.y_mm > lower.y_mm
    centres = {
        (float(c.get("cx")), float(c.get("cy"))): c for c in parse(deck_plan(sheet)).iter("circle")
    }
    tops = sorted(y for (x, y) in centres if x == upper.x_mm and y in (-upper.y_mm, -lower.y_mm))
    assert tops == [-upper.y_mm, -lower.y_mm]


def test_every_mark_is_a_named_place_in_the_order_given(make_sheet, parse):
    sheet = make_sheet()
    marks = [replace(m, href=f"/heads/D-1/measure?at={m.place}&x=1") for m in _recession(sheet)]
    tree = parse(deck_plan(sheet, marks=marks))
    found = _marks(tree)
    assert [m.get("data-place") for m in found] == [v.name for v in sheet.valves]
    assert {m.tag for m in found} == {"a"}
    assert found[3].get("href") == "/heads/D-1/measure?at=1D&x=1"
    assert found[3].find("title").text == "1D recession 39.9, inside"
    assert tree.get("role") == "group"


def test_without_links_it_is_one_picture(make_sheet, parse):
    tree = parse(deck_plan(make_sheet(), title="Deck of 41"))
    assert tree.get("role") == "img"
    assert tree.get("aria-label") == tree.find("title").text == "Deck of 41"


def test_next_and_stale_are_said_and_drawn(make_sheet, parse):
    sheet = make_sheet(1)
    marks = [
        DeckMark(quantity=Quantity.RECESSION, place="1A", verdict=Verdict.MISSING, ringed=True),
        DeckMark(
            quantity=Quantity.RECESSION,
            place="1B",
            verdict=Verdict.INSIDE,
            text="40.1",
            stale=True,
        ),
    ]
    following, past = _marks(parse(deck_plan(sheet, marks=marks)))
    assert following.get("class") == "cw-mark cw-missing cw-next"
    assert following.find("title").text == "1A recession, not measured, next"
    assert following.find("circle[@class='cw-ringed']") is not None
    assert following.find("text").text == "1A"
    assert past.get("class") == "cw-mark cw-inside cw-stale"
    assert past.find("title").text == "1B recession 40.1, inside, before later work"
    fresh = replace(marks[1], stale=False)
    assert deck_plan(sheet, marks=[fresh]) != deck_plan(sheet, marks=[marks[1]])


def test_the_worst_of_a_place_is_drawn_and_all_are_told(make_sheet, parse):
    marks = [
        DeckMark(quantity=Quantity.RECESSION, place="1A", verdict=Verdict.INSIDE, text="39.9"),
        DeckMark(quantity=Quantity.TIP_HEIGHT, place="1A", verdict=Verdict.OUTSIDE, text="2.12"),
    ]
    (only,) = _marks(parse(deck_plan(make_sheet(1), marks=marks)))
    assert "cw-outside" in only.get("class")
    assert only.find("title").text == "1A tip height 2.12, outside; 1A recession 39.9, inside"


def test_marks_of_the_whole_head_stand_above_it(make_sheet, parse):
    marks = [
        DeckMark(quantity=Quantity.FLATNESS, place="", verdict=Verdict.OUTSIDE, text="2.1 thou"),
        DeckMark(quantity=Quantity.FINISH_RA, place="", verdict=Verdict.MISSING),
    ]
    tree = parse(deck_plan(make_sheet(), marks=marks))
    found = _marks(tree)
    assert [m.find("text").text for m in found] == ["Flatness 2.1 thou", "Finish Ra"]
    deck_top = float(tree.find("svg").get("y"))
    assert all(float(m.find("text").get("y")) < deck_top for m in found)


def test_thickness_and_height_marks_stand_on_their_places(make_sheet, parse):
    sheet = make_sheet()
    marks = [
        DeckMark(quantity=Quantity.DECK_THICKNESS, place="T1", verdict=Verdict.CLOSE, text="10.9"),
        DeckMark(quantity=Quantity.HEIGHT, place="E9", verdict=Verdict.MISSING),
        DeckMark(quantity=Quantity.CHAMBER_VOLUME, place="2", verdict=Verdict.INSIDE, text="31"),
    ]
    where = {}
    for mark in _marks(parse(deck_plan(sheet, marks=marks))):
        disc = mark.find("circle")
        where[mark.get("data-place")] = (float(disc.get("cx")), float(disc.get("cy")))
    assert where == {
        "T1": (148.0, -115.0),
        "E9": (sheet.places[-1].x_mm, -220.0),
        "2": (213.0, -115.0),
    }


@pytest.mark.parametrize("cylinders", [1, 2, 3, 6, 8])
def test_a_phone_gets_rows_with_every_mark_once_and_finger_sized(make_sheet, parse, cylinders):
    sheet = make_sheet(cylinders)
    tree = parse(deck_plan(sheet, marks=_recession(sheet), compact=True))
    assert float(tree.get("width")) <= 358.001
    assert sorted(m.get("data-place") for m in _marks(tree)) == sorted(v.name for v in sheet.valves)
    per_px = _box(tree)[2] / float(tree.get("width"))
    smallest = min(
        2 * float(target.get("r")) / per_px
        for target in tree.iter("circle")
        if target.get("class") == "cw-target"
    )
    assert smallest >= 40.0
    names = [
        line.text
        for group in tree.iter("g")
        if group.get("class") == "cw-cylinders"
        for line in group
    ]
    assert names == [c.name for c in sheet.cylinders]


def test_targets_of_neighbours_do_not_overlap(make_sheet, parse):
    sheet = make_sheet()
    marks = [
        DeckMark(quantity=Quantity.HEIGHT, place=p, verdict=Verdict.INSIDE, text="0.4")
        for p in sheet.sites_of(Quantity.HEIGHT)
    ]
    rounds = [
        tuple(float(t.get(key)) for key in ("cx", "cy", "r"))
        for t in parse(deck_plan(sheet, marks=marks)).iter("circle")
        if t.get("class") == "cw-target"
    ]
    assert len(rounds) == 45
    for i, (x, y, r) in enumerate(rounds):
        for a, b, s in rounds[:i]:
            assert ((x - a) ** 2 + (y - b) ** 2) ** 0.5 >= r + s - 0.01


def test_hostile_names_stay_text(make_sheet, parse):
    sheet = make_sheet(1)
    name = '<b>&"\x00]]>'
    odd = Valve(
        name=name, cylinder="1", kind=sheet.valves[0].kind, x_mm=50, y_mm=50, head_diameter_mm=40
    )
    sheet = replace(sheet, valves=(odd,), title="<svg onload=alert(1)>")
    mark = DeckMark(
        quantity=Quantity.RECESSION, place=name, verdict=Verdict.MISSING, href='"><x y="'
    )
    svg = deck_plan(sheet, marks=[mark])
    tree = parse(svg)
    assert "<svg onload" not in svg
    assert "<b>" not in svg
    (found,) = _marks(tree)
    assert found.get("data-place") == '<b>&"\ufffd]]>'
    assert found.get("href") == '"><x y="'


def test_paper_uses_no_colour_and_hatches_what_is_outside(make_sheet):
    sheet = make_sheet()
    marks = _recession(sheet)
    good = deck_plan(sheet, marks=marks, theme=Theme.PRINT)
    bad = deck_plan(
        sheet, marks=[replace(marks[0], verdict=Verdict.OUTSIDE), *marks[1:]], theme=Theme.PRINT
    )
    for svg in (good, bad):
        assert "var(" not in svg
        assert all(r == g == b for r, g, b in re.findall(r"#(..)(..)(..)", svg))
    assert len(bad) > len(good) + 300


def test_a_page_deck_has_no_style_of_its_own(make_sheet):
    svg = deck_plan(make_sheet(), marks=_recession(make_sheet()))
    assert "style" not in svg
    assert re.findall(r'(?:fill|stroke)="(?!none|var\(--)[^"]*"', svg) == []


@pytest.mark.parametrize(("length", "words"), [("thou", "5 in"), ("mm", "100 mm")])
def test_the_rule_is_as_long_as_it_says(make_sheet, parse, length, words):
    tree = parse(deck_plan(make_sheet(), show=Show(length=length)))
    rule = next(group for group in tree.iter("g") if group.get("class") == "cw-rule")
    assert rule.find("text").text == words
    xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", rule.find("path").get("d"))]
    unit_mm = 25.4 if length == "thou" else 1.0
    assert max(xs) - min(xs) == pytest.approx(float(words.split()[0]) * unit_mm, abs=0.01)


def test_the_drawing_grows_with_its_marks_and_no_faster(make_sheet):
    small, large = make_sheet(6, heights=6), make_sheet(6, heights=24)
    sizes = []
    for sheet in (small, large):
        marks = [
            DeckMark(quantity=Quantity.HEIGHT, place=p, verdict=Verdict.INSIDE, text="0.4")
            for p in sheet.sites_of(Quantity.HEIGHT)
        ]
        sizes.append(len(deck_plan(sheet, marks=marks)) - len(deck_plan(sheet, marks=marks[:1])))
    assert sizes[1] / sizes[0] < 4.4


def test_a_deck_without_readings_shows_its_names(make_sheet, parse):
    sheet = make_sheet()
    names = next(g for g in parse(deck_plan(sheet)).iter("g") if g.get("class") == "cw-names")
    words = {line.text for line in names}
    assert words >= {valve.name for valve in sheet.valves} | {"T1"}
    marked = parse(deck_plan(sheet, marks=_recession(sheet)))
    assert not [g for g in marked.iter("g") if g.get("class") == "cw-names"]


def test_a_flat_outline_still_draws(make_sheet, parse):
    sheet = replace(make_sheet(1), outline_mm=((0.0, 0.0), (200.0, 0.0), (100.0, 0.0)))
    for compact in (False, True):
        assert parse(deck_plan(sheet, compact=compact)).tag == "svg"
