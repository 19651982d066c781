"""``castworthy injector``: sums by hand, the washers, and why none."""

import json

import pytest
from scipy.stats import norm

from cli.conftest import Run

ASKED = ("--low", "0.70mm", "--high", "1.00mm")


def answer_of(run: Run, *words: str) -> dict[str, object]:
    result = run("injector", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_a_washer_brings_it_back(run: Run) -> None:
    words = ("--stand", "0.9mm", *ASKED, "--deck-cut", "0.25mm", "--washer", "0.25mm")
    answer = answer_of(run, *words, "--u-stand", "0.03mm", "--u-deck-cut", "0.04mm")

    assert answer["bare_mm"] == pytest.approx(1.15)
    assert answer["washers_mm"] == [0.25]
    assert answer["stand_mm"] == pytest.approx(0.90)
    # JCGM 106, 7.2, by scipy.
    assert answer["probability"] == pytest.approx(norm.cdf(2.0) - norm.cdf(-4.0))
    assert answer["verdict"] == "inside"
    page = run("injector", *words, "--show", "mm").stdout
    assert "Fit 0.250 mm: stands 0.900 mm, inside." in page
    assert "Fit a new washer every time" in page


def test_the_fitted_washer_comes_out(run: Run) -> None:
    words = ("--stand", "1.81mm", "--low", "1.6mm", "--high", "1.85mm", "--deck-cut", "0.15mm")
    answer = answer_of(run, *words, "--fitted", "1.5mm", "--washer", "1.75mm", "--washer", "2mm")

    # By hand: 1.81 + 0.15 + 1.5 is 3.46; 1.75 leaves 1.71.
    assert answer["bare_mm"] == pytest.approx(3.46)
    assert answer["washers_mm"] == [1.75]


def test_below_the_deck(run: Run) -> None:
    answer = answer_of(run, "--stand", "-0.3mm", "--low", "-0.4mm", "--high", "-0.2mm")

    assert (answer["stand_mm"], answer["washers_mm"]) == (-0.3, [])


@pytest.mark.parametrize(
    ("words", "code"),
    [(("--stand", "1.5mm"), "no-washers"), (("--stand", "0.5mm"), "too-low")],
)
def test_no_washer_is_a_refusal(run: Run, words: tuple[str, ...], code: str) -> None:
    result = run("injector", *words, *ASKED, "--json")

    assert result.exit_code == 3
    assert json.loads(result.stdout)["refused"]["code"] == code


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--stand", "0.9mm", "--low", "1mm"), "Missing option '--high'"),
        (("--stand", "0.9mm", "--low", "2mm", "--high", "1mm"), "got"),
        (("--stand", "0.9mm", *ASKED, "--fitted", "0mm"), "thicker than 0"),
        (("--stand", "0.9", *ASKED), "has no unit"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("injector", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
