"""What can be wrong with the set-up, each with its way out; ``doctor`` shows them too."""

import os
from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Tags, Warning, register
from django.db import DatabaseError, connections
from django.db.backends.sqlite3.base import DatabaseWrapper

from castworthy.server import place

_OTHERS = 0o077
_FULL = 2


@register(Tags.files)
def data_folder_check(**_: Any) -> list[CheckMessage]:
    """W001 the data folder cannot be written, W002 other users of the machine can read it."""
    folder = place.data_folder()
    if not folder.exists():
        return []
    if not os.access(folder, os.W_OK | os.X_OK):
        return [
            Warning(
                f"The record's folder {folder} cannot be written.",
                hint="Give it to this user, or name another folder in CASTWORTHY_DATA.",
                id="castworthy.W001",
            )
        ]
    if os.name == "posix" and folder.stat().st_mode & _OTHERS:
        return [
            Warning(
                f"Other users of this machine can look into the record's folder {folder}.",
                hint=f"Close it: chmod 700 {folder}",
                id="castworthy.W002",
            )
        ]
    return []


@register(Tags.security)
def key_check(**_: Any) -> list[CheckMessage]:
    """W003 the secret key can be read by others."""
    file = place.key_file()
    if os.name == "posix" and file.exists() and file.stat().st_mode & _OTHERS:
        return [
            Warning(
                f"Other users of this machine can read the secret key {file}.",
                hint=f"Close it: chmod 600 {file}; delete it to sign everybody out.",
                id="castworthy.W003",
            )
        ]
    return []


@register(Tags.security)
def https_check(**_: Any) -> list[CheckMessage]:
    """W004 other machines may come in without https."""
    own = {"localhost", "127.0.0.1", "[::1]"}
    others = sorted(set(settings.ALLOWED_HOSTS) - own)
    if others and not settings.HTTPS:
        return [
            Warning(
                f"The server answers to {', '.join(others)} without https, so passwords cross "
                "the network in the clear.",
                hint="Put a proxy with https in front and set CASTWORTHY_HTTPS=1; on a shop's "
                "own closed network this can be left.",
                id="castworthy.W004",
            )
        ]
    return []


@register()
def time_zone_check(**_: Any) -> list[CheckMessage]:
    """W005 the time zone asked for is unknown."""
    asked = os.environ.get("CASTWORTHY_TZ", "").strip()
    if asked and not place.is_zone(asked):
        return [
            Warning(
                f"CASTWORTHY_TZ names the unknown time zone {asked!r}; {settings.TIME_ZONE} is "
                "used.",
                hint="Write it as Europe/Paris or America/Denver.",
                id="castworthy.W005",
            )
        ]
    return []


@register(Tags.database)
def durability_check(*, databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    """W006 SQLite would not keep an acknowledged reading through a power cut."""
    own = connections["default"]
    if not databases or not isinstance(own, DatabaseWrapper) or own.is_in_memory_db():
        return []
    try:
        with own.cursor() as cursor:
            mode = cursor.execute("PRAGMA journal_mode").fetchone()[0]
            full = cursor.execute("PRAGMA synchronous").fetchone()[0]
    except DatabaseError:
        return []
    if mode == "wal" and full >= _FULL:
        return []
    return [
        Warning(
            f"The record's file keeps its journal as {mode!r} with synchronous={full}, so a power "
            "cut may lose the last entries.",
            hint="Keep the file on a local disk (not a network share), where WAL works.",
            id="castworthy.W006",
        )
    ]
