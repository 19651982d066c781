"""Where this shop's record lives on the disk, and its secret key.

Settings only look; ``make_data_folder`` is what creates, and start-up calls it.
"""

import os
import secrets
import sys
from contextlib import suppress
from pathlib import Path
from zoneinfo import ZoneInfo

_ZONES = "zoneinfo/"


class PlaceError(OSError):
    """The data folder cannot be used; the message says what to do."""


def data_folder() -> Path:
    """``CASTWORTHY_DATA``, else the folder this platform keeps a person's data in."""
    told = os.environ.get("CASTWORTHY_DATA", "").strip()
    if told:
        return Path(told).expanduser().absolute()
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA", "").strip()
        return (Path(base) if base else Path.home() / "AppData" / "Local") / "Castworthy"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "Castworthy"
    base = os.environ.get("XDG_DATA_HOME", "").strip()
    return (Path(base) if base else Path.home() / ".local" / "share") / "castworthy"


def database_file() -> Path:
    """The SQLite file of the record."""
    return data_folder() / "castworthy.sqlite3"


def photo_folder() -> Path:
    """Where photos lie; they are only served to people who signed in."""
    return data_folder() / "media"


def key_file() -> Path:
    """Where the secret key of this installation lies."""
    return data_folder() / "secret-key"


def make_data_folder() -> Path:
    """Make the data folder, its photo folder and its secret key where they are missing.

    Raises
    ------
    PlaceError
        If the folder cannot be made or written to.

    """
    folder = data_folder()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        photo_folder().mkdir(mode=0o700, exist_ok=True)
        _make_key()
    except OSError as error:
        raise PlaceError(
            f"The record's folder {folder} cannot be written: {error.strerror or error}. "
            "Give it to this user, or name another folder in CASTWORTHY_DATA."
        ) from error
    return folder


def secret_key() -> str:
    """The stored key, else one that lasts as long as this process."""
    try:
        kept = key_file().read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        kept = ""
    return kept or secrets.token_urlsafe(48)


def time_zone() -> str:
    """``CASTWORTHY_TZ``, else the machine's own zone, else UTC."""
    for name in (os.environ.get("CASTWORTHY_TZ"), os.environ.get("TZ"), *_zones_on_disk()):
        if name and is_zone(name):
            return name
    return "UTC"


def is_zone(name: str) -> bool:
    """True for the name of a known time zone."""
    try:
        ZoneInfo(name)
    except (OSError, ValueError, KeyError):
        return False
    return True


def _zones_on_disk() -> tuple[str, ...]:
    found = []
    with suppress(OSError, UnicodeDecodeError):
        found.append(Path("/etc/timezone").read_text(encoding="ascii").strip())
    with suppress(OSError):
        found.append(str(Path("/etc/localtime").resolve()).partition(_ZONES)[2])
    return tuple(found)


def _make_key() -> None:
    if key_file().exists() and key_file().stat().st_size:
        return
    written = key_file().with_name(f"secret-key.{os.getpid()}")
    handle = os.open(written, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(48))
        file.flush()
        os.fsync(file.fileno())
    written.replace(key_file())
