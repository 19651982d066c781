"""``castworthy doctor`` on real folders and databases, each in a process of its own."""

import json
import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest


def doctor(*words: str, data: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    env = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    return subprocess.run(
        [sys.executable, "-m", "castworthy", "doctor", *words],
        capture_output=True,
        text=True,
        timeout=120,
        env={**env, "CASTWORTHY_DATA": str(data), **variables},
    )


def checks(data: Path, **variables: str) -> dict[str, dict[str, str]]:
    result = doctor("--json", data=data, **variables)
    assert result.stderr == ""
    answer = json.loads(result.stdout)
    assert (result.returncode == 0) is answer["good"]
    return {check["what"]: check for check in answer["checks"]}


def prepared(data: Path) -> Path:
    """A record made as ``serve`` makes it."""
    env = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    code = "from castworthy.server.start import prepare; prepare()"
    subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        timeout=120,
        env={**env, "CASTWORTHY_DATA": str(data)},
    )
    return data


def test_before_the_first_start_nothing_is_wrong_and_nothing_is_made(tmp_path: Path) -> None:
    data = tmp_path / "shop"
    found = checks(data)

    assert found["database"]["state"] == "note"
    assert found["database"]["mend"] == "castworthy serve makes it."
    assert found["papers"]["state"] == "good"
    assert {check["state"] for check in found.values()} <= {"good", "note"}
    assert not data.exists()


def test_a_sound_record(tmp_path: Path) -> None:
    data = prepared(tmp_path / "shop")
    found = checks(data)
    page = doctor(data=data)

    assert found["database"]["found"].endswith("tables up to date")
    assert found["record's file"]["found"] == "sound"
    assert page.returncode == 0
    assert page.stdout.rstrip().endswith("Nothing has to be mended.")


def test_a_damaged_record(tmp_path: Path) -> None:
    data = prepared(tmp_path / "shop")
    for file in data.glob("castworthy.sqlite3*"):
        file.unlink()
    (data / "castworthy.sqlite3").write_bytes(b"no database at all" * 500)
    found = checks(data)

    assert found["database"]["state"] == "bad"
    assert "restore" in found["database"]["mend"]


def test_tables_of_an_older_version(tmp_path: Path) -> None:
    data = prepared(tmp_path / "shop")
    with sqlite3.connect(data / "castworthy.sqlite3") as record:
        record.execute("DELETE FROM django_migrations WHERE app = 'records'")
    record.close()
    found = checks(data)

    assert found["database"]["state"] == "note"
    assert "wait" in found["database"]["found"]


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    data = tmp_path / "shop"
    data.write_text("in the way", encoding="utf-8")
    result = doctor(data=data)

    assert result.returncode == 1
    assert "cannot be written" in result.stdout
    assert "CASTWORTHY_DATA" in result.stdout


def test_an_open_key_is_noted(tmp_path: Path) -> None:
    data = prepared(tmp_path / "shop")
    (data / "secret-key").chmod(stat.S_IRUSR | stat.S_IROTH)
    found = checks(data)

    assert found["settings (castworthy.W003)"]["mend"].startswith("Close it: chmod 600")


@pytest.mark.parametrize(
    ("address", "what", "said"),
    [
        ("nonsense", "DATABASE_URL", "no address of a database"),
        ("postgres://a:b@127.0.0.1:1/c", "database", "refused"),
    ],
)
def test_a_server_that_cannot_be_reached(
    tmp_path: Path, address: str, what: str, said: str
) -> None:
    found = checks(tmp_path / "shop", DATABASE_URL=address)

    assert found[what]["state"] == "bad"
    assert said in found[what]["found"]
    assert found[what]["mend"]


def test_overdue_gauges_are_noted(tmp_path: Path) -> None:
    data = prepared(tmp_path / "shop")
    with sqlite3.connect(data / "castworthy.sqlite3") as record:
        record.execute(
            "INSERT INTO records_gauge (name, reads, unit, u, u_bias, resolution, note, retired, "
            "calibrated_until) VALUES ('DG-2', 'depth', 'in', 0.0003, 0, 0.0001, '', 0, "
            "'2020-01-31')"
        )
    record.close()
    found = checks(data)

    assert found["gauge DG-2"]["found"] == "its calibration ran out on 2020-01-31"
