"""What is wrong with the set-up is said, with the way out."""

from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core.checks import CheckMessage
from django.db import connection, connections

from castworthy.server import checks, place


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CASTWORTHY_DATA", str(tmp_path / "record"))
    return place.make_data_folder()


def ids(found: list[CheckMessage]) -> list[str | None]:
    assert all(message.hint for message in found)
    return [message.id for message in found]


def test_a_good_folder_is_left_in_peace(folder: Path) -> None:
    assert checks.data_folder_check() == []
    assert checks.key_check() == []


def test_no_folder_yet_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASTWORTHY_DATA", str(tmp_path / "none"))
    assert checks.data_folder_check() == []


def test_a_folder_that_cannot_be_written(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checks.os, "access", lambda *_: False)
    assert ids(checks.data_folder_check()) == ["castworthy.W001"]


def test_a_folder_others_can_read(folder: Path) -> None:
    folder.chmod(0o755)
    assert ids(checks.data_folder_check()) == ["castworthy.W002"]


def test_a_key_others_can_read(folder: Path) -> None:
    place.key_file().chmod(0o644)
    assert ids(checks.key_check()) == ["castworthy.W003"]


def test_a_network_without_https(settings: LazySettings) -> None:
    settings.ALLOWED_HOSTS = ["localhost", "bench.example"]
    settings.HTTPS = False
    assert ids(checks.https_check()) == ["castworthy.W004"]
    settings.HTTPS = True
    assert checks.https_check() == []


def test_an_unknown_time_zone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASTWORTHY_TZ", "Mars/Olympus")
    assert ids(checks.time_zone_check()) == ["castworthy.W005"]
    monkeypatch.setenv("CASTWORTHY_TZ", "Europe/Paris")
    assert checks.time_zone_check() == []


@pytest.mark.django_db
def test_a_journal_that_would_not_last(monkeypatch: pytest.MonkeyPatch) -> None:
    assert checks.durability_check(databases=["default"]) == []
    if connection.vendor != "sqlite":
        return
    monkeypatch.setattr(connections["default"], "is_in_memory_db", lambda: False)
    assert ids(checks.durability_check(databases=["default"])) == ["castworthy.W006"]
