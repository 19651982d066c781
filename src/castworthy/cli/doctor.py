"""``castworthy doctor``: what is wrong with the set-up, and how each thing is mended."""

import json
import os
import platform
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

import click

from castworthy.cli.outcome import FAULT
from castworthy.cli.page import page
from castworthy.cli.record import address_fault

LEAST_FREE_BYTES = 500_000_000
_OLDEST_PYTHON = (3, 11)
_NO_TIME = datetime(2000, 1, 1, tzinfo=UTC)


class State(StrEnum):
    """How one thing stands."""

    GOOD = "good"
    NOTE = "note"
    BAD = "bad"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One thing looked at: how it stands, what was found, how it is mended."""

    state: State
    what: str
    found: str
    mend: str = ""


@click.command("doctor")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def doctor_command(*, as_json: bool) -> None:
    """Say what is wrong with the set-up and how to mend it.

    Nothing is changed. Exit code 1 when something must be mended.
    """
    found = examine()
    if as_json:
        answer = {"checks": [asdict(each) for each in found], "good": not _any_bad(found)}
        click.echo(json.dumps(answer, indent=2, ensure_ascii=False))
    else:
        _print(found)
    if _any_bad(found):
        sys.exit(FAULT)


def examine() -> list[Found]:
    """Look at everything; one thing that cannot be looked at does not stop the rest."""
    found = [each for look in _OUTSIDE for each in _looked(look)]
    fault = address_fault()
    if fault:
        mend = "Put it right, or take it away to keep the record in the data folder."
        return [*found, Found(state=State.BAD, what="DATABASE_URL", found=fault, mend=mend)]
    return [*found, *(each for look in _INSIDE for each in _looked(look))]


def _looked(look: Callable[[], Iterator[Found]]) -> list[Found]:
    try:
        return list(look())
    except Exception as fault:  # noqa: BLE001 - the doctor reports, whatever it meets
        what = look.__name__.removeprefix("_look_at_").replace("_", " ")
        said = " ".join(str(fault).split())
        mend = "Install Castworthy again; if it stays, report it with this line."
        return [
            Found(state=State.BAD, what=what, found=f"{type(fault).__name__}: {said}", mend=mend)
        ]


def _any_bad(found: list[Found]) -> bool:
    return any(each.state is State.BAD for each in found)


def _look_at_python() -> Iterator[Found]:
    good = sys.version_info >= _OLDEST_PYTHON
    yield Found(
        state=State.GOOD if good else State.BAD,
        what="Python",
        found=f"{platform.python_version()} on {platform.system()}",
        mend="" if good else "Install Python 3.11 or newer.",
    )


def _look_at_data_folder() -> Iterator[Found]:
    from castworthy.server.place import data_folder

    folder = data_folder()
    parent = folder
    while not parent.exists() and parent != parent.parent:
        parent = parent.parent
    writable = _can_write(parent)
    there = "" if folder.exists() else " (made when first served)"
    yield Found(
        state=State.GOOD if writable else State.BAD,
        what="data folder",
        found=f"{folder}{there}" if writable else f"{folder} cannot be written",
        mend="" if writable else "Give it to this user, or name another in CASTWORTHY_DATA.",
    )
    if writable:
        yield _disk(parent)


def _can_write(folder: Path) -> bool:
    try:
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _disk(folder: Path) -> Found:
    free = shutil.disk_usage(folder).free
    enough = free >= LEAST_FREE_BYTES
    return Found(
        state=State.GOOD if enough else State.BAD,
        what="disk",
        found=f"{free / 1e9:.1f} GB free",
        mend="" if enough else f"Free some: below {LEAST_FREE_BYTES / 1e9:.1f} GB photos fill it.",
    )


def _start_django() -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "castworthy.server.settings")
    django.setup()


def _look_at_database() -> Iterator[Found]:
    _start_django()
    from django.db import DatabaseError, connection
    from django.db.migrations.executor import MigrationExecutor

    from castworthy.server.place import database_file

    if connection.vendor == "sqlite" and not _has_file(str(connection.settings_dict["NAME"])):
        yield Found(
            state=State.NOTE,
            what="database",
            found=f"{database_file()} is not there yet",
            mend="castworthy serve makes it.",
        )
        return
    try:
        executor = MigrationExecutor(connection)
        waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    except DatabaseError as fault:
        yield Found(
            state=State.BAD,
            what="database",
            found=" ".join(str(fault).split()),
            mend=_database_mend(connection.vendor),
        )
        return
    changes = f"{len(waiting)} changes of its tables wait" if waiting else "tables up to date"
    yield Found(
        state=State.NOTE if waiting else State.GOOD,
        what="database",
        found=f"{connection.display_name}, {changes}",
        mend="castworthy serve brings them up to date." if waiting else "",
    )
    if connection.vendor == "sqlite" and not waiting:
        yield _sqlite_health()


def _has_file(name: str) -> bool:
    return name.startswith(("file:", ":memory:")) or Path(name).exists()


def _database_mend(vendor: str) -> str:
    if vendor == "sqlite":
        return "The record's file is damaged or locked; stop other programs, or restore a copy."
    return "Start the server, and look at the address, user and password in DATABASE_URL."


def _sqlite_health() -> Found:
    from django.db import connection

    with connection.cursor() as cursor:
        said = cursor.execute("PRAGMA quick_check(1)").fetchone()[0]
    good = said == "ok"
    return Found(
        state=State.GOOD if good else State.BAD,
        what="record's file",
        found="sound" if good else str(said),
        mend="" if good else "Stop the server and restore the last good copy of the record.",
    )


def _look_at_settings() -> Iterator[Found]:
    _start_django()
    from django.core.checks import ERROR, run_checks

    messages = run_checks()
    for message in messages:
        yield Found(
            state=State.BAD if message.level >= ERROR else State.NOTE,
            what=f"settings ({message.id})",
            found=str(message.msg),
            mend=str(message.hint or ""),
        )
    if not messages:
        yield Found(state=State.GOOD, what="settings", found="sound")


def _look_at_papers() -> Iterator[Found]:
    from castworthy.reports.parts import Imprint, Shop
    from castworthy.reports.tag import TagPaper, tag_pdf

    made = tag_pdf(
        TagPaper(
            imprint=Imprint(shop=Shop(name="A shop"), made_at=_NO_TIME, made="on trial"),
            tag="TEST-1",
            address="http://127.0.0.1/",
            title="A trial tag",
            kind="core",
        )
    )
    yield Found(
        state=State.GOOD, what="papers", found=f"a trial tag of {len(made) // 1024} kB was set"
    )


def _look_at_gauges() -> Iterator[Found]:
    _start_django()
    from django.db import DatabaseError, connection

    from castworthy.records.lookups.gauges import gauges

    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite" and not _has_file(name):
        return
    try:
        known = [gauge for gauge in gauges() if not gauge.retired]
    except DatabaseError:
        return
    overdue = [gauge for gauge in known if gauge.overdue]
    for gauge in overdue:
        yield Found(
            state=State.NOTE,
            what=f"gauge {gauge.name}",
            found=f"its calibration ran out on {gauge.calibrated_until}",
            mend="Have it checked and enter the new date on its page.",
        )
    if known and not overdue:
        yield Found(state=State.GOOD, what="gauges", found=f"{len(known)} in date")


_OUTSIDE = (_look_at_python, _look_at_data_folder, _look_at_papers)
_INSIDE = (_look_at_database, _look_at_settings, _look_at_gauges)


def _print(found: list[Found]) -> None:
    from rich.text import Text

    out = page()
    marks = {State.GOOD: ("●", ""), State.NOTE: ("◐", "yellow"), State.BAD: ("▲", "bold red")}
    width = max(len(each.what) for each in found)
    for each in found:
        mark, style = marks[each.state]
        out.print(Text.assemble((mark, style), f" {each.what:{width}}  {each.found}"))
        if each.mend:
            out.print(Text(f"  {'':{width}}  {each.mend}"))
    bad = sum(each.state is State.BAD for each in found)
    out.print()
    out.print(Text(f"{bad} to mend." if bad else "Nothing has to be mended.", style="bold"))
