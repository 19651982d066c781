"""Gauges files."""

from datetime import date

import pytest

from castworthy.calc.head import Gauge
from castworthy.sheets.errors import SheetError
from castworthy.sheets.gauges import gauge_for, read_gauge_cards, read_gauges

GOOD = """\
[[gauge]]
name = "DG-2"
unit = "in"
resolution = 0.0001
u = 0.0003
u_bias = "2.54 um"
calibrated_until = 2027-08-14
[[gauge]]
name = "RT-3"
unit = "uin"
u = 1.2
"""


def findings(text: str) -> list[str]:
    with pytest.raises(SheetError) as caught:
        read_gauges(text, file="g.toml")
    return [str(finding) for finding in caught.value.findings]


def test_figures_come_in_the_unit_of_what_is_read() -> None:
    assert read_gauges(GOOD) == (
        Gauge(
            name="DG-2",
            suffix="mm",
            u=pytest.approx(0.00762),
            resolution=pytest.approx(0.00254),
            u_bias=pytest.approx(0.00254),
        ),
        Gauge(name="RT-3", suffix="um", u=pytest.approx(0.03048)),
    )


def test_dates_say_when_a_gauge_is_overdue() -> None:
    dated, undated = read_gauge_cards(GOOD)

    assert dated.calibrated_until == date(2027, 8, 14)
    assert not dated.overdue(date(2027, 8, 14))
    assert dated.overdue(date(2027, 8, 15))
    assert not undated.overdue(date(2099, 1, 1))
    assert (dated.unit, undated.unit) == ("in", "µin")


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('name = "DG-2"\n', "", "line 1, gauge[1].name: this key is missing: name of the gauge."),
        (
            'unit = "in"\n',
            "",
            "line 1, gauge[1].unit: this key is missing; one of mm, cm, m, in, thou, µm, µin, cm³, "
            "l, in³, N, kN, lbf, kPa, Pa, bar, mbar, psi, inHg.",
        ),
        (
            'unit = "in"',
            'unit = "rpm"',
            "line 3, gauge[1].unit: this must be one of mm, cm, m, in, thou, µm, µin, cm³, l, in³, "
            "N, kN, lbf, kPa, Pa, bar, mbar, psi, inHg (got 'rpm').",
        ),
        (
            "u = 0.0003\n",
            "",
            "line 1, gauge[1].u: this key is missing: standard uncertainty of one reading.",
        ),
        ("u = 0.0003", "u = -1", "line 5, gauge[1].u: this must be 0 or more (got -1)."),
        ("u = 0.0003", "u = true", "line 5, gauge[1].u: this must be a number of length."),
        (
            "u = 0.0003",
            "u = inf",
            "line 5, gauge[1].u: this must be a finite number (got Infinity).",
        ),
        (
            "u = 0.0003",
            "u = 0.00003",
            "line 6, gauge[1].u_bias: this is a part of u and cannot be larger than it.",
        ),
        (
            "resolution = 0.0001",
            "resolutoin = 0.0001",
            "line 4, gauge[1].resolutoin: this key is unknown; did you mean resolution?",
        ),
        (
            "calibrated_until = 2027-08-14",
            'calibrated_until = "next year"',
            "line 7, gauge[1].calibrated_until: this must be a day written as 2027-03-14 (got "
            "'next year').",
        ),
        (
            'name = "RT-3"',
            'name = "dg-2"',
            "line 9, gauge[2].name: the name 'dg-2' is taken by gauge[1].",
        ),
    ],
)
def test_each_refusal_names_line_and_key(old: str, new: str, expected: str) -> None:
    assert GOOD.count(old) == 1
    assert findings(GOOD.replace(old, new)) == [f"g.toml, {expected}"]


def test_a_file_without_gauges_is_refused() -> None:
    assert findings("") == [
        "g.toml, gauge: [[gauge]] is missing: a gauges file holds one per gauge."
    ]
    assert findings("gauge = 3\n") == [
        "g.toml, line 1, gauge: this must be rows that begin with [[gauge]] (got 3)."
    ]


def test_a_day_may_be_a_text() -> None:
    (card, _) = read_gauge_cards(GOOD.replace("2027-08-14", '"2027-08-14"'))

    assert card.calibrated_until == date(2027, 8, 14)


def test_which_gauge_reads_what() -> None:
    fine, coarse = (
        Gauge(name="F", suffix="um", u=2.0, u_bias=1.0),
        Gauge(name="C", suffix="mm", u=0.01),
    )

    assert gauge_for(fine, suffix="mm") == Gauge(name="F", suffix="mm", u=0.002, u_bias=0.001)
    assert gauge_for(coarse, suffix="mm") is coarse
    assert gauge_for(coarse, suffix="um") is None
    assert gauge_for(coarse, suffix="n") is None
