"""``castworthy trace`` and ``feed``: the published keys, many files, every fault in a sentence.

Ra of the made traces is that of their cusps, f^2 / (18 sqrt(3) r).
"""

import json
from pathlib import Path

import numpy as np
import pytest
import sdfio

from cli.conftest import EXAMPLES, PROJECT, Run
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


def test_every_key_is_in_the_reference(run: Run, milled: Path) -> None:
    page = (PROJECT / "docs" / "reference" / "commands.md").read_text(encoding="utf-8")
    trace = json.loads(run("trace", milled, "--json").stdout)
    words = ("feed", "--ra", "18uin", "--nose", "0.8mm", "--json")
    feed = json.loads(run(*words).stdout)
    keys = {*trace, *trace["made_by"], *feed, *feed["options"][0]}
    assert [key for key in keys if f"`{key}`" not in page and f"`{key}[]`" not in page] == []


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


def test_a_folder_leaves_out_what_is_no_trace(run: Run, milled: Path) -> None:
    folder = milled.parent
    (folder / "plan.pdf").write_bytes(b"%PDF-1.7")
    (folder / "notes.txt").write_text("the insert was new\n", encoding="utf-8")
    (folder / "second.txt").write_bytes(milled.read_bytes())
    (folder / "feeds.csv").write_text("file,feed_mm\n", encoding="utf-8")
    result = run("trace", folder, "--json")
    assert result.exit_code == 0
    assert [Path(a["file"]).name for a in json.loads(result.stdout)] == ["milled.csv", "second.txt"]
    assert result.stderr == (
        f"{folder}: 2 files are no traces and were left out: notes.txt, plan.pdf.\n"
    )


def test_a_damaged_trace_in_a_folder_is_no_small_matter(run: Run, milled: Path) -> None:
    (milled.parent / "bad.csv").write_text("x_mm,z_um\n0,1\n0,1\n", encoding="utf-8")
    result = run("trace", milled.parent, "--json")
    assert result.exit_code == 2
    assert json.loads(result.stdout)["file"] == str(milled)
    assert "bad.csv, line 3: x must grow" in result.stderr


def test_a_file_named_is_never_left_out(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "trace.x3p"
    file.write_bytes(b"%PDF-1.7")
    result = run("trace", file)
    assert result.exit_code == 2
    assert result.stderr == (
        f"{file} looks like a PDF; X3P, SDF (ASCII or binary) and CSV with named columns can be "
        "read.\n"
    )


def test_a_file_too_large(run: Run, milled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("castworthy.cli.measured.LARGEST_BYTES", 10_000)
    result = run("trace", milled)
    assert result.exit_code == 2
    assert f"{milled} is larger than" in result.stderr


def test_a_surface_answers_a_list(run: Run, tmp_path: Path) -> None:
    # Ra of a sine of amplitude a is 2 a / pi; of a pitch of 0.1 mm the cut-off of 0.25 mm leaves
    # 1 - exp(-pi (0.4697 * 2.5)^2) (ISO 16610-21, transmission of the Gaussian filter).
    x_mm = 0.001 * np.arange(3000)
    row_um = 0.9 * np.sin(2 * np.pi * x_mm / 0.1)
    file = tmp_path / "deck.sdf"
    sdfio.write(file, np.tile(row_um / 1e6, (20, 1)), x_scale=1e-6, y_scale=1e-6)
    answers = json.loads(run("trace", file, "--json").stdout)
    passed = 1 - np.exp(-np.pi * (0.4697 * 2.5) ** 2)
    assert len(answers) == 9
    assert answers[0]["cutoff_mm"] == 0.25
    assert answers[0]["notes"] == ["9 profiles were taken along x, across the lay."]
    assert [a["ra_um"] for a in answers] == pytest.approx([1.8 / np.pi * passed] * 9, rel=1e-3)
    assert [a["made_by"]["pitch_mm"] for a in answers] == pytest.approx([0.1] * 9, rel=0.01)


def test_what_was_filled_is_said(run: Run, milled: Path) -> None:
    lines = milled.read_text(encoding="utf-8").splitlines()
    lines[500] = lines[500].split(",")[0] + ","
    milled.write_text("\n".join(lines), encoding="utf-8")
    said = "1 missing point was filled (longest gap 1 point)."
    assert json.loads(run("trace", milled, "--json").stdout)["notes"] == [said]
    assert said in run("trace", milled).stdout


def test_a_refused_trace_among_good_ones(run: Run, milled: Path, tmp_path: Path) -> None:
    short = tmp_path / "short.csv"
    short.write_bytes(cusps(0.15, length_mm=0.06))
    result = run("trace", milled, short, "--json")
    good, refused = json.loads(result.stdout)
    assert result.exit_code == 3
    assert good["ra_um"] > 0
    assert set(refused["refused"]) == {"code", "reason", "remedy"}
    assert result.stderr.startswith(f"{short}: ")


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


@pytest.mark.parametrize(
    "index",
    [
        "file,feed_mm\n{}",
        "file,feed_in\n{}",
        "file;feed_mm;nose_mm\n{}",
        "file,feed,nose\n{}",
    ],
)
def test_every_way_of_writing_the_index(run: Run, tmp_path: Path, index: str) -> None:
    feeds_mm = (0.10, 0.15, 0.20)
    rows = []
    for feed_mm in feeds_mm:
        (tmp_path / f"{feed_mm}.csv").write_bytes(cusps(feed_mm))
        feed = {
            "feed_mm": f"{feed_mm}",
            "feed_in": f"{feed_mm / 25.4:.9f}",
            "feed": f"{1000 * feed_mm:g} um",
        }
        nose = {"nose_mm": "0,8", "nose": "0.8 mm"}
        names = index.split("\n")[0].replace(";", ",").split(",")[1:]
        cells = [f"{feed_mm}.csv", *((feed | nose)[name] for name in names)]
        rows.append((";" if ";" in index else ",").join(cells))
    (tmp_path / "feeds.csv").write_text(index.format("\n".join(rows)), encoding="utf-8")
    words = ("feed", "--ra", "0.4um", "--nose", "0.8mm", "--traces", tmp_path, "--json")
    answer = json.loads(run(*words).stdout)
    # Clean cusps: Ra grows with the square of the feed.
    assert answer["from_traces_count"] == 3
    assert answer["exponent"] == pytest.approx(2.0, abs=0.05)
    assert ideal_ra_um(answer["feed_mm"]) == pytest.approx(0.4, rel=0.03)


def test_traces_of_another_insert_do_not_count(run: Run, milled: Path) -> None:
    rows = "milled.csv,0.15,1.6\n" * 3
    (milled.parent / "feeds.csv").write_text(f"file,feed_mm,nose_mm\n{rows}", encoding="utf-8")
    words = ("feed", "--ra", "0.4um", "--nose", "0.8mm", "--traces", milled.parent, "--json")
    answer = json.loads(run(*words).stdout)
    assert answer["from_traces_count"] == 0
    assert any("0 of 3" in caution for caution in answer["cautions"])


def test_a_deck_scanned_as_a_surface_counts_once(run: Run, tmp_path: Path) -> None:
    row_um = 0.9 * np.sin(2 * np.pi * 0.001 * np.arange(3000) / 0.1)
    sdfio.write(tmp_path / "deck.sdf", np.tile(row_um / 1e6, (20, 1)), x_scale=1e-6, y_scale=1e-6)
    (tmp_path / "feeds.csv").write_text("file,feed_mm\ndeck.sdf,0.1\n", encoding="utf-8")
    words = ("feed", "--ra", "0.4um", "--nose", "0.8mm", "--traces", tmp_path, "--json")
    assert any("1 of 3" in caution for caution in json.loads(run(*words).stdout)["cautions"])


@pytest.mark.parametrize("rpm", ["0", "inf", "nan", "fast"])
def test_a_speed_that_is_none(run: Run, rpm: str) -> None:
    result = run("feed", "--ra", "18uin", "--nose", "0.8mm", "--rpm", rpm)
    assert (result.exit_code, result.stdout) == (2, "")


def test_a_feed_wider_than_the_insert_is_refused(run: Run) -> None:
    result = run("feed", "--ra", "80um", "--nose", "0.4mm", "--json")
    assert result.exit_code == 3
    assert json.loads(result.stdout)["refused"]["code"] == "feed-too-wide"


def test_too_smooth_is_a_fault_as_well(run: Run) -> None:
    result = run("feed", "--ra", "10uin", "--nose", "0.8mm", "--low", "30uin")
    assert "too smooth" in result.stdout


@pytest.mark.parametrize(
    ("index", "says"),
    [
        ("name,feed\n", "file and feed_mm are needed"),
        ("file,feed\nmilled.csv,0.15\n", "unit"),
        ("file,feed\nmilled.csv,-0.15 mm\n", "must be more than 0"),
        ("file,feed\nother.csv,0.15 mm\n", "line 2"),
        ("file,feed_mm\nmilled.csv,\n", "line 2, feed_mm"),
        ("file,feed_mm\nmilled.csv\n", "line 2, feed_mm"),
        ("file,feed_furlong\nmilled.csv,1\n", "furlong"),
        ("file,feed_mm,nose_mm\nmilled.csv,0.15,blunt\n", "line 2, nose_mm"),
        ("", "file and feed_mm are needed"),
    ],
)
def test_a_feeds_index_that_is_none(run: Run, milled: Path, index: str, says: str) -> None:
    (milled.parent / "feeds.csv").write_text(index)
    result = run("feed", "--ra", "18uin", "--nose", "0.8mm", "--traces", milled.parent)
    assert result.exit_code == 2
    assert says in result.stderr
