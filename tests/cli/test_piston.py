"""``castworthy piston``: sums by hand, the file of lifts, verdicts and bad words."""

import json
from pathlib import Path

import pytest
from scipy.stats import norm

from cli.conftest import Run

PLACE = ("--gasket", "1.30mm", "--deck", "-0.35mm", "--recession", "1.00mm", "--pocket", "0.40mm")
CRANK = ("--stroke", "124mm", "--rod", "200mm")


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("piston", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_at_top_dead_centre_by_hand(run: Run) -> None:
    answer = answer_of(run, *PLACE, "--lift", "0.74mm", "--deck-cut", "0.15mm", "--sink", "0.1mm")

    assert answer["closed_gap_mm"] == pytest.approx(2.35)
    assert answer["valve_gap_now"]["gap_mm"] == pytest.approx(1.61)
    assert answer["valve_gap_after"]["gap_mm"] == pytest.approx(1.56)
    assert answer["recession_after_mm"] == pytest.approx(0.95)
    assert answer["piston_to_head_after_mm"] == pytest.approx(0.95)
    assert (answer["valve"], answer["head"]) == (None, None)


@pytest.mark.parametrize(("column", "factor"), [("lift_mm", 1.0), ("lift_in", 25.4)])
def test_a_file_of_lifts(run: Run, tmp_path: Path, column: str, factor: float) -> None:
    file = tmp_path / "lifts.csv"
    rows = "".join(f"{t},{lift / factor:.6f}\n" for t, lift in ((0, 0.74), (-4, 1.07), (-6, 1.26)))
    file.write_text(f"crank_deg,{column}\n{rows}", encoding="utf-8")
    answer = answer_of(run, *PLACE, "--lifts", file, *CRANK, "--new-gasket", "1.40mm")

    # By hand: 4 degrees of crank 62 and rod 200 is 0.151 + 0.047 down.
    assert answer["valve_gap_now"]["gap_mm"] == pytest.approx(2.35 + 0.198 - 1.07, abs=1e-3)
    assert answer["valve_gap_now"]["crank_deg"] == -4.0
    assert answer["piston_to_head_after_mm"] == pytest.approx(1.05)
    page = run("piston", *PLACE, "--lifts", file, *CRANK, "--show", "mm").stdout
    assert "Valve to piston 1.478 mm at 4 degrees before top dead centre." in page
    assert "Turn the engine over by hand" in page


def test_verdicts_with_what_is_known(run: Run) -> None:
    words = (*PLACE, "--lift", "1.5mm", "--u-gasket", "0.03mm", "--u-pocket", "0.04mm")
    answer = answer_of(run, *words, "--least-valve", "0.80mm", "--least-head", "1.0mm")

    # JCGM 106, 7.3: 0.85 with u 0.05 against 0.80; 0.95 with u 0.03 against 1.00.
    assert answer["valve"]["probability"] == pytest.approx(norm.cdf(1.0))
    assert answer["valve"]["verdict"] == "too close to call"
    assert answer["head"]["probability"] == pytest.approx(norm.cdf(-5 / 3))
    assert answer["head"]["verdict"] == "outside"
    sure = answer_of(run, *words, "--least-valve", "0.80mm", "--confidence", "0.8")
    assert sure["valve"]["verdict"] == "inside"


def test_metal_that_meets_is_said(run: Run) -> None:
    assert "do not turn" in run("piston", *PLACE, "--lift", "3mm").stdout


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (PLACE[2:], "Missing option '--gasket'"),
        ((*PLACE, "--lifts", "no/such.csv"), "with --stroke and --rod"),
        ((*PLACE, "--lifts", "no/such.csv", *CRANK), "cannot be read"),
        ((*PLACE, "--lift", "-1mm"), "must be 0 or more"),
        ((*PLACE, "--gasket", "1.3"), "has no unit"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("piston", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("angle,lift\n0,1\n", "columns crank_deg,lift_mm are wanted"),
        ("crank_deg,lift_mm\n", "no rows follow"),
        ("crank_deg,lift_mm\n0,x\n", "line 2: two numbers are wanted"),
        ("crank_deg,lift_mm\n0\n", "line 2: two numbers are wanted"),
        ("crank_deg,lift_mm\n0,-1\n", "one lift of 0 or more"),
    ],
)
def test_a_bad_file_names_its_line(run: Run, tmp_path: Path, text: str, sentence: str) -> None:
    file = tmp_path / "lifts.csv"
    file.write_text(text, encoding="utf-8")
    result = run("piston", *PLACE, "--lifts", file, *CRANK)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
