"""A sheet while it is being written: its fields as typed, sound or not.

The browser's form and the text are two faces of one draft.  Everything is kept as the text a
person typed, so that a half-written number survives; ``spec.read_sheet`` alone says whether
the whole is a sheet.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from castworthy.sheets.keys import TABLES, Kind

Row = dict[str, str]

SECTIONS: dict[str, tuple[str, ...]] = {
    name: tuple(TABLES[name].by_name) for name in ("head", "engine", "ring", "work", "price")
}
"""The single tables of a sheet and their keys."""

NAMED = ("cylinder", "valve", "stud", "opening", "place", "gasket")
ROWS: dict[str, tuple[str, ...]] = {
    "outline": ("x", "y"),
    **{name: tuple(TABLES[name].by_name) for name in NAMED if name != "gasket"},
    "limit": ("quantity", "kind", *TABLES["limit"].by_name),
    "gasket": tuple(TABLES["gasket"].by_name),
    "spring": ("kind", *TABLES["spring"].by_name),
}
"""The tables of a sheet that hold rows, and their columns."""

_KEYS = tuple(key for table in TABLES.values() for key in table.keys)
TEXTS = {"unit"} | {
    key.name for key in _KEYS if key.kind in {Kind.TEXT, Kind.NAME, Kind.CODE, Kind.CHOICE}
}
LISTS = {key.name for key in _KEYS if key.kind is Kind.LENGTHS}
FLAGS = {key.name for key in _KEYS if key.kind is Kind.FLAG}

_NUMBER = re.compile(r"[+-]?(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """The fields of a sheet as typed; an empty text is a field left out."""

    unit: str = "in"
    sections: Mapping[str, Row] = field(default_factory=dict)
    rows: Mapping[str, tuple[Row, ...]] = field(default_factory=dict)

    def section(self, name: str) -> Row:
        """Every key of a single table, empty where nothing was typed."""
        typed = self.sections.get(name, {})
        return {key: typed.get(key, "") for key in SECTIONS[name]}

    def table(self, name: str) -> tuple[Row, ...]:
        """The rows of a table, every column present."""
        return tuple(
            {column: row.get(column, "") for column in ROWS[name]}
            for row in self.rows.get(name, ())
        )

    def with_rows(self, name: str, rows: Iterable[Row]) -> "Draft":
        """The same draft with other rows in one table."""
        return Draft(unit=self.unit, sections=self.sections, rows={**self.rows, name: tuple(rows)})


def read_draft(text: str) -> Draft:
    """The draft a TOML text holds; what has no field in the form is passed over.

    Raises
    ------
    tomllib.TOMLDecodeError
        If the text is no TOML at all.

    """
    found = tomllib.loads(text, parse_float=str)
    unit = found.get("unit", "")
    return Draft(
        unit=unit if isinstance(unit, str) else "",
        sections={
            name: _fields(found.get(name), columns=columns) for name, columns in SECTIONS.items()
        },
        rows={
            "outline": _outline(_mapping(found.get("head")).get("outline")),
            **{name: _rows(found.get(name), columns=ROWS[name]) for name in NAMED},
            "limit": tuple(_limits(_mapping(found.get("limit")))),
            "spring": tuple(_springs(_mapping(found.get("spring")))),
        },
    )


def as_field(value: object) -> str:
    """A TOML value as the text of one field."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(as_field(each) for each in value)
    return str(value)


def as_toml(text: str, *, key: str) -> str:
    """The text of one field as a TOML value: words quoted, numbers bare, ``""`` left out."""
    typed = text.strip()
    if not typed:
        return ""
    if key in TEXTS:
        return _quoted(typed)
    if key in LISTS:
        return f"[{', '.join(_plain(each) for each in _split(typed))}]"
    if key in FLAGS and typed in {"true", "false"}:
        return typed
    return _plain(typed)


def outline_as_toml(rows: Iterable[Row]) -> str:
    """The corners of the outline as a TOML array."""
    corners = [(row.get("x", "").strip(), row.get("y", "").strip()) for row in rows]
    pairs = [f"[{_plain(x)}, {_plain(y)}]" for x, y in corners if x or y]
    return f"[{', '.join(pairs)}]" if pairs else ""


def outline_from(value: object) -> tuple[Row, ...]:
    """The corners of the outline out of a TOML array."""
    return _outline(value)


def _mapping(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _fields(value: object, *, columns: tuple[str, ...]) -> Row:
    found = _mapping(value)
    return {key: as_field(found[key]) for key in columns if key in found}


def _rows(value: object, *, columns: tuple[str, ...]) -> tuple[Row, ...]:
    rows = value if isinstance(value, list) else []
    return tuple(_fields(row, columns=columns) for row in rows)


def _outline(value: object) -> tuple[Row, ...]:
    corners = value if isinstance(value, list) else []
    return tuple(
        {"x": as_field(corner[0]), "y": as_field(corner[1])}
        for corner in corners
        if isinstance(corner, list) and len(corner) == 2
    )


def _limits(tables: dict[str, Any]) -> Iterable[Row]:
    columns = tuple(column for column in ROWS["limit"] if column not in {"quantity", "kind"})
    for quantity, table in tables.items():
        kinds = {kind: each for kind, each in _mapping(table).items() if isinstance(each, dict)}
        if len(kinds) < len(_mapping(table)) or not kinds:
            yield {"quantity": quantity, "kind": "", **_fields(table, columns=columns)}
        for kind, each in kinds.items():
            yield {"quantity": quantity, "kind": kind, **_fields(each, columns=columns)}


def _springs(table: dict[str, Any]) -> Iterable[Row]:
    columns = tuple(column for column in ROWS["spring"] if column != "kind")
    kinds = {kind: each for kind, each in table.items() if isinstance(each, dict)}
    if len(kinds) < len(table):
        yield {"kind": "", **_fields(table, columns=columns)}
    for kind, each in kinds.items():
        yield {"kind": kind, **_fields(each, columns=columns)}


def _split(typed: str) -> list[str]:
    if ";" in typed:
        parts = typed.split(";")
    elif "." in typed or ", " in typed:
        parts = typed.split(",")
    else:
        parts = [typed]
    return [part.strip() for part in parts if part.strip()]


def _plain(typed: str) -> str:
    if not typed:
        return '""'
    if _NUMBER.fullmatch(typed) is None:
        return _quoted(typed)
    number = typed.replace(",", ".")
    sign = number[:1] if number[:1] in {"+", "-"} else ""
    digits = number[len(sign) :]
    whole, dot, rest = digits.partition(".")
    power = ""
    if not dot and (found := re.fullmatch(r"(\d+)([eE].*)", whole)):
        whole, power = found.groups()
    elif found := re.fullmatch(r"(\d*)([eE].*)", rest):
        rest, power = found.groups()
    whole = whole.lstrip("0") or "0"
    return f"{sign}{whole}{f'.{rest or 0}' if dot else ''}{power}"


def _quoted(text: str) -> str:
    signs = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    body = "".join(
        signs.get(sign) or (f"\\u{ord(sign):04x}" if ord(sign) < 32 or ord(sign) == 127 else sign)
        for sign in plain
    )
    return f'"{body}"'
