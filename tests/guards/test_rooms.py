"""The rooms hold, and the guard that holds them fails when they are broken."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
LINT = Path(sys.executable).with_name("lint-imports")

BREAKS = {
    "a lower room imports an upper one": (
        "calc/decision/verdict.py",
        "import castworthy.web\n",
        "Rooms: one direction only",
    ),
    "a room nobody planned": (
        "odds_and_ends/__init__.py",
        "",
        "odds_and_ends",
    ),
    "calculation asks the clock": (
        "calc/outcome.py",
        "import datetime\n",
        "Calculation knows no framework, disk, clock or chance",
    ),
    "a renderer knows the database": (
        "reports/tag.py",
        "import django\n",
        "Readers and renderers know no database",
    ),
    "a page writes rows": (
        "web/gate.py",
        "from castworthy.records.models import Head\n",
        "Only records and actions touch the tables",
    ),
    "two sub-rooms know each other": (
        "calc/decision/verdict.py",
        "import castworthy.calc.rework.plan\n",
        "No cycles anywhere",
    ),
}


def lint(source: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [LINT, "--no-cache", str(PROJECT / ".importlinter")],
        capture_output=True,
        text=True,
        check=False,
        cwd=source,
        env={**os.environ, "PYTHONPATH": str(source)},
    )


def test_rooms_hold() -> None:
    answer = lint(PROJECT / "src")

    assert answer.returncode == 0, answer.stdout


@pytest.mark.parametrize("deed", BREAKS)
def test_guard_fails_when(deed: str, tmp_path: Path) -> None:
    path, line, contract = BREAKS[deed]
    shutil.copytree(
        PROJECT / "src" / "castworthy",
        tmp_path / "castworthy",
        ignore=shutil.ignore_patterns("static", "templates", "__pycache__"),
    )
    broken = tmp_path / "castworthy" / path
    broken.parent.mkdir(exist_ok=True)
    broken.write_text((broken.read_text() if broken.exists() else "") + line)

    answer = lint(tmp_path)

    assert answer.returncode != 0
    assert contract in answer.stdout
