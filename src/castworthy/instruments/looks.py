"""What a file is, told by its first bytes; its name does not count."""

from enum import StrEnum

from castworthy.instruments.errors import InstrumentError


class Format(StrEnum):
    """Formats that can be read, and the rest."""

    X3P = "X3P"
    SDF = "SDF"
    COLUMNS = "CSV"
    OTHER = "other"


READABLE = "X3P, SDF (ASCII or binary) and CSV with named columns can be read"

_ZIP = b"PK\x03\x04"
_BOM = b"\xef\xbb\xbf"
_KNOWN: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a photo"),
    (b"GIF8", "a picture"),
    (b"BM", "a picture"),
    (b"II*\x00", "a picture"),
    (b"MM\x00*", "a picture"),
    (b"RIFF", "a picture or a recording"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or office document"),
    (b"{\\rtf", "a text document"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
    (b"SQLite format 3", "a database"),
    (b"MATLAB", "a matrix file"),
    (b"\x89HDF", "a matrix file"),
    (b"<!DOCTYPE html", "a web page"),
    (b"<html", "a web page"),
    (b"<", "an XML document"),
    (b"{", "a JSON document"),
    (b"\xff\xfe", "text that is not UTF-8"),
    (b"\xfe\xff", "text that is not UTF-8"),
)
_FIRST = 4096
_CONTROL = bytes(set(range(32)) - set(b"\t\n\r\f"))


def format_of(raw: bytes) -> Format:
    """The format the bytes begin like."""
    start = raw[:_FIRST].removeprefix(_BOM)
    if start.startswith(_ZIP):
        return Format.X3P
    if start[:1] in b"aAbB" and start[1:5] in {b"ISO-", b"BCR-"}:
        return Format.SDF
    if _magic_words(start) or not _is_utf8(start):
        return Format.OTHER
    return Format.COLUMNS


def not_readable(raw: bytes, *, file: str) -> InstrumentError:
    """What a file of another format looks like, and what can be read instead."""
    return InstrumentError(f"{file} looks like {looks_like(raw)}; {READABLE}.", foreign=True)


def looks_like(raw: bytes) -> str:
    """What people call a file that begins like this."""
    start = raw[:_FIRST].removeprefix(_BOM)
    if words := _magic_words(start):
        return words
    if start[4:8] == b"ftyp":
        return "a photo or a film"
    if not _has_control(start):
        return "text that is not UTF-8 (save it as CSV UTF-8)"
    return "the file of another program"


def _magic_words(start: bytes) -> str:
    text = start.lstrip()
    if not text:
        return "an empty file"
    return next((words for magic, words in _KNOWN if text.startswith(magic)), "")


def _is_utf8(start: bytes) -> bool:
    if _has_control(start):
        return False
    try:
        start.decode("utf-8")
    except UnicodeDecodeError as fault:
        return len(start) > _FIRST - 4 and fault.start >= len(start) - 3
    return True


def _has_control(start: bytes) -> bool:
    return len(start.translate(None, _CONTROL)) < len(start)
