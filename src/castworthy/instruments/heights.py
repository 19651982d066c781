"""Heights of a deck from CSV, X3P and SDF files."""

from dataclasses import dataclass

import numpy as np

from castworthy.calc.deck.form import Heights
from castworthy.instruments.columns import Columns, read_columns
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.looks import Format, format_of, not_readable
from castworthy.instruments.sdf import read_sdf
from castworthy.instruments.surface import Measured
from castworthy.instruments.x3p import read_x3p

WANTED = "x_mm,y_mm,z_mm"
"""What a CSV's first line might say."""
MOST_POINTS = 5_000_000

_UM_PER_MM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightsFile:
    """What a file holds: ``kind`` in words, the heights, notes on what was left out."""

    kind: str
    heights: Heights
    notes: tuple[str, ...]


def read_heights(raw: bytes, *, file: str) -> HeightsFile:
    """The heights of a file; its format is told by its content.

    Parameters
    ----------
    raw : bytes
        The file as it is.
    file : str
        What sentences call it.

    Returns
    -------
    HeightsFile
        Every point that has a height, up to five million.

    Raises
    ------
    InstrumentError
        With one sentence: what it looks like or what is wrong, and the way out.

    """
    match format_of(raw):
        case Format.X3P:
            return _from_grid(read_x3p(raw, file=file), file=file)
        case Format.SDF:
            return _from_grid(read_sdf(raw, file=file), file=file)
        case Format.COLUMNS:
            return _from_columns(read_columns(raw, file=file, wanted=WANTED), file=file)
        case _:
            raise not_readable(raw, file=file)


def _from_grid(found: Measured, *, file: str) -> HeightsFile:
    if found.is_profile:
        raise InstrumentError(
            f"{file} is one profile, and a deck's form needs heights over its face; measure a grid."
        )
    _check_count(found.height_um.size, file=file)
    rows, columns = found.height_um.shape
    x, y = np.meshgrid(found.dx_mm * np.arange(columns), found.dy_mm * np.arange(rows))
    heights = Heights(x_mm=x.ravel(), y_mm=y.ravel(), z_mm=found.height_um.ravel() / _UM_PER_MM)
    return _kept(heights, kind=found.kind, file=file, notes=found.notes)


def _from_columns(found: Columns, *, file: str) -> HeightsFile:
    for axis in "xy":
        if axis not in found.values:
            raise InstrumentError(
                f"{file}: column {axis} is missing; write a first line such as {WANTED}."
            )
    x, y, z = (found.values[axis] for axis in "xyz")
    _check_count(len(z), file=file)
    placed = np.isfinite(x) & np.isfinite(y)
    if not placed.all():
        line = found.line_of(int(placed.argmin()))
        raise InstrumentError(
            f"{file}, line {line}: x or y is missing; every height needs its place."
        )
    heights = Heights(x_mm=x, y_mm=y, z_mm=z / _UM_PER_MM)
    return _kept(heights, kind="CSV heights", file=file)


def _check_count(count: int, *, file: str) -> None:
    if count > MOST_POINTS:
        raise InstrumentError(
            f"{file} holds {count} points, and at most {MOST_POINTS} are read; thin the scan first."
        )


def _kept(heights: Heights, *, kind: str, file: str, notes: tuple[str, ...] = ()) -> HeightsFile:
    """The points that have a height."""
    there = np.isfinite(heights.z_mm)
    left = int(np.count_nonzero(~there))
    if left == len(there):
        raise InstrumentError(f"{file} holds no height at all; measure the deck again.")
    if not left:
        return HeightsFile(kind=kind, heights=heights, notes=notes)
    kept = Heights(x_mm=heights.x_mm[there], y_mm=heights.y_mm[there], z_mm=heights.z_mm[there])
    said = f"{left} point{'' if left == 1 else 's'} without a height {_were(left)} left out."
    return HeightsFile(kind=kind, heights=kept, notes=(*notes, said))


def _were(count: int) -> str:
    return "was" if count == 1 else "were"
