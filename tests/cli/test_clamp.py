"""``castworthy clamp``: the same figures as calc, in published keys."""

import json

import pytest

from cli.conftest import Run

STUD = ("--diameter", "14mm", "--pitch", "1.5mm")
HEAD = ("--studs", "26", "--cylinders", "6", "--bore", "107mm", "--pressure", "180bar")


def answer_of(run: Run, *words: str) -> dict[str, object]:
    result = run("clamp", *STUD, *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_torque_by_hand(run: Run) -> None:
    """180 N m over 1.5 / 2 pi + 0.12 (13.0257 / 1.73205 + 9) = 2.22117 mm is 81.04 kN."""
    answer = answer_of(run, "--torque", "180Nm", "--under-head", "18mm")

    assert answer["method"] == "torque"
    assert answer["preload_n"] == pytest.approx(180e3 / 2.221174, rel=1e-5)
    assert answer["preload_interval_n"] == pytest.approx(
        [0.7 * answer["preload_n"], 1.3 * answer["preload_n"]]
    )
    assert answer["clamp"] is None
    assert answer["thread"]["pitch_diameter_mm"] == pytest.approx(13.0257, abs=1e-4)


def test_the_other_ways(run: Run) -> None:
    """A 12 mm shank of 140 mm at 205 GPa: 113.097 * 205000 / 140 = 165 607 N/mm."""
    shank = ("--length", "140mm", "--shank", "12mm")

    assert answer_of(run, "--stretch", "0.2mm", *shank)["preload_n"] == pytest.approx(33_121, abs=1)
    assert answer_of(run, "--angle", "90deg", *shank)["preload_n"] == pytest.approx(62_103, abs=1)
    assert answer_of(run, "--torque", "180Nm", "--k", "0.2")["preload_n"] == pytest.approx(
        180e3 / 2.8
    )
    tpi = run("clamp", "--diameter", "0.75in", "--tpi", "16", "--torque", "3750inlb", "--k", "0.2")
    assert tpi.stdout.startswith("Preload 25000 lbf a stud by torque, 17500 to 32500.")


def test_the_clamp_of_a_head(run: Run) -> None:
    answer = answer_of(run, "--torque", "180Nm", *HEAD, "--ring", "118mm", "--yield", "940MPa")
    clamp = answer["clamp"]

    assert clamp["total_n"] == pytest.approx(26 * answer["preload_n"])
    assert clamp["gas_n"] == pytest.approx(18 * 8992.02, rel=1e-5)
    assert clamp["over_gas_ratio"] == pytest.approx(clamp["cylinder_n"] / clamp["gas_n"])
    assert clamp["ring_n_per_mm"] == pytest.approx(clamp["cylinder_n"] / (3.14159265 * 118))
    assert answer["most_preload_n"] > answer["preload_n"]
    assert "reach 90% of yield" in answer["cautions"][0]
    assert any("Information, no pass" in words for words in answer["cautions"])


def test_the_readable_page(run: Run) -> None:
    words = ("--torque", "180Nm", *HEAD, "--ring", "118mm", "--yield", "940MPa", "--show", "mm")
    result = run("clamp", *STUD, *words)

    assert result.exit_code == 0
    assert result.stdout.startswith("Preload 82147 N a stud by torque, 57503 to 106792.")
    for said in ("All studs", "Gas force", "Clamp over gas", "Along the ring", "At 90% of yield"):
        assert said in result.stdout


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((*STUD,), "Give one of --torque, --angle and --stretch."),
        ((*STUD, "--torque", "180Nm", "--angle", "90deg"), "Give one of --torque"),
        (
            ("--diameter", "14mm", "--torque", "180Nm"),
            "Give one of --pitch (metric) and --tpi (unified).",
        ),
        (
            (*STUD, "--tpi", "16", "--torque", "180Nm"),
            "Give one of --pitch (metric) and --tpi (unified).",
        ),
        ((*STUD, "--angle", "90deg"), "Give --length"),
        ((*STUD, "--angle", "90deg", "--k", "0.2"), "--k says nothing without --torque."),
        ((*STUD, "--torque", "1Nm", "--length", "9mm"), "without --angle or --stretch."),
        ((*STUD, "--torque", "180Nm", "--bore", "107mm"), "--studs, --bore and --pressure"),
        ((*STUD, "--torque", "180"), "has no unit"),
        ((*STUD, "--torque", "180Nm", "--mu", "12"), "between 0.01 and 0.6"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("clamp", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
