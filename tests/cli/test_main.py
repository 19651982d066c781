"""The front: help at once, one line for every fault, exit codes."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from castworthy import __version__
from castworthy.cli import main as front
from castworthy.cli.main import COMMANDS
from cli.conftest import EXAMPLES, SHEETS, Run


def called(*words: str | Path, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "castworthy", *map(str, words)],
        capture_output=True,
        text=True,
        timeout=60,
        env={**os.environ, **variables},
    )


def test_help_lists_every_command_and_loads_none() -> None:
    code = (
        "import sys; from castworthy.cli.main import main\n"
        "try: main(['--help'])\n"
        "except SystemExit as stop: print('left with', stop.code)\n"
        "print(sorted({'django', 'numpy', 'scipy', 'rich', 'typst'} & set(sys.modules)))"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60
    )

    for name, (_, says) in COMMANDS.items():
        assert name in result.stdout
        assert says in result.stdout
    assert result.stdout.splitlines()[-2:] == ["left with 0", "[]"]


def test_judging_needs_no_database() -> None:
    code = (
        "import sys; from castworthy.cli.main import main\n"
        f"words = ['judge', {str(SHEETS / 'f14.toml')!r}, {str(EXAMPLES / 'f14-readings.csv')!r}]\n"
        "try: main(words)\n"
        "except SystemExit: print('django' in sys.modules)"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60
    )

    assert result.stdout.splitlines()[-1] == "False"


def test_the_version(run: Run) -> None:
    assert run("--version").stdout == f"castworthy {__version__}\n"


def test_every_command_has_help(run: Run) -> None:
    for name in COMMANDS:
        result = run(name, "--help")
        assert result.exit_code == 0
        assert "Usage: " in result.stdout


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("juge",), "There is no command 'juge'; did you mean judge?"),
        (("judge",), "Missing argument 'SHEET'."),
        (("judge", "a.toml", "b.csv", "--shwo", "mm"), "No such option '--shwo'."),
        (("judge", "a.toml", "b.csv", "--show", "cm"), "Invalid value for '--show': 'cm' is not"),
        (("judge", "no/such.toml", "b.csv"), "no/such.toml: the file cannot be read (no such file"),
        (("judge", str(SHEETS), "b.csv"), "is a directory"),
        (("serve", "--port", "0"), "Invalid value for '--port': 0 is not in the range"),
    ],
)
def test_bad_words_are_one_line_and_exit_2(run: Run, words: tuple[str, ...], sentence: str) -> None:
    result = run(*words)

    assert result.exit_code == 2
    assert sentence in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert result.stdout == ""


def test_bad_files_name_file_line_and_key(tmp_path: Path) -> None:
    sheet, readings = tmp_path / "s.toml", tmp_path / "r.csv"
    text = (SHEETS / "t66.toml").read_text(encoding="utf-8")
    sheet.write_text(text.replace("low = 0.0325", "low = 0.5"), encoding="utf-8")
    line = text[: text.index("low = 0.0325")].count("\n") + 1
    readings.write_text("quantity,place,value\nrecession,9X,0.04in\n", encoding="utf-8")
    broken_sheet = called("judge", sheet, readings)
    broken_readings = called("judge", SHEETS / "t66.toml", readings)

    assert broken_sheet.returncode == 2
    assert broken_sheet.stderr == (
        f"{sheet}, line {line}, limit.recession.low: low must not lie above high (got 0.5 and "
        "0.0465).\n"
    )
    assert broken_readings.returncode == 2
    assert broken_readings.stderr.splitlines() == [
        f"{readings}, line 2, column 2, place: recession is not read at '9X', but at 1A, 1B ... "
        "6D.",
        f"{readings}, line 2, side: recession needs a side: below, flush or above the deck.",
    ]


def test_ten_megabytes_of_rubbish_are_one_sentence(tmp_path: Path) -> None:
    rubbish = tmp_path / "r.csv"
    rubbish.write_bytes(os.urandom(10_000_000))
    for words in (("judge", SHEETS / "t66.toml", rubbish), ("plan", rubbish, rubbish)):
        result = called(*words)
        assert result.returncode == 2
        assert len(result.stderr.splitlines()) == 1
        assert "which no file of its kind needs" in result.stderr


def test_other_encodings_are_one_sentence(run: Run, tmp_path: Path) -> None:
    readings = tmp_path / "r.csv"
    readings.write_bytes("quantity,place,value\nfinish_ra,,18 µin\n".encode("latin-1"))
    result = run("judge", SHEETS / "t66.toml", readings)

    assert result.exit_code == 2
    assert result.stderr == (
        f"{readings}, line 2, column 15: this is no UTF-8 text; save the file with the encoding "
        "UTF-8.\n"
    )


def test_a_fault_of_ours_is_one_line_and_exit_1(
    run: Run, monkeypatch: pytest.MonkeyPatch, f14: list[str | Path]
) -> None:
    def broken(**_: object) -> None:
        raise RuntimeError("two\nlines")

    monkeypatch.setattr("castworthy.cli.judge.read_job", broken)
    result = run("judge", *f14)

    assert result.exit_code == 1
    assert result.stderr == (
        "Castworthy stopped by a fault of its own (RuntimeError: two lines). Nothing was changed; "
        "CASTWORTHY_TRACE=1 shows where.\n"
    )


def test_where_a_fault_came_from_is_shown_on_request(
    run: Run, monkeypatch: pytest.MonkeyPatch, f14: list[str | Path]
) -> None:
    def broken(**_: object) -> None:
        raise RuntimeError("oh")

    monkeypatch.setattr("castworthy.cli.judge.read_job", broken)
    monkeypatch.setenv(front.TRACE, "1")

    assert "Traceback" in run("judge", *f14).stderr


def test_a_pipe_that_closes_early_is_no_fault() -> None:
    words = [SHEETS / "t66.toml", EXAMPLES / "t66-readings.csv"]
    command = f"{sys.executable} -m castworthy judge {words[0]} {words[1]} --json | head -1"
    result = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, timeout=60
    )

    assert (result.stdout, result.stderr) == ("{\n", "")
