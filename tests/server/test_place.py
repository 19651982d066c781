"""The data folder and its key."""

import stat
import sys
from pathlib import Path

import pytest

from castworthy.server import place


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CASTWORTHY_DATA", str(tmp_path / "deep" / "record"))
    return tmp_path / "deep" / "record"


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_the_folder_and_its_key_are_for_this_user_only(folder: Path) -> None:
    assert place.make_data_folder() == folder
    assert mode(folder) == 0o700
    assert mode(folder / "secret-key") == 0o600
    assert mode(folder / "media") == 0o700
    assert sorted(p.name for p in folder.iterdir()) == ["media", "secret-key"]


def test_the_key_is_made_once(folder: Path) -> None:
    place.make_data_folder()
    key = place.secret_key()
    place.make_data_folder()
    assert place.secret_key() == key == (folder / "secret-key").read_text()
    assert len(key) >= 50


def test_an_empty_key_is_made_anew(folder: Path) -> None:
    place.make_data_folder()
    place.key_file().write_text("")
    place.make_data_folder()
    assert len(place.key_file().read_text()) >= 50


def test_a_folder_that_cannot_be_made_is_said_in_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "file"
    file.write_text("in the way")
    monkeypatch.setenv("CASTWORTHY_DATA", str(file / "record"))
    with pytest.raises(place.PlaceError, match="name another folder in CASTWORTHY_DATA") as error:
        place.make_data_folder()
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("platform", "env", "ends"),
    [
        ("linux", {}, ".local/share/castworthy"),
        ("linux", {"XDG_DATA_HOME": "/x"}, "/x/castworthy"),
        ("darwin", {}, "Library/Application Support/Castworthy"),
        ("win32", {}, "AppData/Local/Castworthy"),
        ("win32", {"LOCALAPPDATA": "/local"}, "/local/Castworthy"),
    ],
)
def test_every_platform_has_its_folder(
    platform: str, env: dict[str, str], ends: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("CASTWORTHY_DATA", "XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    for name, value in env.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "platform", platform)
    assert str(place.data_folder()).endswith(ends)
