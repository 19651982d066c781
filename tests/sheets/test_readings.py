"""Readings files: what is read, and every refusal with its line and column."""

import random
import string
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.head import Gauge, HeadSheet, Reading
from castworthy.calc.quantity import Quantity
from castworthy.sheets.errors import SheetError
from castworthy.sheets.gauges import read_gauges
from castworthy.sheets.readings import MOST_FINDINGS_COUNT, ReadingsFile, read_readings
from castworthy.sheets.spec import read_sheet

EXAMPLES = Path(__file__).parents[2] / "examples"
HEADER = "quantity,place,value,unit,side,gauge,by,at\n"
GAUGES = (
    Gauge(name="DG-2", suffix="mm", u=0.01, u_bias=0.004, resolution=0.0025),
    Gauge(name="RT-3", suffix="um", u=0.03, resolution=0.02),
)


def example(name: str) -> HeadSheet:
    files = resources.files("castworthy.demo") / "sheets"
    return read_sheet((files / name).read_text(encoding="utf-8"), file=name)


T66 = example("t66.toml")


def read(rows: str, *, header: str = HEADER) -> ReadingsFile:
    return read_readings(header + rows, sheet=T66, gauges=GAUGES, file="r.csv")


def one(rows: str, *, header: str = HEADER) -> Reading:
    (reading,) = read(rows, header=header).readings
    return reading


def findings(rows: str, *, header: str = HEADER) -> list[str]:
    with pytest.raises(SheetError) as caught:
        read(rows, header=header)
    return [str(finding) for finding in caught.value.findings]


@pytest.mark.parametrize(("code", "count"), [("t66", 178), ("f14", 37)])
def test_examples_are_sound(code: str, count: int) -> None:
    gauges = read_gauges((EXAMPLES / f"{code}-gauges.toml").read_text(encoding="utf-8"))
    text = (EXAMPLES / f"{code}-readings.csv").read_text(encoding="utf-8")
    taken = read_readings(text, sheet=example(f"{code}.toml"), gauges=gauges)

    assert len(taken.readings) == count
    assert all(reading.u is not None for reading in taken.readings)


def test_a_reading_with_its_gauge() -> None:
    assert one("recession,2B,0.0427,in,below,DG-2,Ines,2027-03-09 08:14\n") == Reading(
        quantity=Quantity.RECESSION,
        place="2B",
        value=1.08458,
        u=0.01,
        u_bias=0.004,
        resolution=0.0025,
        gauge="DG-2",
    )


@pytest.mark.parametrize(
    ("rows", "value"),
    [
        ("recession,2B,0.002,in,below,,,\n", 0.0508),
        ("recession,2B,0.002,in,above,,,\n", -0.0508),
        ("recession,2B,0,in,flush,,,\n", 0.0),
        ("recession,2B,,,flush,,,\n", 0.0),
        ("recession,2B,0,in,,,,\n", 0.0),
        ("injector_protrusion,3,0.002,in,above,,,\n", 0.0508),
        ("injector_protrusion,3,0.002,in,below,,,\n", -0.0508),
        ("height,H1a,0.002,in,above,,,\n", 0.0508),
        ("height,H1a,-0.002,in,,,,\n", -0.0508),
        ("height,H1a,0.002,in,below,,,\n", -0.0508),
    ],
)
def test_sides_become_signs(rows: str, value: float) -> None:
    # Signs as in docs/names-and-units.md: recession positive below, the others above the deck.
    assert one(rows).value == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("rows", "header", "value"),
    [
        ("recession;2B;0,0427;in;below\n", "quantity;place;value;unit;side\n", 1.08458),
        ("recession\t2B\t0.0427\tin\tbelow\n", "quantity\tplace\tvalue\tunit\tside\n", 1.08458),
        ('recession,2B,"0,0427",in,below\n', "quantity,place,value,unit,side\n", 1.08458),
        ("below,2B,42.7 thou,Recession\n", "side,place,value,quantity\n", 1.08458),
        ('recession,2b,".0427""",BELOW\n', "\ufeffQuantity,Place,Value,Side\n", 1.08458),
        ("\n\nrecession,2B,42.7thou,below\r\n", "quantity,place,value,side\r\n", 1.08458),
        ("flatness,,0.05,mm,,,,\n", HEADER, 0.05),
        ("finish_ra,,18,uin,,RT-3,,\n", HEADER, 0.4572),
        ("Finish Ra,,18,µin,,rt-3,,\n", HEADER, 0.4572),
        ("flatness,,50,µm,,RT-3,,\n", HEADER, 0.05),
    ],
)
def test_forms_people_write(rows: str, header: str, value: float) -> None:
    assert one(rows, header=header).value == pytest.approx(value)


def test_a_gauge_in_micrometres_reads_lengths() -> None:
    assert one("flatness,,50,µm,,RT-3,,\n").u == pytest.approx(0.00003)


def test_without_a_gauges_file_a_gauge_is_a_name_only() -> None:
    taken = read_readings(HEADER + "recession,2B,0.0427,in,below,DG-9,,\n", sheet=T66)

    assert (taken.readings[0].u, taken.readings[0].gauge) == (None, "DG-9")
    assert taken.gauges_used == {"DG-9"}


def test_repeats_with_their_own_times_are_averaged() -> None:
    taken = read(
        "recession,2B,1.000,mm,below,DG-2,,2027-03-09 08:00\n"
        "recession,2B,1.010,mm,below,DG-2,,2027-03-09 08:05\n"
        "recession,2C,1.000,mm,below,DG-2,,2027-03-09 08:05\n"
    )
    twice, once = taken.readings

    # By hand: u is root of 0.004 squared plus (0.01 squared less 0.004 squared) over 2.
    assert twice.value == pytest.approx(1.005)
    assert twice.u == pytest.approx((0.004**2 + (0.01**2 - 0.004**2) / 2) ** 0.5)
    assert (twice.repeats_count, once.repeats_count) == (2, 1)
    assert len(taken.rows) == 3
    assert taken.scattered == ()


def test_scattered_repeats_are_named() -> None:
    taken = read(
        "recession,2B,1.00,mm,below,DG-2,,2027-03-09 08:00\n"
        "recession,2B,1.10,mm,below,DG-2,,2027-03-09 08:05\n"
    )

    assert taken.scattered == ((Quantity.RECESSION, "2B"),)


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (
            "recesion,2B,0.04,in,below,,,\n",
            "line 2, column 1, quantity: 'recesion' is no quantity; did you mean recession?",
        ),
        (
            ",2B,0.04,in,below,,,\n",
            "line 2, column 1, quantity: this field is empty; it names what was read.",
        ),
        (
            "recession,7A,0.04,in,below,,,\n",
            "line 2, column 2, place: recession is not read at '7A', but at 1A, 1B ... 6D.",
        ),
        (
            "deck_thickness,TT3,0.44,in,,,,\n",
            "line 2, column 2, place: deck_thickness is not read at 'TT3', but at "
            "T1, T2 ... T8; did you mean T3?",
        ),
        (
            "recession,,0.04,in,below,,,\n",
            "line 2, column 2, place: recession is read at one of 1A, 1B ... 6D; this field is "
            "empty.",
        ),
        (
            "flatness,2B,0.001,in,,,,\n",
            "line 2, column 2, place: flatness is read for the head as a whole; leave this blank.",
        ),
        (
            "recession,2B,0.04,,below,,,\n",
            "line 2, column 3, value: '0.04' has no unit; write 0.04 in, 0.04 thou or 0.04 mm.",
        ),
        (
            "recession,2B,0.04,psi,below,,,\n",
            "line 2, column 3, value: '0.04 psi' is of the kind pressure; length is wanted, in mm, "
            "cm, m, in, thou, µm or µin.",
        ),
        (
            "recession,2B,0.04 mm,in,below,,,\n",
            "line 2, column 3, value: this says mm and the column unit says in; keep one.",
        ),
        (
            "recession,2B,,in,below,,,\n",
            "line 2, column 3, value: this field is empty; it holds the figure.",
        ),
        (
            "recession,2B,deep,in,below,,,\n",
            "line 2, column 3, value: 'deep' is no number; write digits first, then the unit.",
        ),
        (
            "recession,2B,0.04,in,,,,\n",
            "line 2, column 5, side: recession needs a side: below, flush or above the deck.",
        ),
        (
            "recession,2B,0.04,in,under,,,\n",
            "line 2, column 5, side: this must be below, flush or above (got 'under').",
        ),
        (
            "recession,2B,-0.04,in,below,,,\n",
            "line 2, column 5, side: give the figure without a sign; the side says which way it "
            "lies.",
        ),
        (
            "recession,2B,0.04,in,flush,,,\n",
            "line 2, column 5, side: a reading flush with the deck is 0; give the figure with "
            "below or above.",
        ),
        (
            "flatness,,0.001,in,below,,,\n",
            "line 2, column 5, side: flatness has no side; leave it blank.",
        ),
        (
            "flatness,,-0.001,in,,,,\n",
            "line 2, column 3, value: flatness is never negative (got -0.001).",
        ),
        (
            "recession,2B,0.04,in,below,DG2,,\n",
            "line 2, column 6, gauge: the gauges file has no gauge 'DG2'; did you mean DG-2?",
        ),
        (
            "finish_ra,,18,uin,,DG-2,,\n",
            "line 2, column 6, gauge: DG-2 reads length; finish_ra is surface texture and form.",
        ),
        (
            "recession,2B,0.04,in,below,,,yesterday\n",
            "line 2, column 8, at: this must be a time written as 2027-03-14 10:41 (got "
            "'yesterday').",
        ),
        (
            "recession,2B,0.04,in,below\n",
            "line 2: this row has 5 fields and the first row 8.",
        ),
        (
            "recession,2B,0,04,in,below,,,\n",
            "line 2: this row has 9 fields and the first row 8; with decimal commas, part the "
            "columns by semicolons.",
        ),
        (
            "recession,2B,0.04,in,below,,,\nrecession,2B,0.04,in,below,,,\n",
            "line 3: recession at 2B stands on line 2 already; keep one, or give each its own time "
            "in the column at to have them averaged.",
        ),
        (
            "recession,2B,0.04,in,below,,,2027-03-09\nrecession,2B,0.04,in,below,,,\n",
            "line 3: recession at 2B stands on line 2 already; keep one, or give each its own time "
            "in the column at to have them averaged.",
        ),
        (
            "recession,2B,0.04,in,below,DG-2,,2027-03-09\nrecession,2B,0.04,in,below,,,2027-03-10\n",
            "line 3, gauge: recession at 2B was read with another gauge on line 2; repeats are "
            "averaged for one gauge only.",
        ),
        ("", "line 1: there is no reading below the first row."),
    ],
)
def test_each_refusal_names_line_and_column(rows: str, expected: str) -> None:
    assert findings(rows) == [f"r.csv, {expected}"]


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        (
            "",
            [f"line 1: the file is empty; its first row names {HEADER.strip()}."],
        ),
        (
            "2B,0.04,in\n",
            [f"line 1: the first row must name the columns: {HEADER.strip()}."],
        ),
        ("quantity,place\n", ["line 1, value: this column is missing."]),
        (
            "quantity,place,value,unit,sides\n",
            ["line 1, column 5: the column 'sides' is unknown; did you mean side?"],
        ),
        (
            "quantity,place,value,value\n",
            ["line 1, column 4, value: this column stands here twice."],
        ),
    ],
)
def test_first_rows(header: str, expected: list[str]) -> None:
    assert findings("", header=header) == [f"r.csv, {each}" for each in expected]


def test_everything_wrong_is_told_in_one_pass() -> None:
    found = findings(
        "recession,2B,0.04,in,below,,,\n"
        "recesion,2C,0.04,in,below,,,\n"
        "recession,2C,0.04,in,sideways,XX,,\n"
        "recession,2B,0.04,in,below,,,\n"
        "recession,2D\n"
    )

    assert [each.partition(":")[0] for each in found] == [
        "r.csv, line 3, column 1, quantity",
        "r.csv, line 4, column 5, side",
        "r.csv, line 4, column 6, gauge",
        "r.csv, line 5",
        "r.csv, line 6",
    ]


def test_a_sheet_without_places_says_so() -> None:
    sheet = read_sheet(WITHOUT_PLACES)

    with pytest.raises(SheetError, match="sheet A1 has no place of the kind height is read at"):
        read_readings("quantity,place,value\nheight,H1,0.1mm\n", sheet=sheet)


WITHOUT_PLACES = """\
format = 1
unit = "mm"
cylinder = [{ name = "1", x = 60, y = 30, bore = 30 }]
valve = [{ name = "1A", cylinder = "1", kind = "intake", x = 60, y = 30, head_diameter = 10 }]
[head]
code = "A1"
title = "A"
material = "grey iron"
source = "s"
outline = [[0, 0], [90, 0], [90, 90]]
"""


def test_ten_megabytes_of_rubbish_are_refused() -> None:
    with pytest.raises(SheetError, match="larger than 2048 kB"):
        read_readings("x,y\n" * 2_500_000, sheet=T66)


def test_two_megabytes_of_rubbish_rows_are_given_up() -> None:
    rng = random.Random(5)
    rows = "".join(
        f"{''.join(rng.choices(string.ascii_letters, k=12))},2B,x,y,z,w,,\n" for _ in range(60_000)
    )
    found = findings(rows)

    assert len(found) < 10 * MOST_FINDINGS_COUNT
    assert found[-1].endswith("reading stopped here; mend these first.")


@given(text=st.text(max_size=200))
def test_any_text_is_readings_or_findings(text: str) -> None:
    for header in ("", HEADER):
        with pytest.raises(SheetError) as caught:
            read_readings(header + text, sheet=T66)
        assert caught.value.findings


@given(
    thou=st.integers(1, 99_999),
    side=st.sampled_from(["below", "above"]),
    semicolons=st.booleans(),
)
def test_figures_keep_their_printed_digits(thou: int, side: str, semicolons: bool) -> None:
    figure = f"{thou / 10000:.4f}"
    sign = ";" if semicolons else ","
    row = ["recession", "2B", figure.replace(".", ",") if semicolons else figure, "in", side]
    reading = one(
        sign.join(row) + "\n",
        header=sign.join(("quantity", "place", "value", "unit", "side")) + "\n",
    )

    assert f"{abs(reading.value) / 25.4:.4f}" == figure
    assert (reading.value > 0) == (side == "below")
