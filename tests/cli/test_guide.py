"""``castworthy guide``: the same figures as calc, with the keys the docs name."""

import json

import pytest
from scipy.stats import norm

from cli.conftest import Run

READ = (
    *("--bore", "8.06mm/8.07mm", "--bore", "8.02mm", "--bore", "8.05mm/8.04mm"),
    *("--stem", "7.97mm/7.98mm", "--stem", "7.96mm"),
)
FIT = ("--outside", "14.04mm", "--head-bore", "14mm")


def answer_of(run: Run, *words: str) -> dict[str, object]:
    result = run("guide", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_clearance_by_hand(run: Run) -> None:
    words = (*READ, "--low", "0.03mm", "--high", "0.12mm")
    found = answer_of(run, *words, "--u-bore", "0.003mm", "--u-stem", "0.004mm")["clearance"]

    assert found["largest_mm"] == pytest.approx(0.11)
    assert found["smallest_mm"] == pytest.approx(0.04)
    assert found["mean_mm"] == pytest.approx((8.065 + 8.02 + 8.045) / 3 - (7.975 + 7.96) / 2)
    assert found["bell_mouth_mm"] == pytest.approx(0.045)
    assert found["bore_out_of_round_mm"] == pytest.approx(0.01)
    assert found["verdict"] == "inside"
    assert found["probability"] == pytest.approx(2 * norm.cdf(2) - 1, abs=1e-9)


@pytest.mark.parametrize(
    ("high", "verdict", "words"),
    [
        ("0.15mm", "inside", "inside its limits."),
        ("0.112mm", "too close to call", "too close to its limits to call: read again"),
        ("0.09mm", "outside", "0.020 mm too much."),
    ],
)
def test_verdicts(run: Run, high: str, verdict: str, words: str) -> None:
    words_given = (*READ, "--high", high, "--u-bore", "0.003mm", "--u-stem", "0.004mm")
    page = run("guide", *words_given, "--show", "mm").stdout

    assert answer_of(run, *words_given)["clearance"]["verdict"] == verdict
    assert words in " ".join(page.split())
    assert "Read the guide at top, middle and bottom" in page


def test_the_guide_pressed_in_its_head(run: Run) -> None:
    """By hand: Lame, a bronze ring 8 in 14 mm in endless grey iron."""
    ring = (14**2 + 8**2) / (14**2 - 8**2)
    pressure = 0.04 / (14 * ((1 + 0.26) / 110e3 + (ring - 0.34) / 110e3))
    answer = answer_of(run, *FIT, "--hole", "8mm")
    both = answer_of(run, *FIT, *READ)

    assert answer["clearance"] is None
    assert answer["fit"]["pressure_mpa"] == pytest.approx(pressure, rel=1e-9)
    # The hole closes by its diameter times the hoop strain there.
    closes = 2 * pressure * 14**2 / (14**2 - 8**2) * 8 / 110e3
    assert answer["fit"]["ring_bore_change_mm"] == pytest.approx(-closes, rel=1e-9)
    assert both["fit"]["ring_bore_mm"] == pytest.approx((8.065 + 8.02 + 8.045) / 3)
    page = run("guide", *FIT, *READ, "--show", "mm").stdout
    for said in ("of clearance", "of interference holds the guide", "The guide's hole closes by"):
        assert said in page


def test_a_stem_that_binds_is_told(run: Run) -> None:
    words = ("--bore", "8.00mm", "--stem", "8.01mm")

    assert answer_of(run, *words)["cautions"][0].startswith("The stem is larger than the guide")
    assert answer_of(run, *words)["clearance"]["verdict"] is None


def test_a_loose_guide_is_refused(run: Run) -> None:
    result = run("guide", "--outside", "13.99mm", "--head-bore", "14mm", "--hole", "8mm")

    assert (result.exit_code, result.stdout) == (3, "")
    assert "nothing holds it" in result.stderr


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((*READ, "--length", "40mm"), "--length says nothing without --outside."),
        ((), "Give --bore and --stem, or --outside and --head-bore."),
        (("--bore", "8mm"), "A clearance needs --bore and --stem"),
        (("--bore", "8mm/8mm/8mm", "--stem", "7.9mm"), "holds 3 readings"),
        (("--bore", "8", "--stem", "7.9mm"), "has no unit"),
        (("--bore", "0mm", "--stem", "7.9mm"), "above 0"),
        ((*READ, "--low", "0.2mm", "--high", "0.1mm"), "A low limit is at most the high one"),
        (("--outside", "14mm"), "--outside and --head-bore together"),
        (FIT, "--hole or --bore"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("guide", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
