"""The joint beside a stud: plain cases by hand, and every direction tried as an oracle."""

from math import atan2, cos, degrees, hypot, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.sealing.decks import two_bores, water
from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet, Opening, Stud
from castworthy.calc.outcome import Refused
from castworthy.calc.sealing.joint import CLEAR_MM, NARROW_MM, Joint, clock_words, joint_of
from castworthy.calc.sealing.joint import joint_sentence as sentence_of
from castworthy.calc.sealing.lands import lands_of
from castworthy.calc.sealing.wire import Ring, rings_of
from castworthy.units import Show

R = 55.0
STEP = 2.0 * pi / 20_000


def first_ring(sheet: HeadSheet) -> Ring:
    return rings_of(sheet, diameter_mm=2 * R, width_mm=2.0)[0]


def joint_on(sheet: HeadSheet, *, insert_wall_mm: float = 0.0) -> Joint | Refused:
    rings = rings_of(sheet, diameter_mm=2 * R, width_mm=2.0)
    lands = lands_of(sheet, rings=rings, insert_wall_mm=insert_wall_mm)[0]
    return joint_of(rings[0], sheet=sheet, lands=lands)


def at(angle_deg: float, away_mm: float) -> tuple[float, float]:
    """A spot seen from the first bore's middle."""
    turn = radians(angle_deg)
    return 80.0 + away_mm * cos(turn), 100.0 + away_mm * sin(turn)


def stud(name: str, *, angle_deg: float, away_mm: float) -> Stud:
    x, y = at(angle_deg, away_mm)
    return Stud(name=name, x_mm=x, y_mm=y, diameter_mm=12.0)


def passage(name: str, *, angle_deg: float, away_mm: float, diameter_mm: float = 10.0) -> Opening:
    x, y = at(angle_deg, away_mm)
    return water(name, x_mm=x, y_mm=y, diameter_mm=diameter_mm)


def test_the_joint_starts_beside_the_nearest_stud() -> None:
    """Clamping is greatest beside a head bolt: common practice, no source."""
    sheet = two_bores(
        studs=(
            stud("S1", angle_deg=60.0, away_mm=80.0),
            stud("S2", angle_deg=250.0, away_mm=90.0),
        )
    )
    joint = joint_on(sheet)

    # The narrowest land in one place is that to valve 1A, straight left.
    assert isinstance(joint, Joint)
    assert (joint.stud, joint.stud_mm) == ("S1", pytest.approx(25.0))
    assert joint.angle_deg == pytest.approx(60.0)
    assert (joint.x_mm, joint.y_mm) == pytest.approx(at(60.0, R))
    assert (joint.passage, joint.passage_mm) == ("", None)
    assert sentence_of(joint, show=Show(length="mm")) == (
        "Cylinder 1: start the ring at 1 o'clock (107.50, 147.63 mm), beside stud S1, 25.00 mm "
        "from its middle, where clamping is greatest; it keeps clear of the narrow land to the "
        "seat of 1A at 9 o'clock."
    )


def test_a_passage_between_ring_and_stud_moves_the_joint_aside() -> None:
    """Just far enough that CLEAR_MM of metal is left to the passage, to one side or the other."""
    sheet = two_bores(
        studs=(stud("S1", angle_deg=60.0, away_mm=80.0),),
        openings=(passage("W1", angle_deg=62.0, away_mm=62.5),),
    )
    # The insert of valve 1A leaves 1 mm straight left: that is the narrowest land, not W1's 1.5 mm.
    joint = joint_on(sheet, insert_wall_mm=13.0)

    assert isinstance(joint, Joint)
    assert joint.passage_mm == pytest.approx(CLEAR_MM)
    assert joint.angle_deg < 60.0
    assert joint.stud_mm > 25.0


def test_the_narrowest_land_is_kept_clear_of() -> None:
    """A stud whose own land is the narrowest: the joint goes beside it."""
    sheet = two_bores(studs=(stud("S1", angle_deg=60.0, away_mm=64.0),))
    joint = joint_on(sheet)

    assert isinstance(joint, Joint)
    assert [each.called for each in joint.narrow] == ["stud hole S1"]
    x, y = at(60.0, R)
    assert hypot(joint.x_mm - x, joint.y_mm - y) == pytest.approx(NARROW_MM)


def test_of_equal_studs_the_one_far_from_the_narrowest_land() -> None:
    """Four corner studs alike; the narrowest land is to the valve straight left."""
    joint = joint_on(
        two_bores(studs=tuple(stud(f"S{a}", angle_deg=a, away_mm=80.0) for a in (40, 140, 220)))
    )

    assert isinstance(joint, Joint)
    assert joint.stud == "S40"


def test_a_deck_without_studs_or_room_is_refused() -> None:
    without = joint_on(two_bores(studs=()))
    flooded = joint_on(
        two_bores(openings=(passage("W1", angle_deg=0.0, away_mm=1.0, diameter_mm=160.0),))
    )

    assert isinstance(without, Refused)
    assert without.sentence == (
        "The joint of cylinder 1 cannot be placed: the sheet has no studs. Add the studs to the "
        "sheet."
    )
    assert isinstance(flooded, Refused)
    assert flooded.code == "no-clear-place"


def test_more_distance_than_the_ring_is_wide_is_refused() -> None:
    sheet = two_bores()
    ring = first_ring(sheet)
    lands = lands_of(sheet, rings=(ring,))[0]
    just, past = (
        joint_of(ring, sheet=sheet, lands=lands, narrow_mm=keep) for keep in (2 * R, 2 * R + 0.1)
    )

    assert isinstance(just, Joint)
    assert just.angle_deg == pytest.approx(0.0)
    assert isinstance(past, Refused)


holes = st.tuples(st.floats(0.0, 360.0), st.floats(20.0, 90.0), st.floats(4.0, 40.0))


@settings(max_examples=60)
@given(
    studs=st.lists(
        st.tuples(st.floats(0.0, 360.0), st.floats(62.0, 110.0)), min_size=1, max_size=4
    ),
    openings=st.lists(holes, max_size=5),
)
def test_no_direction_does_better(
    studs: list[tuple[float, float]], openings: list[tuple[float, float, float]]
) -> None:
    """Twenty thousand directions, each kept or thrown out by plain distances."""
    sheet = two_bores(
        studs=tuple(stud(f"S{n}", angle_deg=a, away_mm=r) for n, (a, r) in enumerate(studs)),
        openings=tuple(
            passage(f"W{n}", angle_deg=a, away_mm=r, diameter_mm=d)
            for n, (a, r, d) in enumerate(openings)
        ),
    )
    joint = joint_on(sheet)
    turn = np.arange(0.0, 2.0 * pi, STEP)
    x, y = 80.0 + R * np.cos(turn), 100.0 + R * np.sin(turn)
    kept = np.ones_like(turn, dtype=bool)
    for hole in sheet.openings:
        reach = hole.diameter_mm / 2 + CLEAR_MM
        kept &= np.hypot(x - hole.x_mm, y - hole.y_mm) >= reach
    ring = first_ring(sheet)
    for land in lands_of(sheet, rings=rings_of(sheet, diameter_mm=2 * R, width_mm=2.0))[
        0
    ].narrowest_places:
        nx, ny = at(land.angle_deg or 0.0, ring.diameter_mm / 2)
        kept &= np.hypot(x - nx, y - ny) >= NARROW_MM
    off = np.min([np.hypot(x - s.x_mm, y - s.y_mm) for s in sheet.studs], axis=0)

    if isinstance(joint, Refused):
        assert not kept.any()
    elif kept.any():
        best = off[kept].min()
        assert joint.stud_mm <= best + 1e-9
        nearest = round(radians(joint.angle_deg) / STEP) % len(turn)
        around = [(nearest + k) % len(turn) for k in (-1, 0, 1)]
        assert kept[around].any() or joint.passage_mm == pytest.approx(CLEAR_MM)
        assert joint.stud_mm == pytest.approx(off[nearest], abs=R * STEP)


def test_angle_and_spot_agree() -> None:
    joint = joint_on(two_bores())

    assert isinstance(joint, Joint)
    seen = degrees(atan2(joint.y_mm - 100.0, joint.x_mm - 80.0)) % 360.0
    assert joint.angle_deg == pytest.approx(seen)


@pytest.mark.parametrize(
    ("angle_deg", "words"),
    [
        (90.0, "12 o'clock"),
        (0.0, "3 o'clock"),
        (270.0, "6 o'clock"),
        (180.0, "9 o'clock"),
        (75.0, "half past 12"),
        (359.9, "3 o'clock"),
        (105.0, "half past 11"),
    ],
)
def test_a_clocks_face(angle_deg: float, words: str) -> None:
    assert clock_words(angle_deg) == words


def test_wrong_calls_say_what_is_wrong() -> None:
    sheet = two_bores()
    ring = first_ring(sheet)
    lands = lands_of(sheet, rings=(ring,))[0]
    with pytest.raises(InputError, match="kept clear are 0 mm or more"):
        joint_of(ring, sheet=sheet, lands=lands, clear_mm=-1.0)
