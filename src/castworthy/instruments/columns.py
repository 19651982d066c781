"""Plain columns of numbers with their units in the header: ``x_mm,z_um``."""

import io
import re
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from castworthy.instruments.errors import InstrumentError
from castworthy.units import UnitError, convert
from castworthy.units.factors import names_for

_NAME = re.compile(r"^\s*([xyz])[\s_]*[\[(]?\s*([^\[\]()]+?)\s*[\])]?\s*$", re.IGNORECASE)
_COMMENT = re.compile(r"^\s*#\s*spacing[\s_]*[\[(]?\s*(\w+)?\s*[\])]?\s*[=:]\s*([\d.,eE+-]+)")
_NUMBERS = re.compile(r"^[\s\d.,;eE+-]+$|^\s*nan\b", re.IGNORECASE)
_ROW = re.compile(rb"^[ \t]*[^#\s]", re.MULTILINE)
_HEADER_LINES = 60
_SUFFIX = {"x": "mm", "y": "mm", "z": "um"}

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Columns:
    """The columns of a file: x and y in mm, z in um, NaN where a field is empty.

    ``line_of_first`` is the line of the file the first row stands on; ``spacing_mm`` is what a
    comment says of the spacing, ``None`` where there is none.
    """

    values: dict[str, Floats]
    line_of_first: int
    spacing_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Header:
    names: tuple[str, ...]
    separator: str
    lines_count: int
    comments: tuple[str, ...]


def read_columns(raw: bytes, *, file: str, wanted: str) -> Columns:
    """The columns of a text file.

    ``wanted`` is what the header should say, for the sentence of a refusal: ``x_mm,z_um``.

    Raises
    ------
    InstrumentError
        If there is no header with units, a row is short, or a field is no number.

    """
    body = raw.removeprefix(b"\xef\xbb\xbf")
    header = _header(body, file=file, wanted=wanted)
    axes = [_axis(name, file=file, wanted=wanted) for name in header.names]
    seen = [axis for axis, _ in axes if axis]
    if "z" not in seen:
        raise InstrumentError(
            f"{file}, line {header.lines_count}: no column of heights is named (got "
            f"{', '.join(header.names)[:40]!r}). Write a first line such as {wanted}."
        )
    if len(set(seen)) < len(seen):
        raise InstrumentError(f"{file}: a column stands twice in the header; keep one of each.")
    table = _table(body, header=header, file=file)
    values = {}
    for column, (axis, unit) in enumerate(axes):
        if axis:
            factor = convert(1.0, unit=unit, suffix=_SUFFIX[axis])
            values[axis] = table[:, column] * factor
    return Columns(
        values=values,
        line_of_first=header.lines_count + 1,
        spacing_mm=_spacing(header.comments, file=file),
    )


def _header(body: bytes, *, file: str, wanted: str) -> _Header:
    comments: list[str] = []
    for number, line in enumerate(islice(io.BytesIO(body), _HEADER_LINES), start=1):
        text = line.decode("utf-8", errors="replace").strip()
        if not text:
            continue
        if text.startswith("#"):
            comments.append(text)
            continue
        if _NUMBERS.match(text):
            raise InstrumentError(
                f"{file}, line {number}: the columns have no names, so their units are not known. "
                f"Write a first line such as {wanted}."
            )
        separator = max(";\t,", key=text.count) if re.search(r"[;\t,]", text) else ","
        names = tuple(name.strip().strip('"') for name in text.split(separator))
        return _Header(
            names=names, separator=separator, lines_count=number, comments=tuple(comments)
        )
    raise InstrumentError(f"{file} holds no columns. Write a first line such as {wanted}.")


def _axis(name: str, *, file: str, wanted: str) -> tuple[str, str]:
    """Axis and unit of a column; no axis for a column of something else."""
    found = _NAME.match(name)
    if found is None:
        if name.lower() in {"x", "y", "z"}:
            raise InstrumentError(
                f"{file}: column {name!r} says no unit. Name it with one, as in {wanted}."
            )
        return "", ""
    axis, unit = found[1].lower(), found[2]
    try:
        convert(1.0, unit=unit, suffix=_SUFFIX[axis])
    except UnitError:
        units = ", ".join(names_for(_SUFFIX[axis]))
        raise InstrumentError(
            f"{file}: column {name!r} is in no unit that is known; use one of {units}, as in "
            f"{wanted}."
        ) from None
    return axis, unit


def _table(body: bytes, *, header: _Header, file: str) -> Floats:
    """Every row as numbers; an empty field is NaN."""
    rows = body.split(b"\n", header.lines_count)[-1] if b"\n" in body else b""
    separator = header.separator.encode()
    text = rows if separator == b"," else rows.replace(b",", b".").replace(separator, b",")
    text = text.replace(b"\r", b"")
    if b",," in text or b",\n" in text or text.endswith(b",") or b"\n," in text:
        text = _with_nan(text)
    if not _ROW.search(text):
        raise InstrumentError(f"{file} has a header but no rows.")
    try:
        table: Floats = np.loadtxt(
            io.BytesIO(text),
            delimiter=",",
            ndmin=2,
            comments="#",
            usecols=range(len(header.names)),
            dtype=np.float64,
        )
    except (ValueError, UnicodeDecodeError, OverflowError, MemoryError) as fault:
        raise _bad_row(text, header=header, file=file) from fault
    return table


def _with_nan(text: bytes) -> bytes:
    """Empty fields written as nan."""
    text = re.sub(rb",(?=[ \t]*(?:,|\n|$))", b",nan", text)
    return re.sub(rb"(?m)^(?=[ \t]*,)", b"nan", text)


def _bad_row(text: bytes, *, header: _Header, file: str) -> InstrumentError:
    """The first row that is not so many numbers, by its line."""
    count = len(header.names)
    for number, line in enumerate(io.BytesIO(text), start=header.lines_count + 1):
        shown = line.decode("utf-8", errors="replace").split("#")[0].strip()
        if not shown:
            continue
        fields = shown.split(",")
        if len(fields) < count:
            return InstrumentError(
                f"{file}, line {number}: {count} numbers were expected (got {shown[:40]!r}). Mend "
                "the line or leave it out."
            )
        for field in fields[:count]:
            if not _is_number(field):
                return InstrumentError(
                    f"{file}, line {number}: {field.strip()[:40]!r} is no number. Mend the line or "
                    "leave the field empty."
                )
    return InstrumentError(f"{file} cannot be read as rows of {count} numbers.")


def _is_number(field: str) -> bool:
    try:
        float(field)
    except ValueError:
        return False
    return True


def _spacing(comments: tuple[str, ...], *, file: str) -> float | None:
    for comment in comments:
        found = _COMMENT.match(comment)
        if found is None:
            continue
        try:
            value = float(found[2].replace(",", "."))
            spacing_mm = convert(value, unit=found[1] or "", suffix="mm")
        except (ValueError, UnitError, OverflowError):
            spacing_mm = 0.0
        if not 0.0 < spacing_mm < 1e6:
            raise InstrumentError(
                f"{file}: {comment!r} gives no spacing; write # spacing_mm = 0.0005."
            )
        return spacing_mm
    return None
