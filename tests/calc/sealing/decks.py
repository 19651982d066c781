"""Invented decks for the sealing ring's tests."""

from castworthy.calc.head import Cylinder, HeadSheet, Material, Opening, OpeningKind, Stud, Valve
from castworthy.calc.head import ValveKind as Kind


def two_bores(
    *,
    openings: tuple[Opening, ...] = (),
    studs: tuple[Stud, ...] | None = None,
    pitch_mm: float = 140.0,
    outline_mm: tuple[tuple[float, float], ...] = ((0, 0), (300, 0), (300, 200), (0, 200)),
) -> HeadSheet:
    """Two bores of 100 mm side by side on a deck of 300 by 200 mm, four studs at the corners."""
    corners = ((5, 5), (295, 5), (295, 195), (5, 195))
    return HeadSheet(
        code="F2",
        title="Fen 2, two cylinders",
        material=Material.GREY_IRON,
        source="invented for the tests",
        outline_mm=outline_mm,
        cylinders=(
            Cylinder(name="1", x_mm=80.0, y_mm=100.0, bore_mm=100.0),
            Cylinder(name="2", x_mm=80.0 + pitch_mm, y_mm=100.0, bore_mm=100.0),
        ),
        valves=(
            Valve(
                name="1A",
                cylinder="1",
                kind=Kind.INTAKE,
                x_mm=60.0,
                y_mm=100.0,
                head_diameter_mm=40.0,
            ),
        ),
        studs=studs
        if studs is not None
        else tuple(
            Stud(name=f"S{n}", x_mm=x, y_mm=y, diameter_mm=14.0)
            for n, (x, y) in enumerate(corners, start=1)
        ),
        openings=openings,
    )


def water(name: str, *, x_mm: float, y_mm: float, diameter_mm: float = 10.0) -> Opening:
    """A coolant passage."""
    return Opening(
        name=name, kind=OpeningKind.COOLANT, x_mm=x_mm, y_mm=y_mm, diameter_mm=diameter_mm
    )
