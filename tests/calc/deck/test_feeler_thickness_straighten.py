"""Feeler gaps, thickness over the jacket, and straightening first."""

from itertools import product

import numpy as np
import pytest

from calc.deck.faces import heights
from castworthy.calc.deck.feeler import (
    FeelerFlatness,
    Gap,
    Settled,
    feeler_flatness,
    feeler_sentence,
    settle,
)
from castworthy.calc.deck.flatness import minimum_zone
from castworthy.calc.deck.straighten import straighten_first
from castworthy.calc.deck.thickness import CoreShift, ThicknessPoint, thickness_map
from castworthy.calc.errors import InputError
from castworthy.units import Show

THOU, MM = Show(length="thou"), Show(length="mm")
T = 0.0254


def line(*leaves: tuple[float, float | None], name: str = "front edge") -> list[Gap]:
    """Gaps 100 mm apart along y = 0, leaves in thou."""
    return [
        Gap(
            line=name,
            x_mm=100.0 * i,
            y_mm=0.0,
            goes_mm=goes * T,
            stops_mm=None if stops is None else stops * T,
        )
        for i, (goes, stops) in enumerate(leaves)
    ]


def test_a_hollow_between_two_touching_ends() -> None:
    # By hand: ends between 0 and 1 under the edge, the middle between 2 and 3: the sag is least
    # with the ends 1 low and the middle 2 low (1), most with the ends at 0 and the middle at 3.
    found = feeler_flatness(line((0, 1), (2, 3), (0, 1)))

    assert found.low_um == pytest.approx(1 * T * 1e3)
    assert found.high_um == pytest.approx(3 * T * 1e3)
    assert found.lines[0].line == "front edge"


def test_bounds_against_every_corner_and_many_inner_points() -> None:
    """Brute force: no straightness that the leaves allow lies outside the bounds."""
    gaps = line((0, 1.5), (1, 2), (2, 4), (0, 1), (3, 5))
    found = feeler_flatness(gaps)
    rng = np.random.default_rng(3)
    x = np.array([g.x_mm for g in gaps])
    low, high = (
        np.array([-v for v in vs])
        for vs in zip(*[(g.stops_mm, g.goes_mm) for g in gaps], strict=True)
    )
    corners = [np.where(pick, high, low) for pick in product([True, False], repeat=5)]
    inner = [rng.uniform(low, high) for _ in range(300)]
    widths = [minimum_zone(heights(x, 0 * x, z)).flatness_um for z in corners + inner]

    assert found.high_um == pytest.approx(max(widths), rel=1e-6)
    assert found.low_um <= min(widths) * (1 + 1e-6)


def test_lines_are_bounded_one_by_one() -> None:
    found = feeler_flatness(
        [*line((0, 1), (2, 3), (0, 1)), *line((0, 1), (5, 6), (0, 1), name="diagonal")]
    )

    assert [each.line for each in found.lines] == ["front edge", "diagonal"]
    assert found.low_um == pytest.approx(4 * T * 1e3)
    assert found.high_um == pytest.approx(6 * T * 1e3)


def test_no_leaf_that_stops_bounds_nothing_above() -> None:
    found = feeler_flatness(line((0, 1), (3, None), (0, 1)))

    assert found.high_um is None
    assert settle(found, high_mm=5 * T) is Settled.UNSETTLED
    assert settle(found, high_mm=1 * T) is Settled.OUTSIDE
    assert feeler_sentence(found, high_mm=5 * T, leaf_step_mm=T, show=THOU) == (
        "No leaf tried stops everywhere, so 5 thou is not settled: try thicker ones."
    )


def test_the_edge_itself_may_be_out() -> None:
    found = feeler_flatness(line((0, 1), (3, 4), (0, 1)), edge_error_mm=0.4 * T)

    assert (found.low_um, found.high_um) == pytest.approx((1.6 * T * 1e3, 4.4 * T * 1e3))


def test_two_places_show_no_hollow() -> None:
    found = feeler_flatness(line((0, 1), (2, 3)))

    assert (found.low_um, found.high_um) == (0.0, 0.0)


def between(low: float, high: float) -> FeelerFlatness:
    return FeelerFlatness(low_um=low * T * 1e3, high_um=high * T * 1e3, lines=())


@pytest.mark.parametrize(
    ("low", "high", "settled", "sentence"),
    [
        (
            1,
            3,
            Settled.UNSETTLED,
            "A feeler set in steps of 1 thou cannot settle 2 thou. The gaps say between 1 thou "
            "and 3 thou: an indicator can.",
        ),
        (2, 3, Settled.UNSETTLED, "A feeler set in steps of 1 thou cannot settle 2 thou."),
        (
            0,
            2,
            Settled.INSIDE,
            "Along the lines tried the deck is flat within 2 thou: inside 2 thou.",
        ),
        (2.5, 4, Settled.OUTSIDE, "The deck is out of flat by 2.5 thou or more: past 2 thou."),
    ],
)
def test_what_leaves_settle(low: float, high: float, settled: Settled, sentence: str) -> None:
    found = between(low, high)

    assert settle(found, high_mm=2 * T) is settled
    said = feeler_sentence(found, high_mm=2 * T, leaf_step_mm=T, show=THOU)
    assert said.startswith(sentence)


def test_loose_leaves_have_no_step() -> None:
    said = feeler_sentence(between(1, 3), high_mm=0.05, leaf_step_mm=None, show=MM)

    assert said == (
        "These leaves cannot settle 0.050 mm. The gaps say between 0.025 mm and 0.076 mm: an "
        "indicator can."
    )


@pytest.mark.parametrize("gaps", [[], line((3, 2)), line((-1, 2))])
def test_wrong_leaves(gaps: list[Gap]) -> None:
    with pytest.raises(InputError):
        feeler_flatness(gaps)


def jacket(thick: list[float], *, stock: float = 0.0) -> list[ThicknessPoint]:
    """Four places along the front, four along the rear."""
    return [
        ThicknessPoint(
            name=f"T{i + 1}",
            x_mm=100.0 * (i % 4),
            y_mm=20.0 if i < 4 else 180.0,
            thickness_mm=t,
            stock_mm=stock,
        )
        for i, t in enumerate(thick)
    ]


def test_core_shift_is_named() -> None:
    # By hand: front 9.0, rear 10.1 everywhere.
    found = thickness_map(jacket([9.0] * 4 + [10.1] * 4), show=MM)

    assert found.shifts == (
        CoreShift(thin_side="front", thick_side="rear", difference_mm=pytest.approx(1.1)),
    )
    assert "Thin on the front side: 1.100 mm less than the rear; the core moved." in found.sentences
    assert (found.thinnest, found.spread_mm) == ("T1", pytest.approx(1.1))


def test_scatter_is_no_core_shift() -> None:
    even = thickness_map(jacket([9.9, 10.1, 10.0, 9.8, 10.0, 9.9, 10.1, 10.0]), show=MM)
    in_line = thickness_map(jacket([9.0, 10.0, 11.0, 12.0])[:3], show=MM)

    assert even.shifts == in_line.shifts == ()


def test_deck_left_and_cuts_left() -> None:
    # By hand: 10.0 - 0.1 planned - 9.5 least = 0.4 left, three cuts of 0.12 (and 0.04 over).
    found = thickness_map(
        jacket([10.0, 10.4, 10.5, 10.6], stock=0.1), show=MM, least_mm=9.5, cut_each_mm=0.12
    )
    first = found.left[0]

    assert (first.after_mm, first.left_mm, first.cuts_count) == (
        pytest.approx(9.9),
        pytest.approx(0.4),
        3,
    )
    assert found.sentences[-1] == (
        "0.400 mm left at T1 before the least thickness: 3 cuts of 0.120 mm."
    )


def test_a_whole_number_of_cuts_is_counted_whole() -> None:
    found = thickness_map(jacket([10.0]), show=MM, least_mm=9.7, cut_each_mm=0.1)

    assert found.left[0].cuts_count == 3


def test_a_deck_too_thin_is_said() -> None:
    found = thickness_map(jacket([9.0]), show=THOU, least_mm=9.0 + 2 * T)

    assert found.sentences == (
        "Thinnest at T1: 0.3543 in.",
        "The deck at T1 is too thin by 2.0 thou.",
    )
    assert found.left[0].cuts_count is None


def test_without_a_least_thickness_nothing_is_counted() -> None:
    found = thickness_map(jacket([9.0]), show=MM, cut_each_mm=0.1)

    assert (found.left[0].left_mm, found.left[0].cuts_count) == (None, None)
    assert found.sentences == ("Thinnest at T1: 9.000 mm.",)


def test_wrong_thickness() -> None:
    for points, each in (([], 0.1), (jacket([0.0]), 0.1), (jacket([9.0]), 0.0)):
        with pytest.raises(InputError):
            thickness_map(points, show=MM, cut_each_mm=each)


def test_straighten_first_when_an_overhead_cam_head_is_bowed() -> None:
    advice = straighten_first(-4.1 * T, straighten_above_mm=3 * T, overhead_cam=True, show=THOU)

    # By hand: shims of half the bow.
    assert advice.first
    assert advice.shim_mm == pytest.approx(2.05 * T)
    assert advice.sentence.startswith(
        "Straighten before surfacing: the bow of 4.1 thou is past 3.0 thou, and cutting trues the "
        "face, not the cam bores."
    )


@pytest.mark.parametrize(
    ("above", "overhead", "sentence"),
    [
        (3 * T, False, "No cam runs in this head: it is cut as it is."),
        (None, True, "The sheet says no bow to straighten above; this head is bowed by 3.0 thou."),
        (
            3 * T,
            True,
            "A bow of 3.0 thou may be cut as it is: the sheet straightens above 3.0 thou.",
        ),
    ],
)
def test_cut_as_it_is(above: float | None, overhead: bool, sentence: str) -> None:
    advice = straighten_first(3 * T, straighten_above_mm=above, overhead_cam=overhead, show=THOU)

    assert (advice.first, advice.sentence) == (False, sentence)


def test_a_negative_bound_is_a_wrong_call() -> None:
    with pytest.raises(InputError, match="is not negative"):
        straighten_first(0.1, straighten_above_mm=-1.0, overhead_cam=True, show=MM)
