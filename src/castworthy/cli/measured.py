"""Files of instruments named on the command line, read whole but never without a limit."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from castworthy.cli.outcome import InputRefusedError
from castworthy.instruments.looks import Format, format_of, not_readable

LARGEST_BYTES = 512 * 1024 * 1024
"""Largest file of an instrument; ten million points in columns take about a third of it."""
INDEX = "feeds.csv"
"""The file of a folder of traces that says with which feed each was cut."""

_FIRST_BYTES = 4096


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A file to read; in a ``folder`` one of another kind is left out, not complained about."""

    path: Path
    folder: Path | None = None


def found_in(named: Iterable[Path]) -> Iterator[Found]:
    """The files named, and those in the folders named, by name; folders inside are not entered."""
    for each in named:
        if not each.is_dir():
            yield Found(path=each)
            continue
        for path in sorted(each.iterdir()):
            if path.is_file() and path.name != INDEX and not path.name.startswith("."):
                yield Found(path=path, folder=each)


def read_measured(path: Path) -> bytes:
    """The bytes of a file; one of another kind is not read further than its beginning.

    Raises
    ------
    InputRefusedError
        If it cannot be read or is too large.
    castworthy.instruments.errors.InstrumentError
        If it is of another kind.

    """
    try:
        with path.open("rb") as file:
            start = file.read(_FIRST_BYTES)
            if format_of(start) is Format.OTHER:
                raise not_readable(start, file=str(path))
            raw = start + file.read(LARGEST_BYTES + 1 - len(start))
    except OSError as fault:
        raise InputRefusedError(
            f"{path}: the file cannot be read ({(fault.strerror or 'no reason given').lower()})."
        ) from fault
    if len(raw) > LARGEST_BYTES:
        raise InputRefusedError(
            f"{path} is larger than {LARGEST_BYTES // 1024**2} MB; crop the trace and export it "
            "again."
        )
    return raw
