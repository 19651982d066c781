"""What a file looks like from its first bytes; its name does not count."""

from enum import StrEnum


class Format(StrEnum):
    """Formats that can be read, and the rest."""

    X3P = "X3P"
    SDF = "SDF"
    COLUMNS = "CSV"
    OTHER = "other"


READABLE = "X3P, SDF (ASCII or binary) and CSV with named columns can be read"

_ZIP = b"PK\x03\x04"
_SDF = (b"aISO-", b"bISO-", b"aBCR-", b"bBCR-")
_KNOWN: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a photo"),
    (b"GIF8", "a picture"),
    (b"BM", "a picture"),
    (b"II*\x00", "a picture"),
    (b"MM\x00*", "a picture"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
    (b"SQLite format 3", "a database"),
    (b"<!DOCTYPE html", "a web page"),
    (b"<html", "a web page"),
    (b"<?xml", "an XML document"),
    (b"{", "a JSON document"),
    (b"MATLAB", "a matrix file"),
)
_FIRST = 4096


def format_of(raw: bytes) -> Format:
    """The format the bytes begin like."""
    start = raw[:_FIRST]
    if start.startswith(_ZIP):
        return Format.X3P
    if start.startswith(_SDF):
        return Format.SDF
    if looks_like(raw) or not _is_text(start):
        return Format.OTHER
    return Format.COLUMNS


def looks_like(raw: bytes) -> str:
    """What people call a file that begins like this; empty for what is not known."""
    start = raw[:_FIRST].lstrip()
    if not start:
        return "an empty file"
    return next((name for magic, name in _KNOWN if start.startswith(magic)), "")


def _is_text(start: bytes) -> bool:
    if b"\x00" in start:
        return False
    try:
        start.decode("utf-8")
    except UnicodeDecodeError as fault:
        return fault.start >= len(start) - 3
    return True
