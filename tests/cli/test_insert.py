"""``castworthy insert``: the same figures as calc, with the keys the docs name."""

import json
from math import pi

import pytest

from cli.conftest import Run

INSERT = ("--outside", "40.08mm", "--bore", "40mm", "--hole", "32mm")
BOSS = ("--boss", "60mm", "--length", "8mm")


def answer_of(run: Run, *words: str) -> dict[str, object]:
    result = run("insert", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_a_steel_ring_in_an_iron_boss(run: Run) -> None:
    """No published figure.  Lame by hand with E 210 and 110 GPa, Poisson 0.30 and 0.26."""
    boss, ring = (60**2 + 40**2) / (60**2 - 40**2), (40**2 + 32**2) / (40**2 - 32**2)
    pressure = 0.08 / (40 * ((boss + 0.26) / 110e3 + (ring - 0.30) / 210e3))
    answer = answer_of(run, *INSERT, *BOSS, "--u-outside", "0.003mm", "--u-bore", "0.004mm")

    assert answer["interference_mm"] == pytest.approx(0.08)
    assert answer["pressure_mpa"] == pytest.approx(pressure, rel=1e-9)
    assert answer["boss_hoop_mpa"] == pytest.approx(pressure * boss, rel=1e-9)
    assert answer["ring_hoop_mpa"] == pytest.approx(-pressure * ring, rel=1e-9)
    assert answer["press_n"] == pytest.approx(0.12 * pressure * pi * 40 * 8, rel=1e-9)
    assert answer["u_interference_mm"] == pytest.approx(0.005)
    assert [way["ring_degc"] for way in answer["assembly"]["ways"]] == [20, -18, -78, -196]
    assert answer["service"] is None


def test_an_interference_stands_for_either_diameter(run: Run) -> None:
    both = answer_of(run, *INSERT)
    by_bore = answer_of(run, "--bore", "40mm", "--interference", "0.08mm", "--hole", "32mm")
    by_ring = answer_of(run, "--outside", "40.08mm", "--interference", "0.08mm", "--hole", "32mm")

    for each in (by_bore, by_ring):
        assert each["pressure_mpa"] == pytest.approx(both["pressure_mpa"], rel=1e-9)
    # Without --boss the metal has no end: Lame's hoop stress at the hole is the pressure in it.
    assert both["boss_mm"] is None
    assert both["boss_hoop_mpa"] == both["pressure_mpa"]


def test_the_fit_at_work(run: Run) -> None:
    """By hand: 21.5e-6 of aluminium over 11.5e-6 of steel, 100 degrees, 40 mm is 0.04 mm."""
    words = (*INSERT, *BOSS, "--head-metal", "aluminium", "--service-head", "120C")
    answer = answer_of(run, *words)
    loose = answer_of(run, *words, "--service-head", "320C")
    page = run("insert", *words, "--service-head", "320C").stdout

    assert answer["service"]["interference_mm"] == pytest.approx(0.04, abs=0.0005)
    assert answer["service"]["ring_degc"] == 120
    assert loose["service"]["refused"]["code"] == "loose-fit"
    assert "Running hot the head lets it go." in page


def test_temperatures_and_cautions(run: Run) -> None:
    """By hand: heat alone to 20 + 0.13/40/10.8e-6 = 321 deg C; a chilled insert asks for less."""
    words = (*INSERT, *BOSS, "--clearance", "0.05mm", "--chill", "-50C")
    ways = answer_of(run, *words)["assembly"]["ways"]
    hot = run("insert", *words, "--highest", "60C")
    page = run("insert", *words, "--show", "mm", "--head-yield", "100MPa").stdout

    assert ways[0]["head_degc"] == pytest.approx(20 + 0.13 / 40 / 10.8e-6)
    assert [way["ring_degc"] for way in ways] == [20, -18, -50, -78, -196]
    assert hot.exit_code == 0
    assert "press it in" in hot.stdout
    for said in (
        "0.080 mm of interference holds the insert with 43.2 MPa.",
        "With the insert from liquid nitrogen, it drops in with the head at 135 °C.",
        "Liquid nitrogen draws oxygen out of the air",
        "past 100 MPa",
        "is taken as a round boss",
    ):
        assert said in " ".join(page.split())


def test_a_loose_insert_is_refused(run: Run) -> None:
    words = ("--outside", "39.99mm", "--bore", "40mm", "--hole", "32mm")
    plain, as_json = run("insert", *words), run("insert", *words, "--json")

    assert (plain.exit_code, plain.stdout, as_json.exit_code) == (3, "", 3)
    assert plain.stderr.startswith("The ring measures 0.0100 mm less than its bore")
    assert json.loads(as_json.stdout)["refused"]["code"] == "loose-fit"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--bore", "40mm", "--hole", "32mm"), "Give two of --outside, --bore and --interference"),
        ((*INSERT, "--interference", "0.1mm"), "Give two of"),
        (("--outside", "40.08", "--bore", "40mm", "--hole", "32mm"), "has no unit"),
        ((*INSERT, "--hole", "41mm"), "smaller than the bore it goes into"),
        ((*INSERT, "--boss", "39mm"), "the boss is larger"),
        ((*INSERT, "--head-metal", "brass"), "'brass' is not one of"),
        ((*INSERT, "--service-insert", "200C"), "needs --service-head"),
        ((*INSERT, "--clearance", "-1mm"), "must be 0 or more"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("insert", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
