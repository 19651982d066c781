"""``castworthy trace`` and ``feed``: the published keys, many files, every fault in a sentence.

Ra of the made traces is that of their cusps, f^2 / (18 sqrt(3) r).
"""

import json
from pathlib import Path

import pytest

from cli.conftest import EXAMPLES, Run
from factories.traces import cusps, ideal_ra_um

TRACES = EXAMPLES / "traces"
KEYS = {
    "ra_um", "rq_um", "rz_um", "rt_um", "rp_um", "rv_um", "rsk", "rku", "rsm_mm", "rdq",
    "rk_um", "rpk_um", "rvk_um", "mr1_ratio", "mr2_ratio", "wa_um", "wt_um", "cutoff_mm",
    "evaluation_length_mm", "sections_count", "made_by",
}  # fmt: skip


@pytest.fixture
def milled(tmp_path: Path) -> Path:
    file = tmp_path / "milled.csv"
    file.write_bytes(cusps(0.15))
    return file


def test_the_published_keys(run: Run, milled: Path) -> None:
    result = run("trace", milled, "--json")
    answer = json.loads(result.stdout)
    assert result.exit_code == 0
    assert set(answer) >= KEYS
    assert answer["ra_um"] == pytest.approx(ideal_ra_um(0.15), rel=0.02)
    assert answer["made_by"]["kind"] == "feed marks"
    assert answer["made_by"]["pitch_mm"] == pytest.approx(0.15, rel=0.01)
    assert answer["cutoff_mm"] == 0.8


def test_given_cutoff_and_edition(run: Run, milled: Path) -> None:
    result = run("trace", milled, "--cutoff", "0.25mm", "--edition", "1997", "--json")
    answer = json.loads(result.stdout)
    assert (answer["cutoff_mm"], answer["edition"]) == (0.25, "1997")


def test_a_folder_is_read_whole(run: Run) -> None:
    result = run("trace", TRACES, "--json")
    answers = json.loads(result.stdout)
    kinds = {Path(answer["file"]).stem: answer["made_by"]["kind"] for answer in answers}
    assert kinds == {"milled": "feed marks", "belt": "belt or stone", "chatter": "chatter"}


def test_a_page_for_a_person(run: Run, milled: Path) -> None:
    result = run("trace", milled, "--show", "thou", "--feed", "0.15mm")
    assert "Ra" in result.stdout
    assert "µin" in result.stdout
    assert "marks every 0.150 mm" in result.stdout


def test_a_bad_file_among_good_ones(run: Run, milled: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("1,2\n")
    result = run("trace", milled, bad, "--json")
    assert result.exit_code == 2
    assert json.loads(result.stdout)["ra_um"] > 0
    assert "no names" in result.stderr
    assert "Traceback" not in result.stderr


def test_a_trace_too_short_is_refused(run: Run, tmp_path: Path) -> None:
    short = tmp_path / "short.csv"
    short.write_bytes(cusps(0.15, length_mm=0.06))
    result = run("trace", short)
    assert result.exit_code == 3
    assert "short" in result.stderr.lower()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--cutoff", "0.8"), "unit"),
        (("--cutoff", "0.8psi"), "length"),
        (("--edition", "2001"), "2021"),
        (("no-such-file.csv",), "cannot be read"),
    ],
)
def test_what_is_refused(run: Run, milled: Path, words: tuple[str, ...], says: str) -> None:
    result = run("trace", milled, *words)
    assert result.exit_code == 2
    assert says in result.stderr


def test_an_empty_folder(run: Run, tmp_path: Path) -> None:
    result = run("trace", tmp_path)
    assert result.exit_code == 2
    assert "no trace file" in result.stderr


def test_feed_from_the_ideal_cusp(run: Run) -> None:
    result = run(
        "feed", "--ra", "18uin", "--nose", "0.8mm", "--rpm", "900", "--length", "800mm", "--json"
    )
    answer = json.loads(result.stdout)
    assert ideal_ra_um(answer["feed_mm"]) == pytest.approx(18 * 0.0254, rel=0.005)
    assert answer["table_mm_per_min"] == pytest.approx(900 * answer["feed_mm"])
    assert answer["pass_min"] == pytest.approx(800 / answer["table_mm_per_min"])
    assert answer["interval_um"] is None


def test_feed_from_a_machines_own_traces(run: Run) -> None:
    result = run(
        "feed", "--ra", "18uin", "--nose", "0.8mm", "--traces", TRACES / "mill-2", "--json"
    )
    answer = json.loads(result.stdout)
    low, high = answer["interval_um"]
    assert answer["from_traces_count"] == 4
    assert low < 18 * 0.0254 < high


def test_too_smooth_is_a_fault_as_well(run: Run) -> None:
    result = run("feed", "--ra", "10uin", "--nose", "0.8mm", "--low", "30uin")
    assert "too smooth" in result.stdout


@pytest.mark.parametrize(
    ("index", "says"),
    [
        ("name,feed\n", "file and feed are needed"),
        ("file,feed\nmilled.csv,0.15\n", "unit"),
        ("file,feed\nmilled.csv,-0.15 mm\n", "more than 0"),
        ("file,feed\nother.csv,0.15 mm\n", "line 2"),
    ],
)
def test_a_feeds_index_that_is_none(run: Run, milled: Path, index: str, says: str) -> None:
    (milled.parent / "feeds.csv").write_text(index)
    result = run("feed", "--ra", "18uin", "--nose", "0.8mm", "--traces", milled.parent)
    assert result.exit_code == 2
    assert says in result.stderr
