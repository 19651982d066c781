"""``castworthy seat``: the same figures as calc, in the published keys."""

import json
from math import sqrt

import pytest

from cli.conftest import Run

USUAL = ("--angle", "45", "--top", "30", "--throat", "60")
VALVE = (
    *("--outer", "36mm", "--width", "1.6mm"),
    *("--face-outer", "37.2mm", "--face-inner", "32.4mm"),
)


def answer_of(run: Run, *words: str) -> dict[str, object]:
    result = run("seat", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_the_published_keys_and_the_figure_of_the_trade(run: Run) -> None:
    answer = answer_of(run, *USUAL, "--sink", "0.010in")

    assert {
        "width_growth_mm",
        "outer_radius_growth_mm",
        "inner_radius_change_mm",
        "normal_stock_mm",
        "narrowing",
    } <= set(answer)
    # By hand: 1/(1 - 1/sqrt 3) + 1/(sqrt 3 - 1), over cos 45, is 5.278.
    assert answer["width_growth_mm"] / 25.4 == pytest.approx(0.05278, abs=0.000005)
    assert answer["normal_stock_mm"] == pytest.approx(0.254 / sqrt(2))
    assert answer["narrowing"] == {
        "seat_sink_mm": 0.0,
        "top_sink_mm": 0.254,
        "throat_sink_mm": 0.254,
    }


def test_included_angles_and_metal_square_to_the_seat_say_the_same(run: Run) -> None:
    plain = answer_of(run, *USUAL, "--sink", "0.2mm")
    included = answer_of(
        run, "--angle", "90", "--top", "120", "--throat", "60", "--included", "--sink", "0.2mm"
    )
    metal = answer_of(run, *USUAL, "--metal", f"{0.2 / sqrt(2):.9f}mm")

    assert included == plain
    assert metal["width_growth_mm"] == pytest.approx(plain["width_growth_mm"], rel=1e-7)


def test_a_seat_is_brought_to_the_middle_of_the_face(run: Run) -> None:
    answer = answer_of(run, *USUAL, "--sink", "0.2mm", *VALVE, "--to-width", "1.5mm")
    seat, contact = answer["seat"], answer["contact"]

    assert seat["width_before_mm"] == pytest.approx(1.6)
    assert seat["width_sunk_mm"] == pytest.approx(1.6 + answer["width_growth_mm"])
    assert seat["width_after_mm"] == pytest.approx(1.5)
    assert seat["outer_radius_mm"] + seat["inner_radius_mm"] == pytest.approx(34.8)
    assert contact["position_ratio"] == pytest.approx(0.5)
    assert contact["edge"] == "whole width"
    assert answer["valve_sink_mm"] == pytest.approx(
        0.2 + answer["narrowing"]["seat_sink_mm"], abs=1e-12
    )


def test_interference_angle_and_margin_are_told(run: Run) -> None:
    result = run(
        *("seat", "--angle", "46", "--top", "30", "--throat", "60", "--sink", "0.2mm", *VALVE),
        *("--face-angle", "45", "--margin", "1.5mm", "--face-cut", "0.2mm"),
        *("--least-margin", "1.4mm", "--show", "mm", "--u", "0.01mm"),
    )

    assert result.exit_code == 0
    for words in (
        "Sunk 0.200 mm, the seat is ",
        "touches first at the seat's outer edge",
        "Top cut",
        "standard uncertainty 0.05",
        "0.100 mm below the least",
        "the valve is to be renewed",
    ):
        assert words in result.stdout


def test_a_seat_that_misses_the_valve_is_refused(run: Run) -> None:
    words = (*USUAL, "--sink", "0.1mm", *VALVE, "--middle", "50mm")
    plain, as_json = run("seat", *words), run("seat", *words, "--json")

    assert (plain.exit_code, as_json.exit_code) == (3, 3)
    assert "misses the valve's face" in plain.stderr
    assert json.loads(as_json.stdout)["refused"]["code"] == "no-contact"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            (*USUAL, "--sink", "1mm", "--face-cut", "1mm"),
            "--face-cut says nothing without --margin.",
        ),
        ((*USUAL, "--sink", "0.010"), "has no unit"),
        (USUAL, "Give one of --sink and --metal."),
        ((*USUAL, "--sink", "1mm", "--metal", "1mm"), "Give one of --sink and --metal."),
        (("--angle", "90", "--top", "120", "--throat", "60", "--sink", "1mm"), "included angles?"),
        ((*USUAL, "--sink", "1mm", "--outer", "36mm"), "--outer and --width together"),
        ((*USUAL, "--sink", "1mm", "--to-width", "1mm"), "need the seat"),
        ((*USUAL, "--sink", "1mm", "--face-outer", "36mm"), "--face-inner together"),
        (
            (*USUAL, "--sink", "1mm", "--face-outer", "36mm", "--face-inner", "30mm"),
            "--outer and --width",
        ),
        ((*USUAL, "--sink", "-1mm"), "must be 0 or more"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("seat", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
