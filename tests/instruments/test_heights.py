"""Heights of a deck read from every format."""

from collections.abc import Callable

import numpy as np
import pytest

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.heights import read_heights
from instruments import files


def test_columns_with_their_units() -> None:
    read = read_heights(b"x_in,y_in,z_thou\n0,0,0.5\n10,0,-0.5\n0,5,\n10,5,0.1\n", file="deck")
    assert read.heights.x_mm == pytest.approx([0.0, 254.0, 254.0])
    assert read.heights.z_mm == pytest.approx([0.0127, -0.0127, 0.00254])
    assert read.notes == ("1 point without a height was left out.",)


@pytest.mark.parametrize("write", [files.x3p, files.sdf])
def test_a_height_map(write: Callable[..., bytes]) -> None:
    surface = np.arange(12.0).reshape(3, 4)
    read = read_heights(write(surface, spacing_mm=2.0), file="deck")
    assert len(read.heights.z_mm) == 12
    assert read.heights.x_mm.max() == pytest.approx(6.0)
    assert read.heights.y_mm.max() == pytest.approx(4.0)
    assert read.heights.z_mm.reshape(3, 4)[2, 3] == pytest.approx(0.011, abs=1e-6)


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"x_mm,z_mm\n0,0\n1,1\n", "column y is missing"),
        (b"0,0,0\n1,1,1\n", "x_mm,y_mm,z_mm"),
        (b"x_mm,y_mm,z\n0,0,0\n", "no unit"),
        (b"x_mm,y_mm,z_mm\n0,0,a\n", "'a' is no number"),
        (b"x_mm,y_mm,z_mm\n", "no rows"),
        (b"x_mm,y_in,z_mm\n0,0,0\n", "different units"),
        (b"x_mm,y_mm,z_mm\n0,0,1\n,5,1\n", "line 3: x or y is missing"),
        (b"x_mm,y_mm,z_mm\n0,0,\n1,0,nan\n", "no height at all"),
        (files.x3p(files.wave_um(100)), "one profile"),
    ],
)
def test_what_is_refused(raw: bytes, says: str) -> None:
    with pytest.raises(InstrumentError, match=says):
        read_heights(raw, file="deck")


def test_more_points_than_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("castworthy.instruments.heights.MOST_POINTS", 11)
    with pytest.raises(InstrumentError, match="12 points, and at most 11 are read"):
        read_heights(files.x3p(np.zeros((3, 4)), spacing_mm=2.0), file="deck")
