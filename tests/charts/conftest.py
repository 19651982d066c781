"""An invented deck to draw: a row of cylinders with four valves each.  Lengths mm."""

import re
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest

from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Limit,
    Material,
    Opening,
    OpeningKind,
    Place,
    PlaceKind,
    Stud,
    Valve,
    ValveKind,
)
from castworthy.calc.quantity import Quantity

_SPOTS = ((-19.0, 19.0), (19.0, 19.0), (-19.0, -19.0), (19.0, -19.0))


def _valves(cylinder: Cylinder) -> list[Valve]:
    return [
        Valve(
            name=f"{cylinder.name}{letter}",
            cylinder=cylinder.name,
            kind=ValveKind.INTAKE if dy > 0 else ValveKind.EXHAUST,
            x_mm=cylinder.x_mm + dx,
            y_mm=cylinder.y_mm + dy,
            head_diameter_mm=37.0 if dy > 0 else 34.0,
        )
        for letter, (dx, dy) in zip("ABCD", _SPOTS, strict=True)
    ]


@pytest.fixture
def make_sheet() -> Callable[..., HeadSheet]:
    def make(cylinders: int = 6, heights: int = 9) -> HeadSheet:
        length = cylinders * 130.0 + 36.0
        line = [
            Cylinder(name=str(i + 1), x_mm=18.0 + 65.0 + 130.0 * i, y_mm=115.0, bore_mm=107.0)
            for i in range(cylinders)
        ]
        grid = [
            Place(
                name=f"{row}{column + 1}",
                kind=PlaceKind.HEIGHT,
                x_mm=10.0 + column * (length - 20.0) / (heights - 1),
                y_mm=y,
            )
            for row, y in zip("ABCDE", (10.0, 40.0, 115.0, 190.0, 220.0), strict=True)
            for column in range(heights)
        ]
        return HeadSheet(
            code="D",
            title="Deck of six",
            material=Material.GREY_IRON,
            source="invented",
            outline_mm=((0.0, 0.0), (length, 0.0), (length, 230.0), (0.0, 230.0)),
            cylinders=tuple(line),
            valves=tuple(valve for cylinder in line for valve in _valves(cylinder)),
            studs=(Stud(name="S1", x_mm=15.0, y_mm=20.0, diameter_mm=14.0),),
            openings=(
                Opening(
                    name="W1", kind=OpeningKind.COOLANT, x_mm=40.0, y_mm=205.0, diameter_mm=18.0
                ),
            ),
            places=(
                Place(name="T1", kind=PlaceKind.THICKNESS, x_mm=148.0, y_mm=115.0),
                *grid,
            ),
            limits=(
                Limit(quantity=Quantity.RECESSION, low=0.8, high=1.2),
                Limit(quantity=Quantity.RING_STAND, low=0.2, high=0.25),
                Limit(quantity=Quantity.INJECTOR_PROTRUSION, low=1.5, high=2.0),
            ),
        )

    return make


@pytest.fixture
def parse() -> Callable[[str], ET.Element]:
    """The SVG as a tree without its namespace."""

    def read(svg: str) -> ET.Element:
        return ET.fromstring(re.sub(r' xmlns="[^"]+"', "", svg))

    return read
