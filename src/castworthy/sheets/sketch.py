"""What of a draft can be drawn: the head it is on the way to."""

from collections.abc import Callable
from typing import Any

from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Material,
    Opening,
    OpeningKind,
    Place,
    PlaceKind,
    Stud,
    Valve,
    ValveKind,
)
from castworthy.sheets.draft import Draft, Row
from castworthy.units import UnitError, read_value

_FARTHEST_MM = 5_000.0
_MOST_COUNT = 500


def sketch(draft: Draft) -> HeadSheet | None:
    """A head with every row of the draft that has its place and size; no limits.

    ``None`` where there is no outline to draw in yet.  Only for drawing: what is judged comes
    from ``spec.read_sheet`` alone.
    """
    corners = tuple(
        (spot["x"], spot["y"])
        for row in draft.table("outline")
        if (spot := _figures(row, "x", "y", unit=draft.unit))
    )
    wide = {x for x, _ in corners}, {y for _, y in corners}
    if len(corners) < 3 or min(len(side) for side in wide) < 2:
        return None
    return HeadSheet(
        code=draft.section("head")["code"] or "?",
        title=draft.section("head")["title"] or "this head",
        material=Material.GREY_IRON,
        source="",
        outline_mm=corners,
        cylinders=tuple(_rows(draft, "cylinder", _cylinder)),
        valves=tuple(_rows(draft, "valve", _valve)),
        studs=tuple(_rows(draft, "stud", _stud)),
        openings=tuple(_rows(draft, "opening", _opening)),
        places=tuple(_rows(draft, "place", _place)),
    )


def _rows(draft: Draft, table: str, made: Callable[[Row, str], Any]) -> list[Any]:
    rows = (made(row, draft.unit) for row in draft.table(table)[:_MOST_COUNT])
    return [row for row in rows if row is not None]


def _cylinder(row: Row, unit: str) -> Cylinder | None:
    found = _figures(row, "x", "y", "bore", unit=unit)
    if found is None or found["bore"] <= 0:
        return None
    return Cylinder(name=row["name"], x_mm=found["x"], y_mm=found["y"], bore_mm=found["bore"])


def _valve(row: Row, unit: str) -> Valve | None:
    found = _figures(row, "x", "y", "head_diameter", unit=unit)
    if found is None or found["head_diameter"] <= 0:
        return None
    return Valve(
        name=row["name"],
        cylinder=row["cylinder"],
        kind=ValveKind.EXHAUST if row["kind"] == "exhaust" else ValveKind.INTAKE,
        x_mm=found["x"],
        y_mm=found["y"],
        head_diameter_mm=found["head_diameter"],
    )


def _stud(row: Row, unit: str) -> Stud | None:
    found = _figures(row, "x", "y", "diameter", unit=unit)
    if found is None or found["diameter"] <= 0:
        return None
    return Stud(name=row["name"], x_mm=found["x"], y_mm=found["y"], diameter_mm=found["diameter"])


def _opening(row: Row, unit: str) -> Opening | None:
    found = _figures(row, "x", "y", "diameter", unit=unit)
    if found is None or found["diameter"] <= 0:
        return None
    known = row["kind"] in set(OpeningKind)
    return Opening(
        name=row["name"],
        kind=OpeningKind(row["kind"]) if known else OpeningKind.COOLANT,
        x_mm=found["x"],
        y_mm=found["y"],
        diameter_mm=found["diameter"],
    )


def _place(row: Row, unit: str) -> Place | None:
    found = _figures(row, "x", "y", unit=unit)
    if found is None or row["kind"] not in set(PlaceKind):
        return None
    return Place(name=row["name"], kind=PlaceKind(row["kind"]), x_mm=found["x"], y_mm=found["y"])


def _figures(row: Row, *keys: str, unit: str) -> dict[str, float] | None:
    """The lengths of a row in mm, or ``None`` when one is missing, no length, or far away."""
    try:
        found = {
            key: read_value(row[key], suffix="mm", bare_unit=unit or "in").value for key in keys
        }
    except UnitError:
        return None
    near = all(abs(value) <= _FARTHEST_MM for value in found.values())
    return found if near else None
