"""A frozen sheet written back as the TOML text it could have come from."""

from collections.abc import Iterable
from dataclasses import MISSING, fields
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS
from castworthy.sheets.keys import TABLES, Key, Kind
from castworthy.units.factors import factor_to, unit_named

_MOST_DIGITS = 17
_UNITS = {
    "in": {"mm": "in", "um": "µin", "mm2": "in²"},
    "mm": {"mm": "mm", "um": "µm", "mm2": "mm²"},
}
_OTHER_UNITS = {
    "n": "N",
    "cm3": "cm3",
    "kpa": "kPa",
    "n_per_mm": "N/mm",
    "s": "s",
}
_SUFFIXES = {
    Kind.LENGTH: "mm",
    Kind.AREA: "mm2",
    Kind.RATE: "n_per_mm",
    Kind.SECONDS: "s",
    Kind.FINISH: "um",
    Kind.VOLUME: "cm3",
}


def write_sheet(sheet: HeadSheet, *, unit: str = "in") -> str:
    """The TOML text of a sheet; ``read_sheet`` reads it back to the same sheet, to the last bit.

    Parameters
    ----------
    sheet : HeadSheet
        The sheet.
    unit : str
        What bare lengths are written in, "in" or "mm".

    Raises
    ------
    ValueError
        If the unit is neither.

    """
    if unit not in _UNITS:
        raise ValueError(f'A sheet is written in "in" or "mm" (got {unit!r}).')
    corners = ", ".join(
        f"[{_measured(x, suffix='mm', unit=unit)}, {_measured(y, suffix='mm', unit=unit)}]"
        for x, y in sheet.outline_mm
    )
    blocks = [
        ["format = 1", f'unit = "{unit}"'],
        ["[head]", *_pairs(sheet, table="head", unit=unit), f"outline = [{corners}]"],
    ]
    rows = (
        ("cylinder", sheet.cylinders),
        ("valve", sheet.valves),
        ("stud", sheet.studs),
        ("opening", sheet.openings),
        ("place", sheet.places),
    )
    for name, parts in rows:
        blocks += [[f"[[{name}]]", *_pairs(part, table=name, unit=unit)] for part in parts]
    for limit in sheet.limits:
        kind = f".{limit.valve_kind}" if limit.valve_kind else ""
        suffix = FACTS[limit.quantity].suffix
        pairs = _pairs(limit, table="limit", unit=unit, suffix=suffix, source=sheet.source)
        blocks.append([f"[limit.{limit.quantity}{kind}]", *pairs])
    blocks += [
        ["[[gasket]]", *_pairs(gasket, table="gasket", unit=unit, source=sheet.source)]
        for gasket in sheet.gaskets
    ]
    for spring in sheet.springs:
        kind = f".{spring.valve_kind}" if spring.valve_kind else ""
        blocks.append([f"[spring{kind}]", *_pairs(spring, table="spring", unit=unit)])
    for name, table in (("engine", sheet.engine), ("ring", sheet.ring)):
        if table is not None:
            pairs = list(_pairs(table, table=name, unit=unit, source=sheet.source))
            blocks.append([f"[{name}]", *pairs])
    for name, single in (("work", sheet.work), ("price", sheet.prices)):
        pairs = list(_pairs(single, table=name, unit=unit))
        blocks += [[f"[{name}]", *pairs]] if pairs else []
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _pairs(
    part: Any, *, table: str, unit: str, suffix: str = "mm", source: str | None = None
) -> Iterable[str]:
    """The keys of one table; what equals the default is left out."""
    defaults = {f.name: f.default for f in fields(part) if f.default is not MISSING}
    for key in TABLES[table].keys:
        if not key.fills:
            continue
        value = getattr(part, key.fills)
        inherited = source if key.name == "source" and source is not None else MISSING
        if value == inherited or (
            not key.required and key.fills in defaults and value == defaults[key.fills]
        ):
            continue
        yield f"{key.name} = {_value(value, key=key, unit=unit, suffix=suffix)}"


def _value(value: Any, *, key: Key, unit: str, suffix: str) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, StrEnum | str):
        return _quoted(str(value))
    if isinstance(value, tuple):
        return f"[{', '.join(_measured(each, suffix='mm', unit=unit) for each in value)}]"
    if key.kind in (Kind.NUMBER, Kind.COUNT, Kind.ANGLE):
        return _plain(value)
    return _measured(value, suffix=_SUFFIXES.get(key.kind, suffix), unit=unit)


def _measured(value: float, *, suffix: str, unit: str) -> str:
    """The shortest figure that reads back to the same number, bare or with its unit."""
    symbol = _UNITS[unit].get(suffix)
    if symbol is None:
        return f'"{_plain(value)} {_OTHER_UNITS[suffix]}"'
    found = unit_named(symbol)
    factor = None if found is None else factor_to(found, suffix=suffix)
    if factor is not None:
        exact = Fraction(value) / factor
        for digits in range(_MOST_DIGITS):
            rounded = Fraction(round(exact * 10**digits), 10**digits)
            if float(rounded * factor) == value:
                return f"{Decimal(rounded.numerator) / Decimal(rounded.denominator):f}"
    return f'"{_plain(value)} {_UNITS["mm"][suffix]}"'


def _plain(value: float) -> str:
    return f"{Decimal(repr(value)):f}"


def _quoted(text: str) -> str:
    signs = {"\\": "\\\\", '"': '\\"'}
    return f'"{"".join(signs.get(sign, sign) for sign in text)}"'
