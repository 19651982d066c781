"""``castworthy deck`` on real files: the same figures as calc, in the published keys."""

import json
from pathlib import Path

import numpy as np
import pytest

from cli.conftest import EXAMPLES, Run

HEIGHTS = EXAMPLES / "t66-heights.csv"


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("deck", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


@pytest.fixture
def corner(tmp_path: Path) -> Path:
    """A 3 x 3 grid with one corner 10 µm high: by hand 7.5 µm, least squares 8.333 µm."""
    rows = [f"{x},{y},{0.010 if x == y == 0 else 0}" for x in (0, 100, 200) for y in (0, 100, 200)]
    file = tmp_path / "corner.csv"
    file.write_text("\n".join(["x_mm,y_mm,z_mm", *rows]) + "\n", encoding="utf-8")
    return file


def test_the_published_keys(run: Run) -> None:
    answer = answer_of(run, HEIGHTS, "--window", "150mm", "--tilt", "0.0002")

    assert {
        "flatness_um",
        "flatness_least_squares_um",
        "local_flatness_um",
        "step_um",
        "cleanup_level_mm",
        "cleanup_tilted_mm",
        "tilt",
        "bow_um",
        "twist_um",
    } <= set(answer)
    assert set(answer["tilt"]) == {"a", "b"}
    assert answer["points_count"] == 60


def test_figures_by_hand(run: Run, corner: Path) -> None:
    answer = answer_of(run, corner, "--window", "100mm", "--window", "500mm", "--u", "1um")

    assert answer["flatness_um"] == pytest.approx(7.5, rel=1e-6)
    assert answer["flatness_least_squares_um"] == pytest.approx(25 / 3, rel=1e-6)
    # Four corners of a square, one of them up by h: the zone is h / 2.
    assert answer["local_flatness_um"] == pytest.approx(5.0, rel=1e-6)
    assert [each["window_mm"] for each in answer["local"]] == [100.0, 500.0]
    assert answer["local"][1]["flatness_um"] == pytest.approx(7.5, rel=1e-6)
    assert answer["cleanup_level_mm"] == pytest.approx(0.010)
    assert answer["cleanup_tilted_mm"] == pytest.approx(0.010)
    assert answer["tilt"] == {"a": 0.0, "b": 0.0}
    assert answer["u_flatness_um"] == pytest.approx(np.sqrt(0.75**2 + 0.25**2 + 0.5), rel=1e-6)


def test_a_tilt_saves_stock_within_its_bound(run: Run) -> None:
    level = answer_of(run, HEIGHTS)
    tilted = answer_of(run, HEIGHTS, "--tilt", "0.0002")

    assert tilted["cleanup_tilted_mm"] < level["cleanup_level_mm"] == tilted["cleanup_level_mm"]
    assert max(abs(slope) for slope in tilted["tilt"].values()) <= 0.0002
    assert 1e3 * tilted["cleanup_tilted_mm"] >= tilted["flatness_um"] * (1 - 1e-6)


def test_the_readable_page(run: Run) -> None:
    result = run("deck", HEIGHTS, "--window", "6in", "--tilt", "0.0002", "--u", "0.05thou")

    assert result.exit_code == 0
    assert result.stdout.startswith("Bowed: 1.")
    for words in (
        "low in the middle along the length",
        "Flatness ",
        "standard uncertainty 0.0",
        "In any 6.0000 in",
        "Clean-up, level",
        "Clean-up, tilted",
        "the last spot cleans at",
    ):
        assert words in result.stdout


def test_units_are_the_persons_choice(run: Run, corner: Path) -> None:
    in_mm = run("deck", corner, "--show", "mm").stdout

    assert "0.010 mm  the last spot cleans at 0, 100 mm" in in_mm
    assert "0.4 thou  the last spot cleans at 0, 3.94 in" in run("deck", corner).stdout


def test_a_slipped_decimal_is_asked_about(run: Run, tmp_path: Path) -> None:
    text = HEIGHTS.read_text(encoding="utf-8")
    file = tmp_path / "slipped.csv"
    file.write_text(text.replace("12,8,0.025\n", "12,8,0.25\n"), encoding="utf-8")
    (asked,) = answer_of(run, file)["questions"]

    assert asked.startswith("Point at 0.47, 0.31 in stands ")
    assert asked.endswith("was a decimal slipped?")
    assert asked in run("deck", file).stdout
    assert answer_of(run, HEIGHTS)["questions"] == []


def test_refusals_are_exit_3(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "line.csv"
    file.write_text("x_mm,y_mm,z_mm\n0,0,0\n10,10,0\n20,20,0\n30,30,0.1\n", encoding="utf-8")
    plain, as_json = run("deck", file), run("deck", file, "--json")

    assert (plain.exit_code, as_json.exit_code) == (3, 3)
    assert plain.stderr == (
        "Flatness cannot be judged: all points lie in one line. Measure on both sides of it as "
        "well.\n"
    )
    assert plain.stdout == ""
    assert json.loads(as_json.stdout)["refused"]["code"] == "points-in-line"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("no/such.csv",), "no/such.csv: the file cannot be read (no such file or directory)."),
        ((str(HEIGHTS), "--window", "150"), "has no unit"),
        ((str(HEIGHTS), "--tilt", "-1"), "is not in the range"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("deck", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
