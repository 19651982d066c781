"""Stands judged all round, the step at the joint, the groove after a later deck cut."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.sealing.groove import Groove, fit_of
from castworthy.calc.sealing.ring_readings import (
    STEP_HIGH_MM,
    RingReadings,
    RingVerdict,
    after_deck_cut,
    deck_cut_sentence,
    judge_ring,
    ring_sentences,
)
from castworthy.units import Show

MM, THOU = Show(length="mm"), Show(length="thou")
LIMIT = Limit(quantity=Quantity.RING_STAND, low=0.20, high=0.25)
GROOVE = Groove(wire_mm=1.20, depth_mm=0.97, width_mm=1.14, diameter_mm=118.0)


def readings(
    *around: float, before: float | None = 0.225, after: float | None = 0.225, u: float = 0.002
) -> RingReadings:
    return RingReadings(
        cylinder="3", around_mm=around, before_joint_mm=before, after_joint_mm=after, u_mm=u
    )


def judged(ring: RingReadings, **extra: float) -> RingVerdict:
    verdict = judge_ring(ring, limit=LIMIT, confidence_probability=0.95, **extra)
    assert isinstance(verdict, RingVerdict)
    return verdict


def test_a_sound_ring() -> None:
    verdict = judged(readings(0.22, 0.225, 0.23, 0.225, before=0.22, after=0.23))

    assert verdict.verdict is Verdict.INSIDE
    assert [each.place for each in verdict.judgements] == [
        "3 at 12 o'clock",
        "3 at 3 o'clock",
        "3 at 6 o'clock",
        "3 at 9 o'clock",
        "3 before the joint",
        "3 after the joint",
    ]
    assert verdict.step_mm == pytest.approx(0.01)
    assert verdict.spread_mm == pytest.approx(0.01)
    assert ring_sentences(verdict, show=MM) == (
        "The ring of cylinder 3 is inside all round: it stands 0.220 mm to 0.230 mm above the "
        "deck and steps 0.010 mm across its joint.",
    )


def test_one_high_place_is_named() -> None:
    verdict = judged(readings(0.22, 0.28, 0.23, 0.225))

    assert verdict.verdict is Verdict.OUTSIDE
    assert ring_sentences(verdict, show=MM) == (
        "The ring of cylinder 3 at 3 o'clock stands out too far by 0.030 mm.",
    )


def test_near_a_limit_is_too_close_to_call() -> None:
    verdict = judged(readings(0.22, 0.249, 0.23, 0.225))

    assert verdict.verdict is Verdict.CLOSE
    assert "too close to call" in ring_sentences(verdict, show=MM)[0]


@given(before=st.floats(0.21, 0.24), after=st.floats(0.21, 0.24), high=st.floats(0.005, 0.03))
def test_the_step_across_the_joint(before: float, after: float, high: float) -> None:
    """All stands inside: only the step can put the ring outside, to 1 nm."""
    ring = readings(0.22, 0.22, 0.22, 0.22, before=before, after=after)
    verdict = judged(ring, step_high_mm=high)

    assert verdict.step_mm == abs(before - after)
    assert verdict.step_inside == (abs(before - after) <= high + 1e-6)
    assert (verdict.verdict is Verdict.INSIDE) == verdict.step_inside
    steps = [s for s in ring_sentences(verdict, show=THOU) if "file the ends square" in s]
    assert bool(steps) == (not verdict.step_inside)


def test_a_thou_is_the_largest_step_where_none_is_set() -> None:
    """0.001 in: value from memory."""
    assert pytest.approx(0.0254, abs=0.0005) == STEP_HIGH_MM


@pytest.mark.parametrize(
    ("ring", "lacking"),
    [
        (readings(0.22, 0.22, 0.22), "1 of 4 places round it not read"),
        (readings(0.22, 0.22, 0.22, 0.22, after=None), "1 of the 2 sides of its joint not read"),
        (
            readings(0.22, before=None, after=None),
            "3 of 4 places round it and 2 of the 2 sides of its joint not read",
        ),
    ],
)
def test_places_not_read_are_asked_for(ring: RingReadings, lacking: str) -> None:
    refused = judge_ring(ring, limit=LIMIT, confidence_probability=0.95)

    assert isinstance(refused, Refused)
    assert refused.code == "places-missing"
    assert lacking in refused.sentence
    assert refused.sentence.endswith(
        "Read the stand at 12, 3, 6 and 9 o'clock and on both sides of the joint."
    )


def test_more_places_than_four() -> None:
    verdict = judged(readings(0.22, 0.22, 0.22, 0.22, 0.30))

    assert verdict.judgements[4].place == "3 at place 5"
    assert verdict.verdict is Verdict.OUTSIDE


@given(cut=st.floats(0.0, 0.96))
def test_a_later_deck_cut_makes_the_groove_shallower(cut: float) -> None:
    after = after_deck_cut(GROOVE, deck_cut_mm=cut)
    left = Groove(wire_mm=1.20, depth_mm=0.97 - cut, width_mm=1.14, diameter_mm=118.0)

    assert after.depth_mm == pytest.approx(0.97 - cut)
    assert after.stand_mm == pytest.approx(fit_of(left).stand_mm)
    assert after.stand_upper_mm == pytest.approx(fit_of(left).stand_upper_mm)
    assert after.recut_mm == cut
    assert after.needs_recutting == (cut > 1e-6)


def test_a_deck_cut_in_words() -> None:
    """4 thou off a groove 0.032 in deep for 0.041 in wire: 0.028 left, stands 13 thou."""
    groove = Groove(wire_mm=0.041 * 25.4, depth_mm=0.032 * 25.4, width_mm=0.9652, diameter_mm=118.0)

    assert deck_cut_sentence(after_deck_cut(groove, deck_cut_mm=0.004 * 25.4), show=THOU) == (
        "The deck cut of 4.0 thou leaves the groove 0.0280 in deep, where the wire would stand "
        "13.0 thou: take the ring out before the cut, recut the groove by 4.0 thou after it, and "
        "fit a new ring."
    )
    assert deck_cut_sentence(after_deck_cut(groove, deck_cut_mm=0.0), show=THOU) == ""
    gone = after_deck_cut(groove, deck_cut_mm=1.0)
    assert gone.depth_mm == 0.0
    assert "takes the groove away" in deck_cut_sentence(gone, show=THOU)


def test_wrong_calls_say_what_is_wrong() -> None:
    with pytest.raises(InputError, match="0 mm or more"):
        after_deck_cut(GROOVE, deck_cut_mm=-0.1)
    with pytest.raises(InputError, match="largest step is above 0 mm"):
        judge_ring(
            readings(0.22, 0.22, 0.22, 0.22),
            limit=LIMIT,
            confidence_probability=0.95,
            step_high_mm=0.0,
        )
    with pytest.raises(InputError, match="cannot be judged by a limit of flatness"):
        judge_ring(
            readings(0.22, 0.22, 0.22, 0.22),
            limit=Limit(quantity=Quantity.FLATNESS, high=0.1),
            confidence_probability=0.95,
        )
