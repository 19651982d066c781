"""Outlines: closed, simple, and what lies on them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castworthy.sheets.outline import check_outline, inside

SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0))
NOTCHED = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (60.0, 60.0), (60.0, 30.0), (0.0, 30.0))


@pytest.mark.parametrize("corners", [SQUARE, NOTCHED, SQUARE[::-1]])
def test_sound_outlines(corners: tuple[tuple[float, float], ...]) -> None:
    assert check_outline(corners_mm=corners) == ""


@pytest.mark.parametrize(
    ("corners", "sentence"),
    [
        ((*SQUARE, SQUARE[0]), "the same corner stands here twice; the line closes by itself."),
        (((0.0, 0.0), (50.0, 0.0), (100.0, 0.0)), "the corners enclose no area."),
        (
            (SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3]),
            "the outline crosses itself; give the corners in the order of the edge.",
        ),
    ],
)
def test_unsound_outlines(corners: tuple[tuple[float, float], ...], sentence: str) -> None:
    assert check_outline(corners_mm=corners) == sentence


@given(x=st.floats(-50, 150), y=st.floats(-50, 110))
def test_a_rectangle_knows_its_spots(x: float, y: float) -> None:
    assert inside(x_mm=x, y_mm=y, corners_mm=SQUARE) == (
        -1e-6 <= x <= 100.000001 and -1e-6 <= y <= 60.000001
    )


@given(x=st.floats(1, 99), y=st.floats(1, 59))
def test_a_notch_is_off_the_deck(x: float, y: float) -> None:
    off = x < 60.0 and y > 30.0

    assert inside(x_mm=x, y_mm=y, corners_mm=NOTCHED) != (off and not on_edge(x, y))


def on_edge(x: float, y: float) -> bool:
    return abs(x - 60.0) < 1e-5 or abs(y - 30.0) < 1e-5


@pytest.mark.parametrize(
    "spot", [(0.0, 0.0), (50.0, 0.0), (100.0, 60.0), (60.0, 45.0), (30.0, 30.0)]
)
def test_the_edge_belongs_to_the_deck(spot: tuple[float, float]) -> None:
    assert inside(x_mm=spot[0], y_mm=spot[1], corners_mm=NOTCHED)
