"""From the bytes of a file to its text, and from a TOML text to its tables."""

import re
import tomllib
from decimal import Decimal
from typing import Any

from castworthy.sheets.errors import Finding, SheetError

LARGEST_SHEET_BYTES = 256 * 1024
LARGEST_READINGS_BYTES = 2 * 1024 * 1024

_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_PLAINER = {
    "Cannot overwrite a value": "this key is given twice; keep one of them",
    "Unescaped '\\' in a string": "a backslash in a text must be doubled",
    "Invalid statement": "this is neither a [table], a key = value nor a # comment",
    "Expected '=' after a key in a key/value pair": "a key must be followed by = and its value",
    "Invalid value": "there is no value here; texts stand in quotes, numbers with a decimal point",
    "Expected newline or end of document after a statement": (
        "something follows the value; numbers have a decimal point and texts stand in quotes"
    ),
    "Unterminated string": 'this text has no closing "',
    "Illegal character '\\n'": 'this text has no closing "',
}


def refuse_size(size: int, *, largest: int, file: str) -> None:
    """Refuse a text or file larger than anything a person writes here.

    Raises
    ------
    SheetError
        If ``size`` is above ``largest``.

    """
    if size > largest:
        raise _refused(
            file, f"the file is larger than {largest // 1024} kB, which no file of its kind needs."
        )


def decode(raw: bytes, *, file: str, largest: int = LARGEST_SHEET_BYTES) -> str:
    """The text of a file, with one kind of line end and no byte-order mark.

    Raises
    ------
    SheetError
        If the file is too large or no UTF-8 text.

    """
    refuse_size(len(raw), largest=largest, file=file)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        column = fault.start - raw.rfind(b"\n", 0, fault.start)
        raise _refused(
            file,
            "this is no UTF-8 text; save the file with the encoding UTF-8.",
            line=line,
            column=column,
        ) from fault
    return plain(text, file=file)


def plain(text: str, *, file: str) -> str:
    """A text with one kind of line end and no byte-order mark.

    Raises
    ------
    SheetError
        If it holds a NUL, as no written file does.

    """
    if "\x00" in text:
        line = text.count("\n", 0, text.index("\x00")) + 1
        raise _refused(file, "this is no text: it holds a zero byte.", line=line)
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


def read_toml(text: str, *, file: str, largest: int = LARGEST_SHEET_BYTES) -> dict[str, Any]:
    """The tables of a TOML text, its decimal numbers kept exactly as ``Decimal``.

    Raises
    ------
    SheetError
        If the text is too large or no TOML, with the line and column of the fault.

    """
    refuse_size(len(text), largest=largest, file=file)
    try:
        return tomllib.loads(plain(text, file=file), parse_float=Decimal)
    except tomllib.TOMLDecodeError as fault:
        raise _broken_toml(str(fault), text=text, file=file) from fault
    except RecursionError as fault:
        raise _refused(file, "brackets are nested too deep for any sheet.") from fault


def _broken_toml(message: str, *, text: str, file: str) -> SheetError:
    found = _PLACE.search(message)
    line, column = (found[1], found[2]) if found else (None, None)
    what = _PLACE.sub("", message)
    said = _PLAINER.get(what) or f"this is no TOML ({what[:1].lower()}{what[1:]})"
    return _refused(
        file,
        f"{said}.",
        line=int(line) if line else text.count("\n") + 1,
        column=int(column) if column else None,
    )


def _refused(
    file: str, sentence: str, *, line: int | None = None, column: int | None = None
) -> SheetError:
    return SheetError((Finding(file=file, line=line, key="", sentence=sentence, column=column),))
