"""``castworthy ratio``: the same figures as calc, with the keys the docs name."""

import json
from math import pi
from pathlib import Path

import pytest

from cli.conftest import Run

ENGINE = (
    *("--bore", "107mm", "--stroke", "124mm", "--chamber", "8cc", "--gasket", "1.3mm"),
    *("--gasket-bore", "109mm", "--bowl", "48cc", "--deck", "-0.35mm"),
)
SWEPT = pi / 4 * 107**2 * 124 / 1000
CLEARANCE = 8 + 48 + pi / 4 * (109**2 * 1.3 - 107**2 * 0.35) / 1000


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("ratio", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_ratio_by_hand(run: Run) -> None:
    answer = answer_of(run, *ENGINE, "--wanted", "17.5")

    assert answer["compression_ratio"] == pytest.approx(1 + SWEPT / CLEARANCE)
    assert answer["swept_cm3"] == pytest.approx(SWEPT)
    assert answer["clearance_cm3"] == pytest.approx(CLEARANCE)
    assert answer["piston_to_head_mm"] == pytest.approx(0.95)
    assert answer["u_compression_ratio"] is None
    assert answer["wanted_chamber_cm3"] == pytest.approx(SWEPT / 16.5 - (CLEARANCE - 8))
    assert (answer["after"], answer["grade"], answer["injector"]) == (None, None, None)


def test_the_deck_cut_for_a_wanted_ratio_gives_that_ratio(run: Run) -> None:
    sink = ("--area", "22cm2", "--valve", "37mm", "0.3mm")
    cut = answer_of(run, *ENGINE, *sink, "--wanted", "18.5")["wanted_deck_cut_mm"]
    after = answer_of(run, *ENGINE, *sink, "--deck-cut", f"{cut:.9f}mm")["after"]

    assert after["compression_ratio"] == pytest.approx(18.5, rel=1e-9)
    assert answer_of(run, *ENGINE, "--wanted", "18.5")["wanted_deck_cut_mm"] is None


def test_after_the_work(run: Run) -> None:
    """By hand: 22 cm2 times 0.15 mm off, discs of 37 and 34 mm on."""
    answer = answer_of(
        run,
        *ENGINE,
        *("--deck-cut", "0.15mm", "--area", "22cm2"),
        *("--valve", "37mm", "0.3mm", "--valve", "34mm", "0.2mm"),
        *("--u-chamber", "0.1cc"),
    )
    change = -2200 * 0.15 / 1000 + pi / 4 * (37**2 * 0.3 + 34**2 * 0.2) / 1000

    assert answer["after"]["chamber_change_cm3"] == pytest.approx(change)
    assert answer["after"]["compression_ratio"] == pytest.approx(1 + SWEPT / (CLEARANCE + change))
    # First order: Vs / Vc^2 times 0.1.
    assert answer["u_compression_ratio"] == pytest.approx(SWEPT / CLEARANCE**2 * 0.1, rel=1e-4)


def test_cylinders_and_grade(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "cylinders.csv"
    file.write_text("name,chamber,deck\n1,8.0 cc,-0.35 mm\n2,8.4 cc,-0.45 mm\n", encoding="utf-8")
    words = ("--cylinders", file, "--grade", "A", "1.3mm", "--grade", "B", "1.4mm")
    answer = answer_of(run, *ENGINE, *words, "--low-gap", "0.9mm")

    assert [each["name"] for each in answer["cylinders"]] == ["1", "2"]
    # 1.3 - 0.45 is too near; 1.4 - 0.45 is not.
    assert answer["grade"]["name"] == "B"
    assert answer["grade"]["options"][0]["broken"] == ["piston to head 0.850 mm is below 0.9"]
    ratios = [each["ratio"] for each in answer["cylinders"]]
    assert answer["spread_ratio"] == pytest.approx(max(ratios) - min(ratios))
    # By hand: 0.4 cm3 of chamber less a disc of 107 mm and 0.1 mm that the piston stands higher.
    assert answer["spread_clearance_cm3"] == pytest.approx(abs(0.4 - pi / 4 * 107**2 * 0.1 / 1000))
    named = dict(zip(ratios, ("1", "2"), strict=True))
    assert (answer["lowest"], answer["highest"]) == (named[min(ratios)], named[max(ratios)])
    refused = run("ratio", *ENGINE, *words, "--low-gap", "2mm")
    assert refused.exit_code == 3
    assert "No gasket grade" in refused.stderr


def test_valve_and_injector(run: Run) -> None:
    words = (
        *ENGINE,
        *("--deck-cut", "0.25mm", "--area", "22cm2", "--recession", "0.9mm", "--lift", "0.5mm"),
        *("--injector", "0.9mm", "--injector-limits", "0.7mm", "1.0mm", "--washer", "0.25mm"),
    )
    answer = answer_of(run, *words)

    assert answer["valve_gap_mm"] == pytest.approx(0.95 + 0.9 - 0.5)
    assert answer["injector"]["stand_mm"] == pytest.approx(0.9)
    assert answer["injector"]["washers_mm"] == [0.25]
    page = run("ratio", *words, "--show", "mm").stdout
    for said in ("Compression ratio 18.1", "after the work", "Valve to piston", "with washers"):
        assert said in page
    assert "The valve meets the piston." in run("ratio", *words, "--lift", "5mm").stdout


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((*ENGINE, "--low", "16"), "--low says nothing without --grade."),
        ((*ENGINE, "--deck-cut", "0.1mm"), "needs --area"),
        ((*ENGINE, "--injector", "0.9mm"), "--injector-limits together"),
        ((*ENGINE, "--grade", "A", "1.3"), "has no unit"),
        ((*ENGINE, "--deck", "-30mm"), "check the deck clearance"),
        ((*ENGINE, "--bore", "0mm"), "above 0"),
        ((*ENGINE, "--cylinders", "no/such.csv"), "cannot be read"),
        (ENGINE[2:], "Missing option '--bore'"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("ratio", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
