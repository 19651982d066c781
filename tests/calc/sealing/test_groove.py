"""A wire in its groove: the trade's own figures, plane geometry, the way back, the wire list."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.sealing.decks import two_bores
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.sealing.groove import (
    FILING_MM,
    Groove,
    GrooveDesign,
    Wanted,
    cut_length_mm,
    design_sentence,
    fit_cautions,
    fit_of,
    groove_for,
    ring_length_mm,
)
from castworthy.calc.sealing.wire import rings_of, wire_list
from castworthy.units import Show

THOU = Show(length="thou")
IN = 25.4

wires = st.floats(0.3, 3.0)
shares = st.floats(0.01, 0.12)


def trade_groove() -> Groove:
    """Stainless wire of 0.041 in, 0.032 in deep and 0.038 in wide: common practice, no source."""
    return Groove(wire_mm=0.041 * IN, depth_mm=0.032 * IN, width_mm=0.038 * IN, diameter_mm=118.0)


def test_the_trades_own_groove() -> None:
    """About 3 thou press, stands 8 to 9 thou: common practice, no source."""
    fit = fit_of(trade_groove())

    assert fit.press_mm / IN == pytest.approx(0.003, abs=1e-9)
    assert 0.008 <= fit.stand_mm / IN <= 0.009 + 1e-9
    assert fit_cautions(trade_groove(), show=THOU) == ()


def test_published_example_by_hand() -> None:
    """d 1.20, h 0.97, w 1.14: sums by hand."""
    fit = fit_of(Groove(wire_mm=1.20, depth_mm=0.97, width_mm=1.14, diameter_mm=118.0))

    assert fit.press_mm == pytest.approx(0.06)
    assert fit.stand_mm == pytest.approx(0.23)
    # 1.14 + pi (1.44 - 1.2996) / 4.56 - 0.97 = 0.17 + pi 0.1404 / 4.56
    assert fit.stand_upper_mm == pytest.approx(0.17 + pi * 0.1404 / 4.56, rel=1e-12)
    assert fit.fill_ratio == pytest.approx(0.36 * pi / 1.1058, rel=1e-12)


@given(d=wires, deep=st.floats(0.55, 0.95), tight=shares)
def test_the_pressed_wire_keeps_its_area(d: float, deep: float, tight: float) -> None:
    """All metal upward: a round of the groove's width with the rest of the area stacked on it."""
    w, h = d * (1 - tight), d * deep
    fit = fit_of(Groove(wire_mm=d, depth_mm=h, width_mm=w, diameter_mm=100.0))
    height = fit.stand_upper_mm + h

    assert pi / 4 * w**2 + w * (height - w) == pytest.approx(pi / 4 * d**2, rel=1e-9)
    assert fit.stand_upper_mm > fit.stand_mm
    assert fit.press_mm + w == pytest.approx(d)


@given(d=wires, loose=st.floats(0.0, 0.5))
def test_a_loose_wire_does_not_rise(d: float, loose: float) -> None:
    groove = Groove(wire_mm=d, depth_mm=0.8 * d, width_mm=d * (1 + loose), diameter_mm=100.0)
    fit = fit_of(groove)

    assert fit.stand_upper_mm == fit.stand_mm
    assert "nothing holds it" in fit_cautions(groove, show=THOU)[0]


@pytest.mark.parametrize(
    ("depth", "width", "says"),
    [
        (0.8, 1.0, "The wire has no press: nothing holds it"),
        (0.8, 1.05, "The wire is loose by 2.0 thou: nothing holds it"),
        (0.8, 0.85, "A press of 5.9 thou is heavy"),
        (1.1, 0.97, "The wire lies 3.9 thou below the deck"),
        (0.45, 0.97, "less than half the wire deep"),
        (0.9, 0.99, "The wire fills only 88 % of the groove's section"),
    ],
)
def test_each_fault_of_a_groove_is_said(depth: float, width: float, says: str) -> None:
    groove = Groove(wire_mm=1.0, depth_mm=depth, width_mm=width, diameter_mm=100.0)

    assert any(says in sentence for sentence in fit_cautions(groove, show=THOU))


def test_lengths() -> None:
    assert ring_length_mm(118.0, gap_mm=0.1) == pytest.approx(118.0 * pi - 0.1)
    assert cut_length_mm(118.0) == pytest.approx(118.0 * pi + FILING_MM)
    assert cut_length_mm(118.0, gap_mm=0.1, filing_mm=0.3) == pytest.approx(118.0 * pi + 0.2)
    assert cut_length_mm(118.0) > ring_length_mm(118.0)


@given(
    d=wires,
    stand=st.floats(0.05, 0.4),
    half=st.floats(0.0, 0.04),
    press=st.floats(0.0, 0.1),
    tol=st.floats(0.0, 0.04),
)
def test_the_way_back_gives_the_wanted_ring(
    d: float, stand: float, half: float, press: float, tol: float
) -> None:
    """Every wire of its tolerance in the deepest or the shallowest groove stands inside."""
    low, high = d * (stand - half), d * (stand + half)
    wanted = Wanted(
        wire_mm=d, stand_low_mm=low, stand_high_mm=high, press_mm=press * d, tol_wire_mm=tol * d
    )
    design = groove_for(wanted)
    if isinstance(design, Refused):
        assert design.code == "wire-too-uneven"
        assert tol > half - 1e-9
        return
    for wire in (d * (1 - tol), d * (1 + tol)):
        for depth in (design.depth_low_mm, design.depth_high_mm):
            assert low - 1e-6 <= wire - depth <= high + 1e-6
    groove = Groove(
        wire_mm=d, depth_mm=design.depth_mm, width_mm=design.width_mm, diameter_mm=100.0
    )
    fit = fit_of(groove)
    assert fit.press_mm == pytest.approx(press * d, abs=1e-12)
    assert fit.stand_mm == pytest.approx((low + high) / 2, abs=1e-9)
    assert fit.stand_upper_mm - fit.stand_mm == pytest.approx(design.rise_mm, abs=1e-12)


def test_the_way_back_for_the_trades_wire() -> None:
    """0.041 in wire, 3 thou press, 8 to 9 thou stand: groove 0.0325 deep, 0.038 wide by hand."""
    design = groove_for(
        Wanted(
            wire_mm=0.041 * IN,
            stand_low_mm=0.008 * IN,
            stand_high_mm=0.009 * IN,
            press_mm=0.003 * IN,
        )
    )

    assert isinstance(design, GrooveDesign)
    assert design.depth_mm / IN == pytest.approx(0.0325)
    assert design.width_mm / IN == pytest.approx(0.038)
    assert design.tol_depth_mm / IN == pytest.approx(0.0005)
    assert design_sentence(design, show=THOU).startswith(
        "Cut the groove 0.0325 in deep (0.0320 to 0.0330 holds the stand) and 0.0380 in wide;"
    )


def test_a_stand_above_half_the_wire_is_refused() -> None:
    refused = groove_for(Wanted(wire_mm=1.0, stand_low_mm=0.55, stand_high_mm=0.65, press_mm=0.03))

    assert isinstance(refused, Refused)
    assert refused.code == "stand-too-high"


def test_the_wire_list_by_hand() -> None:
    rings = rings_of(two_bores(), diameter_mm=110.0, width_mm=1.0)
    listed = wire_list(rings, gap_mm=0.1, filing_mm=0.6, kerf_mm=1.5, spare_count=1)
    each = 110.0 * pi + 0.5

    assert [row.cylinder for row in listed.rows] == ["1", "2"]
    assert [row.cut_length_mm for row in listed.rows] == pytest.approx([each, each])
    assert listed.rows[0].ring_length_mm == pytest.approx(110.0 * pi - 0.1)
    assert listed.rings_count == 3
    assert listed.total_mm == pytest.approx(3 * each + 3 * 1.5)


def test_wrong_calls_say_what_is_wrong() -> None:
    with pytest.raises(InputError, match=r"above 0 mm, got 1, 0, 0\.9, 100"):
        Groove(wire_mm=1.0, depth_mm=0.0, width_mm=0.9, diameter_mm=100.0)
    with pytest.raises(InputError, match="cannot run round"):
        Groove(wire_mm=1.0, depth_mm=0.8, width_mm=0.9, diameter_mm=0.9)
    with pytest.raises(InputError, match="gap from 0 mm"):
        ring_length_mm(10.0, gap_mm=40.0)
    with pytest.raises(InputError, match="filed off"):
        cut_length_mm(10.0, filing_mm=-0.1)
    with pytest.raises(InputError, match="from a low to a high limit"):
        groove_for(Wanted(wire_mm=1.0, stand_low_mm=0.3, stand_high_mm=0.2, press_mm=0.03))
    with pytest.raises(InputError, match="less than the wire"):
        groove_for(Wanted(wire_mm=1.0, stand_low_mm=0.1, stand_high_mm=0.2, press_mm=1.0))
    with pytest.raises(InputError, match="tolerance smaller than itself"):
        groove_for(
            Wanted(wire_mm=1.0, stand_low_mm=0.1, stand_high_mm=0.2, press_mm=0, tol_wire_mm=2)
        )
    with pytest.raises(InputError, match="at least one ring"):
        wire_list(())
    with pytest.raises(InputError, match="below its diameter"):
        rings_of(two_bores(), diameter_mm=1.0, width_mm=1.0)
