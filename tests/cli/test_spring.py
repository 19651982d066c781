"""``castworthy spring``: the same figures as calc, with the keys the docs name."""

import json
from pathlib import Path

import pytest

from cli.conftest import Run

LOADS = ("--load", "300N", "--at", "46mm", "--load", "630N", "--at", "35mm")


def answer_of(run: Run, *words: str | Path) -> dict[str, object]:
    result = run("spring", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)


def test_from_two_loads_in_place(run: Run) -> None:
    """By hand: 330 N over 11 mm is 30 N/mm, free 56 mm."""
    answer = answer_of(
        run, *LOADS, "--solid", "30mm", "--installed", "45mm", "--lift", "11mm", "--u-load", "2N"
    )

    assert answer["rate_n_per_mm"] == pytest.approx(30)
    assert answer["free_mm"] == pytest.approx(56)
    assert answer["seat_load_n"] == pytest.approx(330)
    assert answer["open_load_n"] == pytest.approx(660)
    assert answer["coil_bind_mm"] == pytest.approx(4)
    assert answer["u_seat_load_n"] > 0
    assert answer["cautions"] == []


def test_from_wire_and_near_coil_bind(run: Run) -> None:
    words = (
        *("--wire", "4mm", "--coil", "28mm", "--active", "6", "--total", "8", "--free", "56mm"),
        *("--installed", "46mm", "--lift", "13mm"),
    )
    answer = answer_of(run, *words)

    # 79300 * 256 / (8 * 21952 * 6) by hand.
    assert answer["rate_n_per_mm"] == pytest.approx(19.266, abs=0.001)
    assert answer["coil_bind_mm"] == pytest.approx(1.0)
    assert answer["stress_mpa"] > 0
    assert answer["cautions"] == ["Only 39.4 thou is left before the coils touch at full lift."]
    assert "Stress of the wire" in run("spring", *words).stdout


def test_a_spring_out_of_square(run: Run) -> None:
    """Trade figure: 1.7 mm on 48 mm is 2 degrees."""
    words = ("spring", "--rate", "30N/mm", "--free", "48mm", "--out-of-square")
    leans = json.loads(run(*words, "1.7mm", "--json").stdout)

    assert leans["lean_deg"] == pytest.approx(2.0, abs=0.05)
    assert leans["cautions"][0].startswith("The spring leans more than 2 degrees")
    assert "leans more" not in run(*words, "1.2mm").stdout


def test_shims_and_sag(run: Run) -> None:
    words = (
        *("--rate", "30N/mm", "--free", "56mm", "--installed", "46.8mm", "--lift", "11mm"),
        *("--seat-load", "350N", "370N", "--hardened-shim", "0.030in"),
        *("--shim", "0.015in", "--shim", "0.030in", "--shim", "0.060in"),
        *("--new-load", "350N", "--new-at", "46mm"),
    )
    answer = answer_of(run, *words)

    # 360 N is above 80 lbf, so one is hardened: 0.105 in, the nearest to 2.8 mm in three shims.
    assert answer["shims"]["thickness_mm"] == pytest.approx(0.105 * 25.4)
    assert answer["shims"]["hardened"] == [False, False, True]
    assert answer["shims"]["load_n"] == pytest.approx(30 * (56 - 46.8 + 0.105 * 25.4))
    assert answer["sag"]["share_ratio"] == pytest.approx(300 / 350)
    assert answer["cautions"] == ["The spring is tired: renew it. Shims do not mend it."]
    page = run("spring", *words).stdout
    for said in ("30.0 thou hardened", "the last beside the spring", "85.7%"):
        assert said in page


def test_shims_for_a_height_and_a_refusal(run: Run) -> None:
    words = ("--rate", "30N/mm", "--free", "56mm", "--installed", "47mm", "--shim", "0.030in")
    answer = answer_of(run, *words, "--height", "45.9mm", "46.3mm")
    refused = run("spring", *words, "--height", "44mm", "44.1mm")

    assert answer["shims"]["height_mm"] == pytest.approx(47 - 0.762)
    assert refused.exit_code == 3
    assert refused.stderr.startswith("No stack of up to 3 shims lies between")


@pytest.fixture
def files(tmp_path: Path) -> list[str | Path]:
    """Two springs the wrong way round for their valves."""
    springs, valves = tmp_path / "springs.csv", tmp_path / "valves.csv"
    springs.write_text(
        "name,load_1,height_1,load_2,height_2\n"
        "a,300 N,46 mm,630 N,35 mm\n\nb,270 N,46 mm,600 N,35 mm\n",
        encoding="utf-8",
    )
    valves.write_text(
        "name;installed;wanted\n1A;45,0 mm;300 N\n1B;46,0 mm;300 N\n", encoding="utf-8"
    )
    return ["--springs", springs, "--valves", valves]


def test_a_set_is_matched(run: Run, files: list[str | Path]) -> None:
    """By hand: both are 30 N/mm, b 30 N weaker, which is what 1A is shorter."""
    answer = answer_of(run, *files)

    assert [(pair["valve"], pair["spring"]) for pair in answer["pairs"]] == [
        ("1A", "b"),
        ("1B", "a"),
    ]
    assert answer["worst_error_n"] == pytest.approx(0, abs=1e-9)
    assert answer["as_given"]["worst_error_n"] == pytest.approx(30)
    assert answer["left_over"] == []
    page = run("spring", *files, "--best", "squares", "--show", "mm").stdout
    assert page.startswith("Matched, the worst seat load is 0 N off; as given it was 30 N.")


def test_a_rate_and_free_height_serve_in_the_file(run: Run, tmp_path: Path, files: list) -> None:
    springs = tmp_path / "rates.csv"
    springs.write_text("name,rate,free\na,30 N/mm,56 mm\n", encoding="utf-8")
    result = run("spring", "--springs", springs, *files[2:])

    assert result.exit_code == 3
    assert result.stderr == "2 valves want a spring each; springs at hand: 1. Measure 1 more.\n"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "line 1: columns name,load_1"),
        ("name,rate,free\n", "no rows follow"),
        ("name,rate,free\na,30,56 mm\n", "line 2, rate: '30' has no unit"),
        ("name,rate,free\na,30 N/mm\n", "line 2: free is missing."),
        ("name,rate,free\n,30 N/mm,56 mm\n", "line 2: name is missing."),
        ("name,rate,free\na,30 N/mm,56 mm\na,30 N/mm,56 mm\n", "every name once"),
    ],
)
def test_a_bad_file_is_told_by_its_line(
    run: Run, tmp_path: Path, files: list[str | Path], text: str, sentence: str
) -> None:
    springs = tmp_path / "bad.csv"
    springs.write_text(text, encoding="utf-8")
    result = run("spring", "--springs", springs, *files[2:])

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ("--rate", "30N/mm", "--free", "48mm", "--shim", "1mm"),
            "--seat-load, --height or --springs.",
        ),
        (("--wire", "4mm"), "Tell the spring by two loads"),
        (("--load", "300N", "--at", "46mm"), "--load and --at twice"),
        (("--free", "56mm", "--wire", "4mm"), "--coil and --active together"),
        ((*LOADS, "--seat-load", "300N", "320N"), "Shims need --installed"),
        ((*LOADS, "--new-load", "300N"), "--new-at together"),
        (("--load", "300N", "--at", "35mm", "--load", "630N", "--at", "46mm"), "columns swapped"),
        (("--springs", "a.csv"), "--springs and --valves together"),
        (("--rate", "30", "--free", "56mm"), "has no unit"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run("spring", *words)

    assert (result.exit_code, result.stdout) == (2, "")
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
