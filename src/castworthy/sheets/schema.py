"""The JSON Schema (2020-12) of a spec sheet, made from the same list of keys the reader uses."""

from typing import Any

from castworthy.calc.head import ValveKind
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.sheets.keys import (
    CODE_PATTERN,
    LIMITED,
    OUTLINE,
    TABLES,
    Key,
    Kind,
    Table,
    by_kind,
)

Schema = dict[str, Any]

_MEASURED = {Kind.LENGTH, Kind.AREA, Kind.ANGLE, Kind.FINISH}
_ANY_TEXT: Schema = {"type": "string", "minLength": 1, "maxLength": 200}


def sheet_schema() -> Schema:
    """The schema of a spec sheet as a JSON document; TOML reads into the same shapes.

    Bounds across keys (a low limit above its high one, a place off the outline) are no matter
    of a schema; ``castworthy.sheets.spec.read_sheet`` checks them.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Castworthy spec sheet, format 1",
        "description": (
            "Bare lengths are in the sheet's unit, bare finish figures in µin or µm to match; "
            'a text such as "0.89 mm" carries its own unit.'
        ),
        "type": "object",
        "additionalProperties": False,
        "required": ["format", "unit", *(t.name for t in TABLES.values() if t.required)],
        "properties": {
            "format": {"const": 1},
            "unit": {"enum": ["in", "mm"]},
            **{table.name: _table(table) for table in TABLES.values()},
        },
    }


def _table(table: Table) -> Schema:
    if table.name == "limit":
        return _closed({q.value: _limit(q) for q in LIMITED}, says=table.says)
    if table.name == "spring":
        return _with_kinds(table.keys, says=table.says)
    if table.name == "head":
        corner = {
            "type": "array",
            "items": _number_or_text(),
            "minItems": 2,
            "maxItems": 2,
        }
        outline = {
            "description": "corners of the deck in the order of its edge",
            "type": "array",
            "items": corner,
            "minItems": 3,
            "maxItems": 400,
        }
        return _object(table.keys, says=table.says, more={OUTLINE: outline}, needs=[OUTLINE])
    if table.rows:
        rows: Schema = {"description": table.says, "type": "array", "items": _object(table.keys)}
        return {**rows, "minItems": 1} if table.required else rows
    return _object(table.keys, says=table.says)


def _limit(quantity: Quantity) -> Schema:
    keys = tuple(k for k in TABLES["limit"].keys if k.name != "span" or _has_span(quantity))
    unit_needed = FACTS[quantity].suffix not in ("mm", "um")
    bounded = [{"required": ["low"]}, {"required": ["high"]}]
    needs = ["span"] if _has_span(quantity) else []
    plain = {**_object(keys, unit_needed=unit_needed, needs=needs), "anyOf": bounded}
    title = FACTS[quantity].title
    if not by_kind(quantity):
        return {"description": title, **plain}
    kinds = {kind.value: plain for kind in ValveKind}
    return {
        "description": f"{title}, for all valves or for intake and exhaust apart",
        **_object(keys, unit_needed=unit_needed, more=kinds),
        "minProperties": 1,
        "anyOf": [*bounded, *({"required": [kind.value]} for kind in ValveKind)],
    }


def _with_kinds(keys: tuple[Key, ...], *, says: str) -> Schema:
    plain = _object(keys)
    kinds = {kind.value: plain for kind in ValveKind}
    needs = [key.name for key in keys if key.required]
    whole = _object(keys, says=says, more=kinds)
    whole.pop("required", None)
    return {
        **whole,
        "anyOf": [{"required": needs}, *({"required": [kind.value]} for kind in ValveKind)],
        "dependentRequired": dict.fromkeys(needs, needs),
    }


def _has_span(quantity: Quantity) -> bool:
    return quantity is Quantity.LOCAL_FLATNESS


def _closed(properties: Schema, *, says: str = "") -> Schema:
    closed: Schema = {"type": "object", "additionalProperties": False, "properties": properties}
    return {"description": says, **closed} if says else closed


def _object(
    keys: tuple[Key, ...],
    *,
    says: str = "",
    more: Schema | None = None,
    needs: list[str] | None = None,
    unit_needed: bool = False,
) -> Schema:
    properties = {key.name: _value(key, unit_needed=unit_needed) for key in keys}
    closed = _closed({**properties, **(more or {})}, says=says)
    required = [*(key.name for key in keys if key.required), *(needs or [])]
    return {**closed, "required": required} if required else closed


def _value(key: Key, *, unit_needed: bool) -> Schema:
    shape = _shape(key, unit_needed=unit_needed)
    if key.kind in (Kind.NUMBER, Kind.COUNT, Kind.ANGLE):
        shape = {**shape, **_bounds(key)}
    elif key.kind in (Kind.LENGTH, Kind.AREA, Kind.FINISH) and key.least is not None:
        shape = {**shape, "exclusiveMinimum" if key.open_least else "minimum": key.least}
    return {"description": key.says, **shape}


def _bounds(key: Key) -> Schema:
    bounds: Schema = {}
    if key.least is not None:
        bounds["exclusiveMinimum" if key.open_least else "minimum"] = key.least
    if key.most is not None:
        bounds["maximum"] = key.most
    return bounds


def _shape(key: Key, *, unit_needed: bool) -> Schema:
    if key.kind in _MEASURED or (key.kind is Kind.LIMIT and not unit_needed):
        return _number_or_text()
    match key.kind:
        case Kind.CHOICE:
            return {"enum": list(key.choices)}
        case Kind.CODE:
            return {"type": "string", "pattern": f"^{CODE_PATTERN}$"}
        case Kind.FLAG:
            return {"type": "boolean"}
        case Kind.COUNT:
            return {"type": "integer"}
        case Kind.NUMBER:
            return {"type": "number"}
        case Kind.LENGTHS:
            return {
                "type": "array",
                "items": {**_number_or_text(), "exclusiveMinimum": 0},
                "maxItems": 50,
                "uniqueItems": True,
            }
        case Kind.NAME:
            return {"type": "string", "minLength": 1, "maxLength": 24}
        case _:
            return dict(_ANY_TEXT)


def _number_or_text() -> Schema:
    return {"type": ["number", "string"], "minLength": 1}
