"""Compression ratio, what cuts do to it, and the spread between cylinders."""

from dataclasses import replace
from math import pi, radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from uncertainties import ufloat

from castworthy.calc.chamber.cut import (
    RoomCut,
    ValveSink,
    chamber_change_cm3,
    deck_cut_for_chamber_mm,
    ratio_change,
    room_after,
)
from castworthy.calc.chamber.room import (
    CylinderRoom,
    chamber_for_ratio_cm3,
    compression_ratio,
    disc_cm3,
    spread_of,
)
from castworthy.calc.errors import InputError

ROOM = CylinderRoom(
    name="1",
    bore_mm=107.0,
    stroke_mm=124.0,
    chamber_cm3=8.0,
    gasket_bore_mm=109.0,
    gasket_mm=1.30,
    bowl_cm3=48.0,
    deck_clearance_mm=-0.35,
)
VALVES = (
    ValveSink(diameter_mm=37.0, sink_mm=0.30, u_sink_mm=0.02),
    ValveSink(diameter_mm=34.0, sink_mm=0.20, u_sink_mm=0.02),
)
CUT = RoomCut(deck_cut_mm=0.15, area_mm2=2200.0, valves=VALVES, u_deck_cut_mm=0.01)

rooms = st.builds(
    CylinderRoom,
    name=st.just("1"),
    bore_mm=st.floats(80, 140),
    stroke_mm=st.floats(80, 160),
    chamber_cm3=st.floats(5, 80),
    gasket_bore_mm=st.floats(80, 145),
    gasket_mm=st.floats(0.8, 2),
    bowl_cm3=st.floats(20, 90),
    deck_clearance_mm=st.floats(-0.6, 0.6),
)


def test_plain_identity() -> None:
    """No published figure: 100.00 cc and 823.70 cc swept make (100 + 823.7) / 100 by hand."""
    stroke = 823.70 * 1000 / (pi / 4 * 100**2)
    room = CylinderRoom(
        name="1",
        bore_mm=100.0,
        stroke_mm=stroke,
        chamber_cm3=100.0,
        gasket_bore_mm=100.0,
        gasket_mm=0.0,
    )

    assert compression_ratio(room).ratio == pytest.approx(9.237, rel=1e-12)


def test_every_part_by_hand() -> None:
    found = compression_ratio(ROOM)
    area = pi / 4 / 1000

    assert found.swept_cm3 == pytest.approx(area * 107**2 * 124)
    assert found.gasket_cm3 == pytest.approx(area * 109**2 * 1.30)
    assert found.deck_cm3 == pytest.approx(-area * 107**2 * 0.35)
    clearance = 8 + 48 + found.gasket_cm3 + found.deck_cm3
    assert found.clearance_cm3 == pytest.approx(clearance)
    assert found.ratio == pytest.approx(1 + found.swept_cm3 / clearance)
    assert ROOM.piston_to_head_mm == pytest.approx(0.95)


@given(room=rooms, wanted=st.floats(8, 14))
def test_there_and_back(room: CylinderRoom, wanted: float) -> None:
    bare = replace(room, bowl_cm3=0.0, gasket_mm=0.8, deck_clearance_mm=0.0)
    chamber = chamber_for_ratio_cm3(bare, wanted_ratio=wanted)

    assert compression_ratio(replace(bare, chamber_cm3=chamber)).ratio == pytest.approx(wanted)


@given(room=rooms)
def test_less_room_is_more_ratio(room: CylinderRoom) -> None:
    base = compression_ratio(room).ratio

    assert compression_ratio(replace(room, chamber_cm3=room.chamber_cm3 - 1)).ratio > base
    assert compression_ratio(replace(room, gasket_mm=room.gasket_mm + 0.1)).ratio < base
    assert (
        compression_ratio(replace(room, deck_clearance_mm=room.deck_clearance_mm - 0.1)).ratio
        > base
    )


def test_uncertainty_is_first_order() -> None:
    """Oracle: the uncertainties package through the whole sum."""
    bore, chamber = ufloat(107, 0.01), ufloat(8, 0.1)
    gasket, bowl, deck = ufloat(1.30, 0.02), ufloat(48, 0.2), ufloat(-0.35, 0.01)
    swept = pi / 4 * bore**2 * 124 / 1000
    clearance = chamber + bowl + pi / 4 * (109**2 * gasket + bore**2 * deck) / 1000
    ratio = (swept + clearance) / clearance
    found = compression_ratio(
        replace(
            ROOM,
            u_bore_mm=0.01,
            u_chamber_cm3=0.1,
            u_gasket_mm=0.02,
            u_bowl_cm3=0.2,
            u_deck_clearance_mm=0.01,
        )
    )

    assert found.ratio == pytest.approx(ratio.nominal_value)
    assert found.u_ratio == pytest.approx(ratio.std_dev, rel=1e-4)
    assert found.u_clearance_cm3 == pytest.approx(clearance.std_dev, rel=1e-6)
    assert compression_ratio(ROOM).u_ratio is None
    assert replace(ROOM, u_gasket_mm=0.03, u_deck_clearance_mm=0.04).u_piston_to_head_mm == (
        pytest.approx(0.05)
    )


def test_cuts_by_hand() -> None:
    change = ratio_change(ROOM, cut=CUT)
    by_hand = -2200 * 0.15 / 1000 + pi / 4 * (37**2 * 0.30 + 34**2 * 0.20) / 1000

    assert change.chamber_change_cm3 == pytest.approx(by_hand)
    assert change.after.chamber_cm3 == pytest.approx(8 + by_hand)
    assert change.ratio_change == pytest.approx(change.after.ratio - change.before.ratio)
    known = room_after(replace(ROOM, u_chamber_cm3=0.1), cut=CUT)
    valves = (pi / 4 * 37**2 * 0.02 / 1000, pi / 4 * 34**2 * 0.02 / 1000)
    assert known.u_chamber_cm3**2 == pytest.approx(
        0.1**2 + (2200 * 0.01 / 1000) ** 2 + valves[0] ** 2 + valves[1] ** 2
    )


def _room_in_the_head(*, depth: float, sink: float) -> float:
    """Volume [mm3] between the deck and a sunk valve's head in a straight pocket, by quadrature.

    The pocket is 50 mm across and ``depth`` deep; the valve, 40 mm across at its face's edge, lies
    0.4 mm below the pocket's floor with a 45 degree face; ``sink`` lowers it.
    """

    def height(r: float) -> float:
        if r < 20:
            return depth + 0.4 + sink
        slope = tan(radians(45))
        return max(depth, depth + 0.4 + sink - 1.5 - slope * (r - 20))

    volume, _ = quad(lambda r: 2 * pi * r * height(r), 0, 25, points=[20], epsabs=1e-9)
    return volume


@settings(max_examples=30)
@given(cut=st.floats(0, 0.5), sink=st.floats(0, 0.5))
def test_change_is_the_room_integrated(cut: float, sink: float) -> None:
    """Exact geometry: the valve's margin (1.5 mm) shields the seat, so only its disc moves."""
    before, after = _room_in_the_head(depth=2, sink=0), _room_in_the_head(depth=2 - cut, sink=sink)
    change = chamber_change_cm3(
        RoomCut(
            deck_cut_mm=cut,
            area_mm2=pi / 4 * 50**2,
            valves=(ValveSink(diameter_mm=40, sink_mm=sink),),
        )
    )

    assert change * 1000 == pytest.approx(after - before, abs=1e-5)


@given(wanted=st.floats(6, 8))
def test_deck_cut_for_a_chamber(wanted: float) -> None:
    cut = deck_cut_for_chamber_mm(ROOM, wanted_chamber_cm3=wanted, area_mm2=2200, valves=VALVES)
    after = room_after(ROOM, cut=replace(CUT, deck_cut_mm=cut))

    assert after.chamber_cm3 == pytest.approx(wanted)


def test_a_deck_cut_over_the_whole_bore() -> None:
    """dV = pi/4 B^2 dh and rc' = 1 + Vd / (Vc - dV): 0.2 mm off 100 mm across are 1.571 cm3."""
    room = CylinderRoom(
        name="1",
        bore_mm=100,
        stroke_mm=100,
        chamber_cm3=50,
        gasket_bore_mm=100,
        gasket_mm=0,
    )
    found = ratio_change(room, cut=RoomCut(deck_cut_mm=0.2, area_mm2=pi / 4 * 100**2))

    assert found.chamber_change_cm3 == pytest.approx(-1.5708, abs=5e-5)
    assert found.after.ratio == pytest.approx(1 + 785.398 / (50 - 1.5708), abs=1e-4)


def test_spread_between_cylinders() -> None:
    four = [
        replace(ROOM, name=str(i), chamber_cm3=8.0 + 0.2 * i, u_chamber_cm3=0.1) for i in range(4)
    ]
    found = spread_of(four)

    assert (found.highest.name, found.lowest.name) == ("0", "3")
    assert found.clearance_spread_cm3 == pytest.approx(0.6)
    assert found.spread_ratio == pytest.approx(
        compression_ratio(four[0]).ratio - compression_ratio(four[3]).ratio
    )
    assert found.u_spread_ratio > found.highest.u_ratio
    assert spread_of([ROOM, replace(ROOM, name="2")]).u_spread_ratio is None


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: replace(ROOM, bore_mm=0.0),
        lambda: replace(ROOM, bowl_cm3=-1.0),
        lambda: compression_ratio(replace(ROOM, deck_clearance_mm=-9.0)),
        lambda: chamber_for_ratio_cm3(ROOM, wanted_ratio=1.0),
        lambda: chamber_for_ratio_cm3(ROOM, wanted_ratio=40.0),
        lambda: room_after(ROOM, cut=replace(CUT, deck_cut_mm=-0.1)),
        lambda: room_after(ROOM, cut=replace(CUT, deck_cut_mm=9.0)),
        lambda: room_after(ROOM, cut=replace(CUT, area_mm2=0.0)),
        lambda: deck_cut_for_chamber_mm(ROOM, wanted_chamber_cm3=8, area_mm2=0, valves=()),
        lambda: spread_of([ROOM]),
    ],
)
def test_wrong_calls_are_told(wrong: object) -> None:
    with pytest.raises(InputError, match="got"):
        wrong()


def test_disc() -> None:
    assert disc_cm3(diameter_mm=20, height_mm=10) == pytest.approx(pi)
