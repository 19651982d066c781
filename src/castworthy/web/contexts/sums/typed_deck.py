"""A deck typed by hand: what lies round a bore, a line each, as a sheet of its own."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Material,
    Opening,
    OpeningKind,
    Stud,
    Valve,
    ValveKind,
)
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.sums.form import SumFault
from castworthy.web.contexts.sums.lines import lines_of

KINDS = (*(kind.value for kind in OpeningKind), "stud", "valve", "bore", "edge")
"""What may lie round a bore; ``edge`` is a corner of the deck's outline and has no diameter."""

_MOST_LINES = 120
_MOST_MM = 2_000.0
_APART = re.compile(r"\s*[;\t]\s*|\s*,\s+|\s+(?=[\d.+\-−])|(?<=[a-z])\s+")


@dataclass(slots=True, kw_only=True)
class _Found:
    """What was read so far."""

    cylinders: list[Cylinder]
    valves: list[Valve] = field(default_factory=list)
    studs: list[Stud] = field(default_factory=list)
    openings: list[Opening] = field(default_factory=list)
    corners: list[tuple[float, float]] = field(default_factory=list)


def typed_deck(text: str, *, bore_mm: float, show: Show, name: str) -> HeadSheet:
    """The deck round a bore that lies at 0, 0.

    Its outline is empty where fewer than three corners were typed.

    Raises
    ------
    SumFault
        At the field ``name``, if a line cannot be read.

    """
    lines = lines_of(text, most=_MOST_LINES, field=name)
    found = _Found(cylinders=[Cylinder(name="1", x_mm=0.0, y_mm=0.0, bore_mm=bore_mm)])
    for number, line in enumerate(lines, start=1):
        kind, values = _line(line, number=number, show=show, name=name)
        _ADD.get(kind, _add_opening)(found, kind, values)
    return HeadSheet(
        code="typed",
        title="the typed deck",
        material=Material.GREY_IRON,
        source="typed",
        outline_mm=tuple(found.corners) if len(found.corners) > 2 else (),
        cylinders=tuple(found.cylinders),
        valves=tuple(found.valves),
        studs=tuple(found.studs),
        openings=tuple(found.openings),
    )


def _line(line: str, *, number: int, show: Show, name: str) -> tuple[str, Sequence[float]]:
    first, *rest = [part for part in _APART.split(line.replace("−", "-").casefold()) if part]
    wanted = 2 if first == "edge" else 3
    unit = show.unit("mm")
    try:
        if first not in KINDS or len(rest) != wanted:
            raise UnitError("kind and figures")
        values = [read_value(part, suffix="mm", bare_unit=unit).value for part in rest]
    except UnitError as fault:
        raise SumFault(
            f"Line {number}: write a kind ({', '.join(KINDS)}), then x, y and the diameter, as "
            f"oil 60 -20 8; an edge has x and y only (got {line[:40]!r}).",
            field=name,
        ) from fault
    if any(abs(value) > _MOST_MM for value in values) or (wanted == 3 and not values[2] > 0.0):
        raise SumFault(
            f"Line {number}: a place lies on the deck and a diameter is above 0 "
            f"(got {line[:40]!r}); a bare number counts in {unit}.",
            field=name,
        )
    return first, values


def _add_opening(found: _Found, kind: str, values: Sequence[float]) -> None:
    number = 1 + sum(each.kind.value == kind for each in found.openings)
    x, y, diameter = values
    found.openings.append(
        Opening(
            name=f"{kind} {number}", kind=OpeningKind(kind), x_mm=x, y_mm=y, diameter_mm=diameter
        )
    )


def _add_stud(found: _Found, _: str, values: Sequence[float]) -> None:
    x, y, diameter = values
    name = str(len(found.studs) + 1)
    found.studs.append(Stud(name=name, x_mm=x, y_mm=y, diameter_mm=diameter))


def _add_valve(found: _Found, _: str, values: Sequence[float]) -> None:
    x, y, diameter = values
    found.valves.append(
        Valve(
            name=f"valve {len(found.valves) + 1}",
            cylinder="1",
            kind=ValveKind.INTAKE,
            x_mm=x,
            y_mm=y,
            head_diameter_mm=diameter,
        )
    )


def _add_bore(found: _Found, _: str, values: Sequence[float]) -> None:
    x, y, diameter = values
    name = str(len(found.cylinders) + 1)
    found.cylinders.append(Cylinder(name=name, x_mm=x, y_mm=y, bore_mm=diameter))


def _add_edge(found: _Found, _: str, values: Sequence[float]) -> None:
    x, y = values
    found.corners.append((x, y))


_ADD: dict[str, Callable[[_Found, str, Sequence[float]], None]] = {
    "stud": _add_stud,
    "valve": _add_valve,
    "bore": _add_bore,
    "edge": _add_edge,
}
