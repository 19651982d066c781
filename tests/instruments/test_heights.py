"""Heights of a deck read from every format."""

import numpy as np
import pytest

from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.heights import read_heights
from instruments import files


def test_columns_with_their_units() -> None:
    read = read_heights(b"x_in,y_in,z_thou\n0,0,0.5\n10,0,-0.5\n0,5,\n10,5,0.1\n", file="deck")
    assert read.heights.x_mm == pytest.approx([0.0, 254.0, 254.0])
    assert read.heights.z_mm == pytest.approx([0.0127, -0.0127, 0.00254])
    assert read.notes == ("1 points without a height were left out.",)


@pytest.mark.parametrize("write", [files.x3p, files.sdf])
def test_a_height_map(write: object) -> None:
    surface = np.arange(12.0).reshape(3, 4)
    read = read_heights(write(surface, spacing_mm=2.0), file="deck")  # type: ignore[operator]
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
        (files.x3p(files.wave_um(100)), "one profile"),
    ],
)
def test_what_is_refused(raw: bytes, says: str) -> None:
    with pytest.raises(InstrumentError, match=says):
        read_heights(raw, file="deck")
