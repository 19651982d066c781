"""``castworthy leak`` on real files: the same figures as calc, in the published keys."""

import json
from math import pi, sqrt
from pathlib import Path

import pytest

from cli.conftest import EXAMPLES, Run

LOG = EXAMPLES / "port-log.csv"
BENCH = ("--volume", "250cm3", "--atmosphere", "98.6kPa")


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("leak", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


@pytest.fixture
def even(tmp_path: Path) -> Path:
    """Choked: 0.1 kPa a second, so 0.025 Pa m3/s into 250 cm3."""
    file = tmp_path / "even.csv"
    rows = [f"{t},{15 + 0.1 * t}" for t in range(0, 41, 5)]
    file.write_text("\n".join(["t_s,p_kpa", *rows]) + "\n", encoding="utf-8")
    return file


def test_figures_by_hand(run: Run, even: Path) -> None:
    answer = answer_of(run, even, "--volume", "250cm3", "--hold", "30s")
    area = 0.025 / (101.325e3 * sqrt(287.05 * 293.15) * 0.684731)

    assert answer["leak_pa_m3_per_s"] == pytest.approx(0.025)
    assert answer["leak_std_cm3_per_min"] == pytest.approx(0.025 / 0.00168875)
    assert answer["hole_um"] == pytest.approx(1e6 * sqrt(4 * area / pi), rel=1e-5)
    assert answer["loss_in_hold_kpa"] == pytest.approx(3.0)
    for name, interval in (
        ("leak_pa_m3_per_s", "leak_interval_pa_m3_per_s"),
        ("leak_std_cm3_per_min", "leak_interval_std_cm3_per_min"),
        ("hole_um", "hole_interval_um"),
        ("loss_in_hold_kpa", "loss_interval_kpa"),
    ):
        low, high = answer[interval]
        assert low < answer[name] < high


def test_the_example_with_limits_and_pump(run: Run) -> None:
    limits = ("--least-held", "22inHg", "--most-loss", "0.5inHg", "--dead-head", "25.5inHg")
    answer = answer_of(run, LOG, *BENCH, *limits)

    assert answer["verdict"] == "outside"
    assert answer["probability"] < 0.05
    assert answer["dead_head_share_ratio"] == pytest.approx(answer["held_kpa"] / (25.5 * 3.386389))
    told = "The port leaks too much: it is to lose at most 0.50 inHg and hold at least 22.00 inHg"
    assert answer["sentences"][0].startswith(told)
    assert answer_of(run, LOG, *BENCH)["verdict"] is None


def test_the_readable_page(run: Run) -> None:
    result = run("leak", LOG, *BENCH, "--most-loss", "2inHg")

    assert result.exit_code == 0
    assert result.stdout.startswith("The port seals: it is to lose at most 2.00 inHg in 30 s.")
    for words in ("std cm³/min", "round hole of 1.", "still holds 2", "Pa m³/s", "Oil on a seat"):
        assert words in result.stdout
    assert "kPa" in run("leak", LOG, *BENCH, "--show", "mm").stdout


def test_altitude_in_place_of_the_atmosphere(run: Run) -> None:
    answer = answer_of(run, LOG, "--volume", "250cm3", "--altitude", "230m")

    # ISO 2533: 101.325 kPa less about 12 Pa a metre near the sea.
    assert answer["atmosphere_kpa"] == pytest.approx(98.6, abs=0.1)
    both = run("leak", LOG, *BENCH, "--altitude", "230m")
    assert (both.exit_code, "not both" in both.stderr) == (2, True)


def test_volume_and_gauge_widen_what_rests_on_them(run: Run) -> None:
    bare = answer_of(run, LOG, *BENCH)
    counted = answer_of(run, LOG, *BENCH, "--u-volume", "10cm3", "--u-gauge", "0.2inHg")

    # 10 of 250 cm3 beside the fit's own part; 0.2 inHg of 3.386389 kPa each (NIST SP 811).
    own = bare["u_leak_pa_m3_per_s"]
    of_volume = bare["leak_pa_m3_per_s"] * 10 / 250
    assert counted["u_leak_pa_m3_per_s"] == pytest.approx((own**2 + of_volume**2) ** 0.5)
    assert counted["u_held_kpa"] == pytest.approx(0.2 * 3.386389, rel=0.01)
    assert counted["u_loss_kpa"] == pytest.approx(bare["u_loss_kpa"], rel=1e-6)
    words = counted["sentences"][-1]
    assert words.startswith("Counted in: 10.0 cm³ in the volume, for leak and hole; 0.20 inHg")


def test_the_odd_port(run: Run, tmp_path: Path) -> None:
    beside: list[str | Path] = []
    for name, rise in (("1B", 0.010), ("2A", 0.011), ("2B", 0.012)):
        file = tmp_path / f"{name}.csv"
        rows = [f"{t},{15 + rise * t:.4f}" for t in range(0, 41, 5)]
        file.write_text("\n".join(["t_s,p_kpa", *rows]), encoding="utf-8")
        beside += ["--beside", file]
    answer = answer_of(run, LOG, *BENCH, *beside)

    assert answer["odd_ports"] == ["port-log"]
    assert "port-log is the odd one out of 4" in " ".join(answer["sentences"])
    few = run("leak", LOG, *BENCH, *beside[:2])
    assert "No port can be called odd among 2." in few.stdout


def test_refusals_are_exit_3(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "two.csv"
    file.write_text("t_s,p_kpa\n0,15\n5,16\n", encoding="utf-8")
    plain, as_json = (run("leak", file, *BENCH, *words) for words in ((), ("--json",)))

    assert (plain.exit_code, as_json.exit_code, plain.stdout) == (3, 3, "")
    assert plain.stderr == (
        "The leak cannot be judged: 2 of 3 readings. Shut the pump off and read every few seconds, "
        "five times or more.\n"
    )
    assert json.loads(as_json.stdout)["refused"]["code"] == "too-few-readings"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("no/such.csv", *BENCH), "no/such.csv: the file cannot be read"),
        ((str(LOG),), "--volume"),
        ((str(LOG), "--volume", "250"), "has no unit"),
        ((str(LOG), "--volume", "250cm3", "--atmosphere", "14.7kPa"), "must be above 40"),
        ((str(LOG), "--volume", "250cm3", "--atmosphere", "80kPa"), "deeper than the atmosphere"),
        ((str(LOG), *BENCH, "--most-loss", "0kPa"), "must be above 0"),
        ((str(LOG), *BENCH, "--dead-head", "20inHg"), "read both again"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("leak", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
