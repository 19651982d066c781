"""What made a surface: common practice, no source; every deck here is made by known rules."""

import numpy as np
import pytest

from calc.texture.decks import cusps, deck, random_heights
from castworthy.calc.texture.filtering import levelled
from castworthy.calc.texture.made_by import made_by
from castworthy.calc.texture.marks import find_repeats, folded_share_ratio, thinned
from castworthy.calc.texture.profile import MadeBy, Mark

SPACING_MM = 0.001


def told(height_um: np.ndarray, *, feed_set_mm: float | None = None) -> MadeBy:
    trace = thinned(levelled(height_um), spacing_mm=SPACING_MM)
    return made_by(find_repeats(trace, cutoff_mm=None), feed_set_mm=feed_set_mm)


def x_mm(length_mm: float) -> np.ndarray:
    return np.arange(round(length_mm / SPACING_MM)) * SPACING_MM


def test_fewer_than_one_false_call_in_a_hundred() -> None:
    rng = np.random.default_rng(20_261_125)
    wrong = 0
    for _ in range(1000):
        made = deck(rng)
        spacing_mm = made.profile.spacing_mm
        trace = thinned(levelled(made.profile.height_um), spacing_mm=spacing_mm)
        answer = made_by(find_repeats(trace, cutoff_mm=None), feed_set_mm=made.feed_set_mm)
        right_pitch = made.pitch_mm is None or (
            answer.pitch_mm is not None and abs(answer.pitch_mm / made.pitch_mm - 1.0) < 0.02
        )
        wrong += answer.kind is not made.kind or not right_pitch

    assert wrong < 10


def test_milled_deck_in_straight_words() -> None:
    x = x_mm(5.6)
    noise = random_heights(
        np.random.default_rng(1), count=len(x), spacing_mm=SPACING_MM, grain_mm=0.004, rms_um=0.29
    )

    answer = told(cusps(x, feed_mm=0.112, height_um=2.0) + noise + 3.0 * x, feed_set_mm=0.110)

    # Cusps of height h have variance 4 h^2 / 45; 0.596 um rms against 0.29 um leaves 81 %.
    assert answer.kind is Mark.FEED
    assert answer.pitch_mm == pytest.approx(0.112, rel=1e-3)
    assert answer.share_ratio == pytest.approx(0.81, abs=0.03)
    assert answer.sentence.startswith("Milled: marks every 0.112 mm carry ")
    assert answer.sentence.endswith(" % of the height; the machine was set to 0.110 mm.")


@pytest.mark.parametrize("share", [0.3, 0.5, 0.9])
def test_share_is_what_was_put_in(share: float) -> None:
    x = x_mm(8.0)
    marks = cusps(x, feed_mm=0.2, height_um=3.0)
    rng = np.random.default_rng(2)
    noise = random_heights(
        rng,
        count=len(x),
        spacing_mm=SPACING_MM,
        grain_mm=0.003,
        rms_um=float(marks.std() * np.sqrt(1.0 / share - 1.0)),
    )

    found = folded_share_ratio(
        thinned(levelled(marks + noise), spacing_mm=SPACING_MM), pitch_mm=0.2
    )

    assert found == pytest.approx(share, abs=0.03)


def test_pitch_is_that_of_two_uneven_inserts_not_of_each() -> None:
    x = x_mm(5.6)
    deep = cusps(x, feed_mm=0.1, height_um=3.0)
    every_other = 0.8 * np.cos(2.0 * np.pi * x / 0.2)

    assert told(deep + every_other).pitch_mm == pytest.approx(0.2, rel=1e-3)


def test_narrow_grooves_keep_their_pitch_though_overtones_are_strong() -> None:
    x = x_mm(5.6)
    grooves = -3.0 * np.exp(-0.5 * (((x / 0.15) % 1.0 - 0.5) / 0.06) ** 2)

    assert told(grooves).pitch_mm == pytest.approx(0.15, rel=1e-3)


def test_ground_deck_has_no_pitch() -> None:
    z = random_heights(
        np.random.default_rng(3), count=5600, spacing_mm=SPACING_MM, grain_mm=0.01, rms_um=0.6
    )

    answer = told(z, feed_set_mm=0.11)

    assert answer.kind is Mark.STONE
    assert answer.pitch_mm is None
    assert answer.sentence.startswith("Belt or stone: no mark repeats")


def test_long_waves_under_feed_marks_are_chatter() -> None:
    x = x_mm(17.5)
    z = cusps(x, feed_mm=0.11, height_um=2.0) + 2.0 * np.sin(2.0 * np.pi * x / 2.4)

    answer = told(z, feed_set_mm=0.11)

    assert answer.kind is Mark.CHATTER
    assert answer.pitch_mm == pytest.approx(2.4, rel=0.01)
    assert "waves every 2.4 mm, which no feed of 0.110 mm makes" in answer.sentence


def test_one_slow_swell_is_no_chatter() -> None:
    x = x_mm(17.5)
    z = cusps(x, feed_mm=0.11, height_um=2.0) + 6.0 * np.sin(2.0 * np.pi * x / 12.0)

    assert told(z, feed_set_mm=0.11).kind is Mark.FEED


def test_a_pitch_no_feed_makes_is_chatter_only_where_the_feed_is_known() -> None:
    z = cusps(x_mm(8.0), feed_mm=0.31, height_um=2.0)

    assert told(z).kind is Mark.FEED
    assert told(z, feed_set_mm=0.12).kind is Mark.CHATTER


def test_each_of_four_even_inserts_leaves_its_mark() -> None:
    answer = told(cusps(x_mm(8.0), feed_mm=0.1, height_um=2.0), feed_set_mm=0.4)

    assert answer.kind is Mark.FEED
    assert "one mark for each of 4 inserts" in answer.sentence


def test_chatter_at_three_and_a_half_feeds_is_not_hidden_by_the_feed() -> None:
    x = x_mm(8.0)
    z = cusps(x, feed_mm=0.16, height_um=2.0) + 1.2 * np.sin(2.0 * np.pi * x / 0.56)

    answer = told(z, feed_set_mm=0.16)

    assert answer.kind is Mark.CHATTER
    assert answer.pitch_mm == pytest.approx(0.56, rel=5e-3)
    assert "on feed marks every 0.160 mm" in answer.sentence


def test_a_cutoff_for_fine_marks_does_not_hide_coarse_chatter() -> None:
    x = x_mm(12.5)
    z = cusps(x, feed_mm=0.1, height_um=2.0) + 1.2 * np.sin(2.0 * np.pi * x / 1.23)

    trace = thinned(levelled(z), spacing_mm=SPACING_MM)
    answer = made_by(find_repeats(trace, cutoff_mm=0.25), feed_set_mm=0.1)

    assert answer.kind is Mark.CHATTER
    assert answer.pitch_mm == pytest.approx(1.23, rel=5e-3)
