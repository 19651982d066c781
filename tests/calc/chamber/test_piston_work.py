"""What deck cut, sinking and another gasket make of the gap between valve and piston."""

from dataclasses import replace
from math import cos, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.chamber.piston import (
    Crank,
    LiftCurve,
    PistonWork,
    ValveOverPiston,
    after_work,
    gap_at_top_mm,
    least_valve_gap,
    valve_gaps_mm,
)
from castworthy.calc.errors import InputError

PLACE = ValveOverPiston(
    gasket_mm=1.30, deck_clearance_mm=-0.35, recession_mm=1.00, pocket_mm=0.40, u_gasket_mm=0.03
)


def test_what_the_work_takes_and_gives() -> None:
    """By hand: 1.00 less 0.15 off the deck and 0.10 of sinking is 0.95 under a 1.40 gasket."""
    found = after_work(PLACE, work=PistonWork(deck_cut_mm=0.15, sink_mm=0.10, gasket_mm=1.40))

    assert found.recession_mm == pytest.approx(0.95)
    # 1.40 - 0.35 + 0.95 + 0.40.
    assert found.closed_gap_mm == pytest.approx(2.40)
    assert gap_at_top_mm(found, lift_mm=0.74) == pytest.approx(1.66)


def test_a_leaning_valve_sinks_less_than_its_seat_is_cut() -> None:
    """DOMAIN section 3: recession moves by s cos(tilt), the deck cut by itself."""
    leaning = replace(PLACE, tilt_deg=20.0)
    found = after_work(leaning, work=PistonWork(deck_cut_mm=0.10, sink_mm=0.20))

    assert found.recession_mm == pytest.approx(1.00 - 0.10 + 0.20 * cos(radians(20)))
    assert gap_at_top_mm(leaning, lift_mm=1.0) == pytest.approx(2.35 - cos(radians(20)))


def test_uncertainties_of_the_work_add_in_quadrature() -> None:
    """3, 4 and 12 make 13."""
    work = PistonWork(deck_cut_mm=0.1, sink_mm=0.1, u_deck_cut_mm=0.004, u_sink_mm=0.012)
    found = after_work(replace(PLACE, u_gasket_mm=None, u_recession_mm=0.003), work=work)

    assert found.u_recession_mm == pytest.approx(0.013)
    assert found.u_gap_mm == pytest.approx(0.013)
    assert after_work(PLACE, work=PistonWork()).u_recession_mm is None


@given(
    rise=st.floats(0.02, 0.12),
    stroke=st.floats(60.0, 160.0),
    ratio=st.floats(1.5, 2.2),
)
def test_the_least_gap_where_lift_falls_as_fast_as_the_piston(
    rise: float, stroke: float, ratio: float
) -> None:
    """Closed form: for a straight lift the gap is least where the piston is as fast as the valve.

    With a long rod the piston drops a t^2 / 2 (1 + a / l) near the top (Pulkrabek, slider-crank,
    to second order), so a lift that falls b a radian leaves its least gap where
    t = -b / (a (1 + a / l)).
    """
    crank = Crank(stroke_mm=stroke, rod_mm=ratio * stroke)
    a = stroke / 2.0
    b = rise * 180.0 / np.pi
    t = np.arange(-30.0, 30.0, 0.05)
    lifts = LiftCurve(crank_deg=t, lift_mm=np.maximum(5.0 - rise * t, 0.0))
    found = least_valve_gap(replace(PLACE, recession_mm=10.0), crank=crank, lifts=lifts)
    expected = -np.degrees(b / (a * (1.0 + a / crank.rod_mm)))

    assert found.crank_deg == pytest.approx(expected, abs=0.15)


def test_every_point_of_the_curve_by_the_triangle() -> None:
    """At 90 degrees the piston is a + l - sqrt(l^2 - a^2) down: 62, 200 give 71.855."""
    crank = Crank(stroke_mm=124.0, rod_mm=200.0)
    lifts = LiftCurve(crank_deg=np.array([0.0, 90.0]), lift_mm=np.array([0.5, 0.0]))
    gaps = valve_gaps_mm(PLACE, crank=crank, lifts=lifts)

    assert gaps == pytest.approx([1.85, 2.35 + 62.0 + 200.0 - np.sqrt(200.0**2 - 62.0**2)])


def test_a_cut_below_nothing_is_told() -> None:
    with pytest.raises(InputError, match=r"got -0\.1000 mm"):
        PistonWork(deck_cut_mm=-0.1)
