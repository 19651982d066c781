"""A small head for the tests of this folder: one cylinder, two intakes, two exhausts."""

import pytest

from castworthy.calc.head import Cylinder, HeadSheet, Material, Place, PlaceKind, Valve, ValveKind

KINDS = {
    "1A": ValveKind.INTAKE,
    "1B": ValveKind.INTAKE,
    "1C": ValveKind.EXHAUST,
    "1D": ValveKind.EXHAUST,
}


@pytest.fixture
def small_head() -> HeadSheet:
    """The head without any limit."""
    return HeadSheet(
        code="H1",
        title="A head",
        material=Material.GREY_IRON,
        source="notes",
        outline_mm=((0.0, 0.0), (200.0, 0.0), (200.0, 150.0), (0.0, 150.0)),
        cylinders=(Cylinder(name="1", x_mm=100.0, y_mm=75.0, bore_mm=100.0),),
        valves=tuple(
            Valve(
                name=name,
                cylinder="1",
                kind=kind,
                x_mm=80.0 + 10 * i,
                y_mm=75.0,
                head_diameter_mm=35.0,
            )
            for i, (name, kind) in enumerate(KINDS.items())
        ),
        places=(Place(name="T1", kind=PlaceKind.THICKNESS, x_mm=10.0, y_mm=10.0),),
    )
