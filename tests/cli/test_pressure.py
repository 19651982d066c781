"""``castworthy pressure``: the same figures as calc, with the keys the docs name."""

import json

import pytest

from cli.conftest import Run

TEST = ("--start", "276kPa", "--volume", "5000cm3", "--hold", "600s")
STILL = ("--start-at", "20C", "--end-at", "20C")


def answer_of(run: Run, *words: str) -> dict[str, object]:
    result = run("pressure", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_a_leak_at_one_temperature(run: Run) -> None:
    """6 kPa out of 5 l in 600 s: 6000 * 0.005 / 600 = 0.05 Pa m3/s."""
    answer = answer_of(run, *TEST, *STILL, "--held", "270kPa")

    assert answer["loss_kpa"] == pytest.approx(6.0)
    assert answer["decay"]["leak_pa_m3_per_s"] == pytest.approx(0.05)
    assert answer["left_ratio"] == pytest.approx(270 / 276)
    assert (answer["inside"], answer["decay"]["seen"]) == (True, True)
    # Trade figure: air at 40 psi in 5 l about 1.5 kJ, water 0.09 J.
    assert answer["stored_air_n_m"] == pytest.approx(1500, abs=50)
    assert answer["stored_water_n_m"] == pytest.approx(0.09, abs=0.005)


@pytest.mark.parametrize("air", [("--atmosphere", "83.4kPa"), ("--altitude", "1600m")])
def test_cooling_alone_is_no_leak_at_any_height(run: Run, air: tuple[str, str]) -> None:
    """Gay-Lussac, absolute, with the air of the place; the altitude's own air is 83.5 kPa."""
    held = (276 + 83.4) * 288.15 / 293.15 - 83.4
    words = (*TEST, "--start-at", "20C", "--end-at", "59F", "--held", f"{held:.6f}kPa", *air)
    answer = answer_of(run, *words)

    assert answer["left_ratio"] == pytest.approx(1.0, abs=2e-5)
    assert answer["decay"]["leak_loss_kpa"] == pytest.approx(0.0, abs=0.005)
    assert not answer["decay"]["seen"]


def test_the_page_tells_leak_energy_and_cautions(run: Run) -> None:
    page = run("pressure", *TEST, *STILL, "--held", "240kPa", "--show", "mm").stdout
    said = " ".join(page.split())

    for words in (
        "The leak took 36.0 kPa",
        "87.0% of the test pressure is left, less than 95%.",
        "Energy stored by air 1.5 kJ",
        "Energy stored by water 0.087 J",
        "stay behind the guard",
    ):
        assert words in said


def test_water_is_compared_as_read(run: Run) -> None:
    answer = answer_of(run, *TEST, "--held", "270kPa", "--medium", "water")

    assert answer["decay"] is None
    assert answer["left_ratio"] == pytest.approx(270 / 276)


@pytest.mark.parametrize("filling", [STILL, ("--medium", "water")])
def test_a_rise_is_refused(run: Run, filling: tuple[str, ...]) -> None:
    words = (*TEST, *filling, "--held", "290kPa")
    plain, as_json = run("pressure", *words), run("pressure", *words, "--json")

    assert (plain.exit_code, plain.stdout, as_json.exit_code) == (3, "", 3)
    assert "the pressure rose by" in plain.stderr
    assert json.loads(as_json.stdout)["refused"]["code"] == "pressure-rises"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((*TEST, "--held", "270kPa"), "Air needs --start-at and --end-at"),
        ((*TEST, *STILL, "--held", "270kPa", "--medium", "water"), "are of air"),
        ((*TEST, *STILL, "--held", "270"), "has no unit"),
        (
            (*TEST, *STILL, "--held", "270kPa", "--altitude", "1m", "--atmosphere", "100kPa"),
            "not both",
        ),
        (("--start", "0kPa", *TEST[2:], *STILL, "--held", "0kPa"), "above 0"),
        (
            ("--start", "40psi", "--held", "39psi", *TEST[2:], "--start-at", "-60C", *STILL[2:]),
            "check the unit",
        ),
        ((*TEST, *STILL, "--held", "1kPa", "--atmosphere", "300kPa"), "standard atmosphere"),
        (TEST, "Missing option '--held'"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("pressure", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
