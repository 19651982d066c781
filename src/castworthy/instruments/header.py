"""The first lines of a file of columns: comments, then names that carry their units."""

import io
import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from itertools import islice

from castworthy.instruments.errors import InstrumentError
from castworthy.units import UnitError, convert
from castworthy.units.factors import names_for

SUFFIX = {"x": "mm", "y": "mm", "z": "um"}
"""Suffix of each axis inside: lengths mm, heights um."""

_NAME = re.compile(r"^([xyz])(?:[\s_]+|(?=[\[(]))[\[(]?\s*([^\[\]()]+?)\s*[\])]?$", re.IGNORECASE)
_SPACING = re.compile(
    r"^#\s*spacing(?:[\s_]+|\s*(?=[\[(]))[\[(]?\s*([^\W\d]+)\s*[\])]?\s*[=:]\s*(\S+)\s*$",
    re.IGNORECASE,
)
_NUMBERS = re.compile(r"^[\s\d.,;eE+-]+$|^\s*nan\b", re.IGNORECASE)
_NANOMETRE = {"mm": 1e-6, "um": 1e-3}
_FIRST_LINES = 60
_LONGEST_LINE = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column that is read: its axis, where it stands, its factor to the axis' own unit."""

    axis: str
    index: int
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """How the rows below are read.

    ``separator`` is empty where blanks stand between the columns; ``count`` is the number of
    columns, ``lines_count`` that of the lines up to the names; ``spacing_mm`` is what a comment
    says, ``None`` where none does.
    """

    columns: tuple[Column, ...]
    count: int
    separator: str
    lines_count: int
    spacing_mm: float | None


def read_header(body: bytes, *, file: str, wanted: str) -> Header:
    """The header of a file of columns; ``wanted`` is what its first line might say.

    Raises
    ------
    InstrumentError
        If no column of heights is named with its unit.

    """
    spacing_mm = None
    for number, line in enumerate(islice(io.BytesIO(body), _FIRST_LINES), start=1):
        text = line[:_LONGEST_LINE].decode("utf-8", errors="replace").strip()
        if text.startswith("#"):
            spacing_mm = _spacing(text, file=file) or spacing_mm
        elif _NUMBERS.match(text):
            raise InstrumentError(
                f"{file}, line {number}: the columns have no names, so their units are not known; "
                f"write a first line such as {wanted}."
            )
        elif text:
            separator, names = _split(text.split("#")[0].strip())
            return Header(
                columns=_columns(names, where=f"{file}, line {number}", wanted=wanted),
                count=len(names),
                separator=separator,
                lines_count=number,
                spacing_mm=spacing_mm,
            )
    raise InstrumentError(
        f"{file} holds no columns; write a first line such as {wanted}.", foreign=True
    )


def _split(text: str) -> tuple[str, list[str]]:
    """Separator and names."""
    found = max(";\t,", key=text.count)
    if found in text:
        return found, [name.strip().strip('"').strip() for name in text.split(found)]
    words = text.split()
    if len(words) > 1 and all(_NAME.match(word) for word in words):
        return "", words
    return ",", [text.strip('"').strip()]


def _columns(names: list[str], *, where: str, wanted: str) -> tuple[Column, ...]:
    found = [
        column
        for index, name in enumerate(names)
        if (column := _column(name, index=index, where=where, wanted=wanted))
    ]
    axes = [column.axis for column in found]
    if "z" not in axes:
        shown = ", ".join(names)
        raise InstrumentError(
            f"{where}: no column of heights is named (got {shown[:40]!r}); write a first line "
            f"such as {wanted}.",
            foreign=not axes,
        )
    if len(set(axes)) < len(axes):
        raise InstrumentError(f"{where}: an axis stands there twice; keep one column of each.")
    across = {column.factor for column in found if column.axis != "z"}
    if len(across) > 1:
        raise InstrumentError(
            f"{where}: x and y are in different units; give both in one, as in {wanted}."
        )
    return tuple(found)


def _column(name: str, *, index: int, where: str, wanted: str) -> Column | None:
    """The column of that name, ``None`` where it is of something else."""
    found = _NAME.match(name)
    if found is None:
        if name.lower() in SUFFIX:
            raise InstrumentError(
                f"{where}: column {name!r} says no unit; name it with one, as in {wanted}."
            )
        return None
    axis, unit = found[1].lower(), found[2]
    factor = _factor(unit, suffix=SUFFIX[axis])
    if factor is None:
        units = ", ".join((*names_for(SUFFIX[axis]), "nm"))
        raise InstrumentError(
            f"{where}: the unit of column {name[:40]!r} is not known; use one of {units}."
        )
    return Column(axis=axis, index=index, factor=factor)


def _factor(unit: str, *, suffix: str) -> float | None:
    """Factor from a unit to a suffix's; nanometres belong to instruments, not to the shop."""
    if unit == "nm":
        return _NANOMETRE[suffix]
    try:
        return convert(1.0, unit=unit, suffix=suffix)
    except UnitError:
        return None


def _spacing(text: str, *, file: str) -> float | None:
    """The spacing a comment gives; ``None`` for a comment on something else."""
    if not re.match(r"#\s*spacing\b|#\s*spacing_", text, re.IGNORECASE):
        return None
    found = _SPACING.match(text)
    factor = _factor(found[1], suffix="mm") if found else None
    try:
        value = Decimal(found[2].replace(",", ".")) if found else Decimal(0)
    except InvalidOperation:
        value = Decimal(0)
    if factor is None or not value.is_finite() or not 0 < value * Decimal(factor) < 1000:
        raise InstrumentError(
            f"{file}: {text[:60]!r} gives no spacing; write it like # spacing_mm = 0.0005."
        )
    return float(value) * factor
