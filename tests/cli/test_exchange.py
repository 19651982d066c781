"""Heads out and in, and digests verified, as a person calls it."""

import json
from pathlib import Path

import pytest
from django.db import connection

from castworthy.actions.release import release_head
from castworthy.records.models import Head, Person, Release
from cli.conftest import Run
from factories import shop


@pytest.fixture(autouse=True)
def _record_at_hand(monkeypatch: pytest.MonkeyPatch, transactional_db: None) -> None:
    """The commands work on the record of the test; making it ready is tested in tests/server."""
    assert connection.settings_dict["NAME"]
    monkeypatch.setattr("castworthy.server.start.prepare", lambda: None)


def test_export_and_verify(run: Run, head: Head, owner: Person, tmp_path: Path) -> None:
    shop.ready_to_leave(head.tag, by=owner)
    release_head(tag=head.tag, by=owner)
    digest = Release.objects.get().digest
    file = tmp_path / "head.json"
    written = run("export", head.tag, "--to", file)
    screen = run("export", head.tag, "--format", "csv")
    right = run("verify", head.tag, *[digest[at : at + 4] for at in range(0, 64, 4)])
    wrong = run("verify", head.tag, "0" * 64)

    assert written.exit_code == 0
    assert json.loads(file.read_text())["head"]["tag"] == head.tag
    assert screen.output.startswith("quantity,place,value,unit,side,gauge,by,at\n")
    assert (right.exit_code, wrong.exit_code) == (0, 3)
    assert "The digest matches release 1" in right.output
    assert "misread" in wrong.stderr


def test_import_says_what_it_did_and_what_is_wrong(
    run: Run, head: Head, owner: Person, tmp_path: Path
) -> None:
    file, rubbish = tmp_path / "head.json", tmp_path / "rubbish.json"
    run("export", head.tag, "--to", file)
    rubbish.write_text("{")
    again = run("import", file)
    broken = run("import", rubbish)
    absent = run("import", tmp_path / "none.json")

    assert "was on record just so" in again.output
    assert broken.exit_code == 2
    assert broken.stderr.count("\n") == 1
    assert "is no JSON that export wrote" in broken.stderr
    assert (absent.exit_code, "cannot be read" in absent.stderr) == (2, True)


def test_a_head_that_is_none_is_told(run: Run, head: Head) -> None:
    answer = run("export", "NOPE-1")

    assert answer.exit_code == 2
    assert "There is no head" in answer.stderr
