"""A spec sheet's text into the frozen head that calc judges by."""

from collections.abc import Callable
from typing import Any

from castworthy.calc.engine import Engine
from castworthy.calc.head import (
    Cylinder,
    Gasket,
    HeadSheet,
    Material,
    Opening,
    OpeningKind,
    Place,
    PlaceKind,
    Prices,
    Rule,
    Stud,
    ToleranceRule,
    Valve,
    ValveKind,
    WorkRules,
)
from castworthy.calc.quantity import Quantity
from castworthy.calc.ring_spec import RingSpec
from castworthy.sheets.errors import SheetError
from castworthy.sheets.inspection import Inspection, did_you_mean
from castworthy.sheets.keys import (
    OUTLINE,
    TABLES,
    TOP_KEYS,
)
from castworthy.sheets.limits import check_sites, read_gaskets, read_limits, read_springs
from castworthy.sheets.lines import LineMap, Path, line_map
from castworthy.sheets.outline import check_outline, inside
from castworthy.sheets.ring import read_ring
from castworthy.sheets.source import plain, read_toml

FORMAT = 1
_ANGLES = ("seat_angle_deg", "top_angle_deg", "throat_angle_deg")
_OUTLINE_CORNERS = 400

Corners = tuple[tuple[float, float], ...]


def read_sheet(text: str, *, file: str = "sheet") -> HeadSheet:
    """The head a spec sheet describes.

    Parameters
    ----------
    text : str
        The TOML text, ``format = 1``.
    file : str
        What findings call the file.

    Raises
    ------
    SheetError
        With every finding of the sheet, each with its line and key.

    """
    text = plain(text, file=file)
    tables = read_toml(text, file=file)
    lines: list[LineMap] = []

    def lines_of() -> LineMap:
        if not lines:
            lines.append(line_map(text))
        return lines[0]

    sheet, inspection = _read(tables, file=file, lines_of=lines_of)
    if inspection.found or sheet is None:
        raise SheetError(inspection.findings())
    return sheet


def sheet_unit(text: str) -> str:
    """The unit bare lengths of a sound sheet are in, "in" or "mm"."""
    return str(read_toml(text, file="sheet")["unit"])


def _read(
    tables: dict[str, Any], *, file: str, lines_of: Callable[[], LineMap]
) -> tuple[HeadSheet | None, Inspection]:
    inspection = Inspection(file=file, lines_of=lines_of)
    inspection.unknown(tables, path=(), known=TOP_KEYS)
    _read_top(tables, inspection=inspection)
    for table in TABLES.values():
        if table.required and table.name not in tables:
            sign = f"[[{table.name}]]" if table.rows else f"[{table.name}]"
            inspection.note((table.name,), f"{sign} is missing: {table.says}.")
    head = _read_head(tables, inspection=inspection)
    corners = head.get("outline_mm", ())
    parts = {
        name: _read_rows(tables, name=name, corners=corners, inspection=inspection)
        for name in ("cylinder", "valve", "stud", "opening", "place")
    }
    _check_cylinders(tables, parts=parts, inspection=inspection)
    places = parts["place"]
    limits = read_limits(tables, source=head.get("source", ""), inspection=inspection)
    check_sites(limits, places=places, inspection=inspection)
    gaskets = read_gaskets(tables, source=head.get("source", ""), inspection=inspection)
    springs = read_springs(tables, inspection=inspection)
    engine = _read_engine(tables, source=head.get("source", ""), inspection=inspection)
    ring = read_ring(
        tables, source=head.get("source", ""), cylinders=parts["cylinder"], inspection=inspection
    )
    work = _read_one(tables, name="work", inspection=inspection)
    prices = _read_one(tables, name="price", inspection=inspection)
    if inspection.found:
        return None, inspection
    sheet = HeadSheet(
        **{**head, "material": Material(head["material"])},
        cylinders=tuple(Cylinder(**row) for _, row in parts["cylinder"]),
        valves=tuple(Valve(**{**row, "kind": ValveKind(row["kind"])}) for _, row in parts["valve"]),
        studs=tuple(Stud(**row) for _, row in parts["stud"]),
        openings=tuple(
            Opening(**{**row, "kind": OpeningKind(row["kind"])}) for _, row in parts["opening"]
        ),
        places=tuple(Place(**{**row, "kind": PlaceKind(row["kind"])}) for _, row in places),
        limits=tuple(limit for _, limit in limits),
        gaskets=tuple(
            Gasket(**{**row, "rule": Rule(row.get("rule", Rule.GUARDED))}) for row in gaskets
        ),
        springs=springs,
        engine=None if engine is None else Engine(**engine),
        ring=None if ring is None else RingSpec(**ring),
        work=WorkRules(
            **{**work, "finish_rule": ToleranceRule(work.get("finish_rule", ToleranceRule.MAX))}
        ),
        prices=Prices(**prices),
    )
    _check_ratio(sheet, inspection=inspection)
    return sheet, inspection


def _read_top(tables: dict[str, Any], *, inspection: Inspection) -> None:
    if "format" not in tables:
        inspection.note(("format",), f"this key is missing; write format = {FORMAT}.")
    elif tables["format"] != FORMAT or isinstance(tables["format"], bool):
        inspection.note(
            ("format",), f"this program reads format {FORMAT} (got {tables['format']})."
        )
    unit = tables.get("unit")
    if unit in ("in", "mm"):
        inspection.unit = unit
    elif unit is None:
        inspection.note(("unit",), 'this key is missing; write unit = "in" or unit = "mm".')
    else:
        inspection.note(("unit",), f'this must be "in" or "mm" (got {unit!r}).')


def _read_head(tables: dict[str, Any], *, inspection: Inspection) -> dict[str, Any]:
    if "head" not in tables:
        return {}
    table = inspection.table(tables["head"], path=("head",))
    keys = TABLES["head"].keys
    known = (*(key.name for key in keys), OUTLINE)
    inspection.unknown(table, path=("head",), known=known)
    head = inspection.fields(table, keys=keys, path=("head",))
    path = ("head", OUTLINE)
    if OUTLINE in table:
        corners = _read_corners(table[OUTLINE], path=path, inspection=inspection)
        if corners:
            head["outline_mm"] = corners
    else:
        inspection.note(path, "this key is missing: the corners of the deck as [[x, y], ...].")
    return head


def _read_corners(raw: Any, *, path: Path, inspection: Inspection) -> Corners:
    """The corners of the outline, or none with a finding."""
    x, y = (TABLES["stud"].by_name[name] for name in ("x", "y"))
    sound = isinstance(raw, list) and all(isinstance(c, list) and len(c) == 2 for c in raw)
    if not sound or not 3 <= len(raw) <= _OUTLINE_CORNERS:
        inspection.note(
            path, f"this must be 3 to {_OUTLINE_CORNERS} corners written [[x, y], [x, y], ...]."
        )
        return ()
    corners = [
        (
            inspection.value(corner[0], key=x, path=(*path, i)),
            inspection.value(corner[1], key=y, path=(*path, i)),
        )
        for i, corner in enumerate(raw)
    ]
    if any(part is None for corner in corners for part in corner):
        return ()
    fault = check_outline(corners_mm=tuple(corners))
    if fault:
        inspection.note(path, fault)
        return ()
    return tuple(corners)


def _read_rows(
    tables: dict[str, Any], *, name: str, corners: Corners, inspection: Inspection
) -> list[tuple[Path, dict[str, Any]]]:
    table = TABLES[name]
    found: list[tuple[Path, dict[str, Any]]] = []
    seen: dict[str, Path] = {}
    rows = inspection.rows(tables[name], path=(name,)) if name in tables else []
    if name in tables and table.required and not rows and tables[name] == []:
        inspection.note((name,), f"at least one [[{name}]] is needed.")
    for path, row in rows:
        inspection.unknown(row, path=path, known=table.by_name)
        fields = inspection.fields(row, keys=table.keys, path=path)
        if name == "valve":
            _convert_angles(fields, row=row, path=path, inspection=inspection)
        _check_name(fields, path=path, seen=seen, inspection=inspection)
        _check_spot(fields, path=path, corners=corners, inspection=inspection)
        found.append((path, fields))
    return found


def _check_name(
    fields: dict[str, Any], *, path: Path, seen: dict[str, Path], inspection: Inspection
) -> None:
    name = fields.get("name")
    if name is None:
        return
    first = seen.setdefault(name.casefold(), path)
    if first != path:
        line = inspection.lines_of().line_of((*first, "name"))
        inspection.note(
            (*path, "name"), f"the name {name!r} is taken by the one on line {line}; give another."
        )


def _check_spot(
    fields: dict[str, Any], *, path: Path, corners: Corners, inspection: Inspection
) -> None:
    x_mm, y_mm = fields.get("x_mm"), fields.get("y_mm")
    if (
        x_mm is None
        or y_mm is None
        or not corners
        or inside(x_mm=x_mm, y_mm=y_mm, corners_mm=corners)
    ):
        return
    name = f" {fields['name']}" if "name" in fields else ""
    inspection.note((*path, "x"), f"{path[0]}{name} lies off the outline of the deck.")


def _convert_angles(
    fields: dict[str, Any], *, row: dict[str, Any], path: Path, inspection: Inspection
) -> None:
    """Angles from the plane across the axis; included angles converted where the row says so."""
    included = inspection.value(
        row.get("included", False),
        key=TABLES["valve"].by_name["included"],
        path=(*path, "included"),
    )
    if included:
        for angle in _ANGLES:
            if angle in fields:
                fields[angle] = 90.0 - fields[angle] / 2
    known = Valve.__dataclass_fields__
    seat, top, throat = (fields.get(angle, known[angle].default) for angle in _ANGLES)
    hint = "" if included else "; write included = true when the manual quotes included angles"
    if not 0.0 < seat < 90.0:
        inspection.note(
            (*path, "seat_angle"), f"a seat lies between 0° and 90° (got {seat:g}°){hint}."
        )
    elif not 0.0 <= top < seat < throat <= 90.0:
        inspection.note(
            (*path, "seat_angle"),
            f"the top cut must be flatter than the seat and the throat cut steeper "
            f"(got {top:g}°, {seat:g}°, {throat:g}°){hint}.",
        )


def _check_cylinders(
    tables: dict[str, Any],
    *,
    parts: dict[str, list[tuple[Path, dict[str, Any]]]],
    inspection: Inspection,
) -> None:
    names = [row["name"] for _, row in parts["cylinder"] if "name" in row]
    for path, row in parts["valve"]:
        if "cylinder" in row and row["cylinder"] not in names and "cylinder" in tables:
            hint = did_you_mean(row["cylinder"], names)
            inspection.note((*path, "cylinder"), f"there is no cylinder {row['cylinder']!r}{hint}")


def _read_engine(
    tables: dict[str, Any], *, source: str, inspection: Inspection
) -> dict[str, Any] | None:
    if "engine" not in tables:
        return None
    fields = _read_one(tables, name="engine", inspection=inspection)
    low, high = fields.get("ratio_low"), fields.get("ratio_high")
    for key, ratio in (("ratio_low", low), ("ratio_high", high)):
        if ratio is not None and ratio <= 1.0:
            inspection.note(("engine", key), f"a compression ratio is more than 1 (got {ratio:g}).")
    if low is not None and high is not None and low > high:
        inspection.note(
            ("engine", "ratio_low"),
            f"ratio_low must not lie above ratio_high (got {low:g} and {high:g}).",
        )
    return {"source": source, **fields}


def _check_ratio(sheet: HeadSheet, *, inspection: Inspection) -> None:
    """Some chamber must keep the limits of the ratio in every cylinder, and its own."""
    limit = sheet.fitted().limit_for(Quantity.CHAMBER_VOLUME)
    if sheet.engine is None or limit is None or limit.high is None:
        return
    if limit.high <= 0.0:
        inspection.note(
            ("engine", "ratio_low"),
            "gasket, bowl and clearance alone leave too much room for this ratio; check their "
            "units and signs.",
        )
    elif limit.low is not None and limit.low > limit.high:
        inspection.note(
            ("engine", "ratio_low"),
            "no chamber volume keeps the limits of the ratio in every cylinder and the sheet's own "
            f"(at least {limit.low:.2f} and at most {limit.high:.2f} cm³); check both.",
        )


def _read_one(tables: dict[str, Any], *, name: str, inspection: Inspection) -> dict[str, Any]:
    if name not in tables:
        return {}
    table = inspection.table(tables[name], path=(name,))
    inspection.unknown(table, path=(name,), known=TABLES[name].by_name)
    fields = inspection.fields(table, keys=TABLES[name].keys, path=(name,))
    smallest, largest = fields.get("smallest_deck_cut_mm"), fields.get("largest_deck_cut_mm")
    if smallest is not None and largest is not None and smallest > largest:
        inspection.note((name, "largest_deck_cut"), "this must not be less than smallest_deck_cut.")
    return fields
