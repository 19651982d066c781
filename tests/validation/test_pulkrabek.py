"""Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, example 2-1.

V6 of 3.0 l, square, rod 16.6 cm, compression ratio 9.5, 3600 rpm.  Printed answers: values from
memory, reproduced from the inputs by hand.
"""

from math import pi, radians

import pytest

from castworthy.calc.chamber.piston import Crank, piston_drop_mm
from castworthy.calc.chamber.room import (
    CylinderRoom,
    chamber_for_ratio_cm3,
    compression_ratio,
    disc_cm3,
)

BORE_MM = (4 * 500e3 / pi) ** (1 / 3)
CRANK = Crank(stroke_mm=BORE_MM, rod_mm=166.0)
RPM = 3600


def room(chamber_cm3: float) -> CylinderRoom:
    return CylinderRoom(
        name="1",
        bore_mm=BORE_MM,
        stroke_mm=BORE_MM,
        chamber_cm3=chamber_cm3,
        gasket_bore_mm=BORE_MM,
        gasket_mm=0.0,
    )


def test_bore_and_clearance() -> None:
    clearance = chamber_for_ratio_cm3(room(10.0), wanted_ratio=9.5)

    assert pytest.approx(8.60, abs=0.005) == BORE_MM / 10
    assert clearance == pytest.approx(59, abs=0.5)
    assert compression_ratio(room(clearance)).ratio == pytest.approx(9.5, rel=1e-12)


def test_at_20_degrees_after_top_dead_centre() -> None:
    drop_cm = piston_drop_mm(20, crank=CRANK) / 10
    volume_cm3 = 500 / 8.5 + disc_cm3(diameter_mm=BORE_MM, height_mm=10 * drop_cm)

    assert drop_cm == pytest.approx(0.32, abs=0.005)
    assert volume_cm3 == pytest.approx(77.7, abs=0.05)


def test_speed_of_the_piston_at_20_degrees() -> None:
    """The slope of the drop; the book prints 6.89 m/s from rounded steps."""
    step = 1e-3
    slope = (
        piston_drop_mm(20 + step, crank=CRANK) - piston_drop_mm(20 - step, crank=CRANK)
    ) / radians(2 * step)

    assert slope / 1e3 * 2 * pi * RPM / 60 == pytest.approx(6.90, abs=0.015)
    # Mean speed 10.32 m/s: twice the stroke each turn.
    assert 2 * piston_drop_mm(180, crank=CRANK) / 1e3 * RPM / 60 == pytest.approx(10.32, abs=0.005)
