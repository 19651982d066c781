"""``castworthy judge`` on real files: the same verdicts as calc, in the published keys."""

import json
from pathlib import Path

import pytest
from scipy.stats import norm

from cli.conftest import SHEETS, Run

INCH = 25.4


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("judge", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_the_published_keys(run: Run, t66: list[str | Path]) -> None:
    answer = answer_of(run, *t66)
    row = answer["readings"][0]

    assert {"decision", "readings", "missing", "slips"} <= set(answer)
    assert {
        "quantity",
        "place",
        "value_mm",
        "u_mm",
        "verdict",
        "probability",
        "low_mm",
        "high_mm",
        "excess_mm",
    } <= set(row)
    assert answer["decision"] == "rework"


def test_units_are_in_the_keys(run: Run, f14: list[str | Path]) -> None:
    rows = {row["quantity"]: row for row in answer_of(run, *f14)["readings"]}

    assert rows["finish_ra"]["value_um"] == pytest.approx(0.92)
    assert rows["chamber_volume"]["value_cm3"] == pytest.approx(53.6)
    assert rows["seat_load"]["value_n"] == pytest.approx(24.0 * (42.5 - 34.0), abs=3.0)
    assert rows["flatness"]["high_mm"] == pytest.approx(0.05)
    assert "value_mm" not in rows["finish_ra"]


def test_figures_against_plain_arithmetic(run: Run, t66: list[str | Path]) -> None:
    # Independent library: scipy.stats.norm; inputs read off the example files by hand.
    rows = {(row["quantity"], row["place"]): row for row in answer_of(run, *t66)["readings"]}
    deep, shallow = rows["recession", "2B"], rows["recession", "5C"]
    u = 0.0003 * INCH

    assert deep["verdict"] == "outside"
    assert deep["excess_mm"] == pytest.approx(0.0028 * INCH, abs=1e-9)
    assert shallow["excess_mm"] == pytest.approx(0.0016 * INCH, abs=1e-9)
    five_b = rows["recession", "5B"]
    assert five_b["probability"] == pytest.approx(
        norm.cdf((0.0465 - 0.0349) * INCH / u) - norm.cdf((0.0325 - 0.0349) * INCH / u), abs=1e-12
    )
    assert deep["sentence"] == "2B is too deep by 2.8 thou."


def test_the_readable_page(run: Run, t66: list[str | Path]) -> None:
    result = run("judge", *t66)

    assert result.exit_code == 0
    assert "T66  Tarn 66, six cylinders, 24 valves" in result.stdout
    assert "2B     0.0493 in below the deck  ▲ 2.8 thou past the deep limit" in result.stdout
    assert "2B is too deep by 2.8 thou." in result.stdout
    assert result.stdout.rstrip().endswith(
        "T66 is rework: work brings it in; castworthy plan says which."
    )


def test_units_are_the_persons_choice(run: Run, t66: list[str | Path]) -> None:
    assert "2B is too deep by 0.071 mm." in run("judge", *t66, "--show", "mm").stdout


def test_a_metric_sheet_is_shown_in_millimetres(run: Run, f14: list[str | Path]) -> None:
    assert "1B is too deep by 0.070 mm." in run("judge", *f14).stdout
    assert "1B is too deep by 2.8 thou." in run("judge", *f14, "--show", "thou").stdout


def test_without_gauges_the_bare_readings_decide_and_it_is_said(
    run: Run, t66: list[str | Path]
) -> None:
    answer = answer_of(run, *t66[:2])

    assert {row["rule_applied"] for row in answer["readings"]} == {"simple"}
    assert {row["probability"] for row in answer["readings"]} == {None}
    assert answer["cautions"] == [
        "No gauges file was given, so every reading is judged as if it were exact; name one with "
        "--gauges."
    ]


def test_an_overdue_gauge_is_said(run: Run, t66: list[str | Path], tmp_path: Path) -> None:
    old = tmp_path / "gauges.toml"
    text = Path(t66[3]).read_text(encoding="utf-8")
    old.write_text(text.replace("2027-08-14", "2020-01-31"), encoding="utf-8")
    answer = answer_of(run, *t66[:3], old)

    assert answer["cautions"] == [
        "Gauge DG-2 is past its calibration (2020-01-31); what was read with it rests on an old "
        "check."
    ]


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    return tmp_path / "readings.csv"


def test_missing_and_slips(run: Run, readings: Path) -> None:
    readings.write_text(
        "quantity,place,value,unit,side\nrecession,1A,0.390,in,below\nrecession,1B,0.039,in,below\n",
        encoding="utf-8",
    )
    answer = answer_of(run, SHEETS / "t66.toml", readings)

    assert {"quantity": "recession", "place": "1C"} in answer["missing"]
    assert {"quantity": "recession", "place": "1B"} not in answer["missing"]
    assert {"quantity": "vacuum_hold", "place": "1A"} not in answer["missing"]
    (slip,) = answer["slips"]
    assert (slip["place"], slip["kind"]) == ("1A", "power of ten")
    assert slip["likely_value_mm"] == pytest.approx(0.039 * INCH)
    page = run("judge", SHEETS / "t66.toml", readings).stdout
    assert "Look again" in page
    assert "Not measured" in page


def test_an_incomplete_head_is_not_decided(run: Run, readings: Path) -> None:
    readings.write_text(
        "quantity,place,value,unit,side\nrecession,1B,0.039,in,below\n", encoding="utf-8"
    )

    assert answer_of(run, SHEETS / "t66.toml", readings)["decision"] == "undecided"


def test_repeats_settle(run: Run, t66: list[str | Path], tmp_path: Path) -> None:
    """A close call names how many readings settle it; taking them does."""
    header = "quantity,place,value,unit,side,gauge,by,at\n"
    row = "recession,1A,0.0462,in,below,DG-2,Ines,2027-03-09 08:{:02d}\n"
    once, often = tmp_path / "once.csv", tmp_path / "often.csv"
    once.write_text(header + row.format(0), encoding="utf-8")
    first = answer_of(run, t66[0], once, *t66[2:])["readings"][0]
    often.write_text(
        header + "".join(row.format(i) for i in range(first["repeats_count"])), encoding="utf-8"
    )
    after = answer_of(run, t66[0], often, *t66[2:])["readings"][0]

    assert (first["verdict"], after["verdict"]) == ("too close to call", "inside")


def test_nothing_limited_was_measured_is_a_refusal(run: Run, readings: Path) -> None:
    readings.write_text("quantity,place,value,side\nheight,H1a,0.1mm,above\n", encoding="utf-8")
    result = run("judge", SHEETS / "t66.toml", readings)
    as_json = run("judge", SHEETS / "t66.toml", readings, "--json")

    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr == (
        "Nothing that the sheet limits has been measured on this head. Measure it first.\n"
    )
    assert as_json.exit_code == 3
    assert json.loads(as_json.stdout)["refused"]["code"] == "nothing-measured"
