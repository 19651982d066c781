"""Files of columns (CSV): rows of numbers below names that carry their units."""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.header import Header, read_header

MOST_ROWS = 30_000_000
"""Most lines of one file."""

_BOM = b"\xef\xbb\xbf"
_PIECE_BYTES = 2 * 1024 * 1024
_SAMPLE_ROWS = 200
_SHOWN = 40
_NEWLINE = ord("\n")
_FAULTS = (ValueError, OverflowError, MemoryError, IndexError)

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Columns:
    """The columns of a file: x and y in mm, z in um, NaN where a field is empty.

    ``spacing_mm`` is what a comment says of the spacing, ``None`` where none does.  ``body`` and
    ``header`` stay to name the line a row stands on.
    """

    values: dict[str, Floats]
    spacing_mm: float | None
    header: Header
    body: bytes

    def line_of(self, row: int) -> int:
        """The line of the file that holds a row; rows count from 0, lines from 1."""
        line, _ = next(islice(_rows(self.body, header=self.header), row, None))
        return line

    def digit_mm(self) -> float:
        """The last digit that x is printed to [mm]."""
        x = next(column for column in self.header.columns if column.axis == "x")
        rows = islice(_rows(self.body, header=self.header), _SAMPLE_ROWS)
        digits = (_digit(_fields(text, header=self.header)[x.index]) for _, text in rows)
        return min(digits, default=0.0) * x.factor


def read_columns(raw: bytes, *, file: str, wanted: str) -> Columns:
    """The columns of a text file; ``wanted`` is what its first line might say.

    Raises
    ------
    InstrumentError
        If there is no header with units, a row has other columns, or a field is no number.

    """
    body = raw.removeprefix(_BOM)
    if b"\n" not in body:
        body = body.replace(b"\r", b"\n")
    header = read_header(body, file=file, wanted=wanted)
    most = min(body.count(b"\n") + 1, len(body))
    if most > MOST_ROWS:
        raise InstrumentError(
            f"{file} holds {most} lines, and at most {MOST_ROWS} are read; crop it and export it "
            "again."
        )
    values = {column.axis: np.empty(most) for column in header.columns}
    count = 0
    for start, end in _pieces(body, header=header):
        table = _table(body[start:end], header=header)
        if table is None:
            raise _bad_row(body, start=start, header=header, file=file)
        rows = slice(count, count + len(table))
        for at, column in enumerate(header.columns):
            with np.errstate(over="ignore"):
                np.multiply(table[:, at], column.factor, out=values[column.axis][rows])
        count = rows.stop
    if not count:
        raise InstrumentError(f"{file} has a header but no rows; export it again.")
    return Columns(
        values={axis: column[:count] for axis, column in values.items()},
        spacing_mm=header.spacing_mm,
        header=header,
        body=body,
    )


def _pieces(body: bytes, *, header: Header) -> Iterator[tuple[int, int]]:
    """Where the rows start and end, a few megabytes at a time, cut between lines."""
    start = 0
    for _ in range(header.lines_count):
        start = body.find(b"\n", start) + 1 or len(body)
    tail = body[-_PIECE_BYTES:]
    stop = len(body) - len(tail) + len(tail.rstrip(b"\r\n"))
    while start < stop:
        end = body.find(b"\n", start + _PIECE_BYTES, stop) + 1 or stop
        yield start, end
        start = end


def _table(piece: bytes, *, header: Header) -> Floats | None:
    """The rows of a piece; ``None`` where one of them is not so many numbers."""
    text, mark = _plain(piece, header=header)
    if not text or (header.count > 1 and not text.strip()):
        return np.empty((0, len(header.columns)))
    laid = _laid(text, mark=mark)
    if not laid.is_even(header.count):
        return None
    if laid.empty.any() or b" " in text or b"\t " in text:
        text = _with_nan(text, mark=mark, single=header.count == 1)
    try:
        return np.loadtxt(
            io.BytesIO(text),
            delimiter=mark.decode(),
            comments=None,
            ndmin=2,
            usecols=[column.index for column in header.columns],
            encoding="latin-1",
        )
    except _FAULTS:
        return None


def _plain(piece: bytes, *, header: Header) -> tuple[bytes, bytes]:
    """A piece without comments and quotes, with decimal points; the mark between its fields."""
    text = piece.replace(b"\r", b"").replace(b'"', b"")
    if b"#" in text:
        text = re.sub(rb"(?m)^[ \t]*#.*\n?", b"", text)
        text = re.sub(rb"[ \t]*#.*", b"", text)
    text = text.removesuffix(b"\n")
    if header.separator != ",":
        text = text.replace(b",", b".")
    if not header.separator:
        text = re.sub(rb"(?m)^[ \t]+|[ \t]+$", b"", text)
        return re.sub(rb"[ \t]+", b"\t", text), b"\t"
    return text, header.separator.encode()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Laid:
    """How fields lie in a text: which are empty, and how many stand on each line.

    ``empty`` has shape (fields,), ``count`` and ``last`` (lines,): fields of the line, and the
    number of its last field.
    """

    empty: NDArray[np.bool_]
    count: NDArray[np.intp]
    last: NDArray[np.intp]

    def is_even(self, count: int) -> bool:
        """Whether every line that is not empty has so many fields."""
        blank = (self.count == 1) & self.empty[self.last]
        return bool(((self.count == count) | blank).all())


def _laid(text: bytes, *, mark: bytes) -> _Laid:
    signs = np.frombuffer(text, dtype=np.uint8)
    cuts = np.append(np.flatnonzero((signs == ord(mark)) | (signs == _NEWLINE)), len(signs))
    last = np.append(np.flatnonzero(signs[cuts[:-1]] == _NEWLINE), len(cuts) - 1)
    return _Laid(empty=np.diff(cuts, prepend=-1) == 1, count=np.diff(last, prepend=-1), last=last)


def _with_nan(text: bytes, *, mark: bytes, single: bool) -> bytes:
    """Empty fields written as nan; in a single column an empty line is an empty field."""
    if single:
        return re.sub(rb"(?m)^[ \t]*$", b"nan", text)
    text = re.sub(rb"(?m)^ +$", b"", text)
    text = re.sub(rb"(?m)%b *(?=%b|$)" % (mark, mark), mark + b"nan", text)
    return re.sub(rb"(?m)^ *(?=%b)" % mark, b"nan", text)


def _rows(body: bytes, *, header: Header, start: int | None = None) -> Iterator[tuple[int, str]]:
    """Line and text of every row from a place in the body on."""
    at = next(iter(_pieces(body, header=header)), (len(body), 0))[0] if start is None else start
    first = body.count(b"\n", 0, at) + 1
    stream = io.BytesIO(body)
    stream.seek(at)
    for line, raw in enumerate(stream, start=first):
        text = raw.decode("utf-8", errors="replace").split("#")[0].strip("\r\n")
        commented = b"#" in raw and not text.strip()
        if text.strip() or (header.count == 1 and not commented):
            yield line, text


def _fields(text: str, *, header: Header) -> list[str]:
    """The fields of a row; where there are too many, the last holds the rest."""
    if header.separator != ",":
        text = text.replace(",", ".")
    parts = text.replace('"', "").split(header.separator or None, header.count)
    return [part.strip() for part in parts]


def _bad_row(body: bytes, *, start: int, header: Header, file: str) -> InstrumentError:
    """The first row that is not so many numbers, by its line."""
    for line, text in _rows(body, header=header, start=start):
        fields = _fields(text, header=header)
        if len(fields) != header.count:
            return _wrong_count(text, len(fields), header=header, where=f"{file}, line {line}")
        for column in header.columns:
            if not _is_number(fields[column.index]):
                return InstrumentError(
                    f"{file}, line {line}: {fields[column.index][:_SHOWN]!r} is no number; mend "
                    "it or leave the field empty."
                )
    return InstrumentError(f"{file} cannot be read as rows of numbers; export it again as CSV.")


def _wrong_count(text: str, count: int, *, header: Header, where: str) -> InstrumentError:
    named = "1 column" if header.count == 1 else f"{header.count} columns"
    has = "more" if count > header.count else f"{count}"
    hint = (
        "with decimal commas, separate the columns by semicolons"
        if header.separator == "," and text.count(",") == 2 * header.count - 1
        else "mend the line or leave it out"
    )
    return InstrumentError(
        f"{where}: the header names {named} but this line has {has} (got "
        f"{text.strip()[:_SHOWN]!r}); {hint}."
    )


def _is_number(field: str) -> bool:
    try:
        float(field or "nan")
    except ValueError:
        return False
    return "_" not in field


def _digit(field: str) -> float:
    """The last digit a number is printed to: 0.01 for 1.25."""
    try:
        exponent = Decimal(field).as_tuple().exponent
    except InvalidOperation:
        return 0.0
    return 10.0**exponent if isinstance(exponent, int) and -99 < exponent < 99 else 0.0
