"""Spec sheets: what is read, and every refusal with its line and key."""

import re
from importlib import resources

import pytest

from castworthy.calc.head import HeadSheet, Material, Rule, ValveKind
from castworthy.calc.quantity import Quantity
from castworthy.sheets.errors import SheetError
from castworthy.sheets.source import decode
from castworthy.sheets.spec import read_sheet

SMALL = """\
format = 1
unit = "in"
[head]
code = "A1"
title = "A head"
material = "grey iron"
source = "notes"
outline = [[0, 0], [10, 0], [10, 6], [0, 6]]
[[cylinder]]
name = "1"
x = 5
y = 3
bore = 4
[[valve]]
name = "1A"
cylinder = "1"
kind = "intake"
x = 4
y = 3
head_diameter = 1.5
[[place]]
name = "T1"
kind = "thickness"
x = 1
y = 1
[limit.recession]
low = 0.0325
high = 0.0465
"""


def example(name: str) -> str:
    return (resources.files("castworthy.demo") / "sheets" / name).read_text(encoding="utf-8")


def findings(text: str) -> list[str]:
    with pytest.raises(SheetError) as caught:
        read_sheet(text, file="a.toml")
    return [str(finding) for finding in caught.value.findings]


def changed(old: str, new: str) -> str:
    assert SMALL.count(old) == 1
    return SMALL.replace(old, new)


@pytest.mark.parametrize(("name", "valves"), [("t66.toml", 24), ("f14.toml", 4)])
def test_examples_are_sound(name: str, valves: int) -> None:
    sheet = read_sheet(example(name), file=name)

    assert len(sheet.valves) == valves
    assert {valve.cylinder for valve in sheet.valves} == {c.name for c in sheet.cylinders}


def small() -> HeadSheet:
    return read_sheet(SMALL)


def test_bare_lengths_are_in_the_sheets_unit_exactly() -> None:
    sheet = small()

    assert sheet.cylinders[0].bore_mm == 101.6
    assert sheet.outline_mm[2] == (254.0, 152.4)
    limit = sheet.limit_for(Quantity.RECESSION, place="1A")
    assert (limit.low, limit.high, limit.rule) == (0.8255, 1.1811, Rule.GUARDED)
    assert limit.source == "notes"
    assert sheet.material is Material.GREY_IRON


@pytest.mark.parametrize(
    ("unit", "text", "value_um"),
    [("in", "20", 0.508), ("mm", "0.5", 0.5), ("in", '"0.5 µm"', 0.5), ("mm", '"18 uin"', 0.4572)],
)
def test_bare_finish_figures_match_the_sheets_unit(unit: str, text: str, value_um: float) -> None:
    sheet = read_sheet(
        SMALL.replace('unit = "in"', f'unit = "{unit}"') + f"[limit.finish_ra]\nhigh = {text}\n"
    )

    assert sheet.limit_for(Quantity.FINISH_RA).high == value_um


def test_a_text_carries_its_own_unit() -> None:
    sheet = read_sheet(changed("bore = 4", 'bore = "100 mm"'))

    assert sheet.cylinders[0].bore_mm == 100.0


def test_limits_by_kind_stand_beside_a_limit_for_all() -> None:
    text = SMALL + "[limit.margin]\nlow = 0.03\n[limit.margin.exhaust]\nlow = 0.05\n"
    sheet = read_sheet(text)

    assert sheet.limit_for(Quantity.MARGIN, place="1A").low == pytest.approx(0.762)
    assert [limit.valve_kind for limit in sheet.limits if limit.quantity is Quantity.MARGIN] == [
        None,
        ValveKind.EXHAUST,
    ]


def test_included_angles_are_converted() -> None:
    # A cone of included angle A stands at 90 - A/2 from the plane across its axis.
    extra = "seat_angle = 120\ntop_angle = 150\nthroat_angle = 60\nincluded = true\n"
    valve = read_sheet(changed("head_diameter = 1.5\n", f"head_diameter = 1.5\n{extra}")).valves[0]

    assert (valve.seat_angle_deg, valve.top_angle_deg, valve.throat_angle_deg) == (30, 15, 60)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("format = 1", "format = 2", "line 1, format: this program reads format 1 (got 2)."),
        ('unit = "in"', 'unit = "cm"', 'line 2, unit: this must be "in" or "mm" (got \'cm\').'),
        ("format = 1\n", "", "format: this key is missing; write format = 1."),
        (
            'title = "A head"',
            'title = "A head"\noverhead-cam = true',
            "line 6, head.overhead-cam: this key is unknown; did you mean overhead_cam?",
        ),
        (
            "[limit.recession]",
            "[limit.recesion]",
            "line 26, limit.recesion: this key is unknown; did you mean recession?",
        ),
        ("[[place]]", "[[places]]", "line 21, places: this key is unknown; did you mean place?"),
        (
            "low = 0.0325",
            "low = 0.0525",
            "line 27, limit.recession.low: low must not lie above high (got 0.0525 and 0.0465).",
        ),
        (
            "high = 0.0465",
            "high = 0.0465\naim = 0.05",
            "line 29, limit.recession.aim: the aim must lie within its limits (got 0.05).",
        ),
        (
            "x = 1\ny = 1",
            "x = 11\ny = 1",
            "line 24, place[1].x: place T1 lies off the outline of the deck.",
        ),
        (
            'cylinder = "1"',
            'cylinder = "2"',
            "line 16, valve[1].cylinder: there is no cylinder '2'.",
        ),
        (
            "bore = 4",
            'bore = "0.035 in (0.80 mm)"',
            "line 13, cylinder[1].bore: '0.035 in (0.80 mm)' gives two figures that disagree; "
            "look it up again and keep one.",
        ),
        ("bore = 4", "bore = -4", "line 13, cylinder[1].bore: this must be more than 0 (got -4)."),
        (
            "bore = 4",
            "bore = true",
            "line 13, cylinder[1].bore: this must be a number: bore of the block (got true).",
        ),
        (
            "bore = 4",
            "bore = nan",
            "line 13, cylinder[1].bore: this must be a finite number (got NaN).",
        ),
        (
            "bore = 4",
            'bore = "4 furlong"',
            "line 13, cylinder[1].bore: '4 furlong' has the unknown unit 'furlong'; "
            "use mm, cm, m, in, thou, µm or µin.",
        ),
        (
            "bore = 4",
            'bore = "4 psi"',
            "line 13, cylinder[1].bore: '4 psi' is of the kind pressure; length is wanted, "
            "in mm, cm, m, in, thou, µm or µin.",
        ),
        ("bore = 4\n", "", "line 9, cylinder[1].bore: this key is missing: bore of the block."),
        (
            'kind = "intake"',
            'kind = "inlet"',
            "line 17, valve[1].kind: this must be one of intake, exhaust (got 'inlet').",
        ),
        (
            'material = "grey iron"',
            'material = "gray iron"',
            "line 6, head.material: this must be one of grey iron, compacted iron, aluminium "
            "(got 'gray iron'); did you mean grey iron?",
        ),
        (
            'code = "A1"',
            "code = 66",
            'line 4, head.code: this must be a text (got 66); write it in quotes: "66".',
        ),
        (
            "outline = [[0, 0], [10, 0], [10, 6], [0, 6]]",
            "outline = [[0, 0], [10, 6], [10, 0], [0, 6]]",
            "line 8, head.outline: the outline crosses itself; give the corners in the order of "
            "the edge.",
        ),
        (
            "outline = [[0, 0], [10, 0], [10, 6], [0, 6]]",
            "outline = [[0, 0], [10, 0]]",
            "line 8, head.outline: this must be 3 to 400 corners written [[x, y], [x, y], ...].",
        ),
        (
            "head_diameter = 1.5",
            "head_diameter = 1.5\nseat_angle = 90",
            "line 21, valve[1].seat_angle: a seat lies between 0° and 90° (got 90°); "
            "write included = true when the manual quotes included angles.",
        ),
        (
            "head_diameter = 1.5",
            "head_diameter = 1.5\ntop_angle = 50",
            "line 14, valve[1].seat_angle: the top cut must be flatter than the seat and the "
            "throat cut steeper (got 50°, 45°, 60°); write included = true when the manual "
            "quotes included angles.",
        ),
        (
            "low = 0.0325\nhigh = 0.0465\n",
            'rule = "simple"\n',
            "line 26, limit.recession: a limit needs low, high or both.",
        ),
    ],
)
def test_each_refusal_names_line_and_key(old: str, new: str, expected: str) -> None:
    assert findings(changed(old, new)) == [f"a.toml, {expected}"]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        (
            "[limit.seat_load]\nlow = 90\n",
            "line 30, limit.seat_load.low: '90' has no unit; write 90 N, 90 kN or 90 lbf.",
        ),
        (
            "[limit.flatness]\nhigh = -0.002\n",
            "line 30, limit.flatness.high: flatness is never negative (got -0.002).",
        ),
        (
            "[limit.local_flatness]\nhigh = 0.001\n",
            "line 29, limit.local_flatness.span: this key is missing: the window, as span = 6.0.",
        ),
        (
            "[limit.flatness.intake]\nhigh = 0.001\n",
            "line 29, limit.flatness.intake: flatness is not read at valves and has one limit "
            "for all.",
        ),
        (
            "[limit.height]\nhigh = 0.001\n",
            "line 29, limit.height: single heights have no limit; limit flatness.",
        ),
        (
            "[work]\nconfidence = 95\n",
            "line 30, work.confidence: this must be at most 0.9999 (got 95).",
        ),
        (
            "[work]\nvacuum_hold = 30\n",
            "line 30, work.vacuum_hold: '30' has no unit; write 30 s, 30 min or 30 h.",
        ),
        (
            "[work]\nshims = [0.015, 0.015]\n",
            "line 30, work.shims: the same length stands here twice; keep one.",
        ),
        (
            "[work]\nsmallest_deck_cut = 0.02\nlargest_deck_cut = 0.01\n",
            "line 31, work.largest_deck_cut: this must not be less than smallest_deck_cut.",
        ),
        (
            '[price]\nlabour_per_hour = "95"\n',
            "line 30, price.labour_per_hour: this must be a bare number, without quotes "
            "(got '95').",
        ),
        (
            "[spring]\nrate = 42\nfree = 2.0\nsolid = 1.0\nlift = 0.4\n",
            "line 30, spring.rate: '42' has no unit; write 42 N/mm or 42 lbf/in.",
        ),
        (
            '[spring]\nrate = "42 N/mm"\nfree = 1.3\nsolid = 1.0\nlift = 0.4\n',
            "line 29, spring: a spring's solid height and lift together must be less than its "
            "free height.",
        ),
        (
            '[[cylinder]]\nname = "1"\nx = 2\ny = 2\nbore = 1\n',
            "line 30, cylinder[2].name: the name '1' is taken by the one on line 10; give another.",
        ),
        ("[head.more]\nx = 1\n", "line 29, head.more: this key is unknown."),
        ('price = "cheap"\n', "line 29, limit.recession.price: this key is unknown."),
    ],
)
def test_refusals_of_added_tables(more: str, expected: str) -> None:
    assert findings(SMALL + more) == [f"a.toml, {expected}"]


def test_a_thickness_limit_needs_a_place_to_measure_at() -> None:
    text = changed('kind = "thickness"', 'kind = "height"') + "[limit.deck_thickness]\nlow = 0.4\n"

    assert findings(text) == [
        'a.toml, line 29, limit.deck_thickness: there is no [[place]] with kind = "thickness" to '
        "measure it at."
    ]


def test_agreeing_dual_figures_are_taken() -> None:
    sheet = read_sheet(changed("low = 0.0325", 'low = "0.0325 in (0.83 mm)"'))

    assert sheet.limits[0].low == 0.8255


def test_everything_wrong_is_told_in_one_pass_in_the_order_of_the_file() -> None:
    text = (
        SMALL.replace('title = "A head"\n', "")
        .replace('cylinder = "1"', 'cylinder = "1A"')
        .replace('name = "1"', 'name = "1B"')
        .replace("low = 0.0325", "low = 1")
        .replace("y = 1", "y = 7")
    )
    found = findings(text)
    lines = [int(re.search(r"line (\d+)", each)[1]) for each in found]

    assert len(found) == 4
    assert lines == sorted(lines)


def test_a_sheet_of_nothing_but_mistakes_names_each_missing_table() -> None:
    assert findings("a = 1\n") == [
        "a.toml, format: this key is missing; write format = 1.",
        'a.toml, unit: this key is missing; write unit = "in" or unit = "mm".',
        "a.toml, head: [head] is missing: what the head is.",
        "a.toml, cylinder: [[cylinder]] is missing: bores under the head.",
        "a.toml, valve: [[valve]] is missing: valves.",
        "a.toml, line 1, a: this key is unknown.",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("x = 1,5\n", "line 1, column 6: something follows the value"),
        ("[head\n", "line 1, column 6: "),
        ("a = 1\na = 2\n", "line 2, column 6: this key is given twice"),
        ('a = "x\n', 'line 1, column 7: this text has no closing "'),
        ("a = " + "[" * 5000, "brackets are nested too deep"),
        ("\x00", "line 1: this is no text: it holds a zero byte."),
        ("", "format: this key is missing"),
    ],
)
def test_what_is_no_toml_is_one_sentence(text: str, expected: str) -> None:
    assert any(expected in each for each in findings(text))


def test_windows_line_ends_and_a_byte_order_mark_are_fine() -> None:
    assert read_sheet("\ufeff" + SMALL.replace("\n", "\r\n")) == small()
    assert read_sheet(decode(("\ufeff" + SMALL).encode(), file="a.toml")) == small()


def test_other_encodings_are_refused_with_their_place() -> None:
    raw = SMALL.replace("A head", "Ein Köpf").encode("latin-1")

    with pytest.raises(SheetError, match=r"^a\.toml, line 5, column 15: this is no UTF-8 text"):
        decode(raw, file="a.toml")


def test_ten_megabytes_of_rubbish_are_refused() -> None:
    rubbish = "x" * 10_000_000
    with pytest.raises(SheetError, match="larger than 256 kB"):
        decode(rubbish.encode(), file="a.toml")
    with pytest.raises(SheetError, match="larger than 256 kB"):
        read_sheet(rubbish)


def test_long_lists_of_findings_are_cut_and_counted() -> None:
    text = SMALL + "".join(f"k{i} = 1\n" for i in range(30))

    with pytest.raises(SheetError) as caught:
        read_sheet(text, file="a.toml")

    assert len(caught.value.findings) == 30
    assert str(caught.value).splitlines()[-1] == "... and 10 more findings."
    assert len(str(caught.value).splitlines()) == 21
