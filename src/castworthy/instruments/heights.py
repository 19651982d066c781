"""Heights of a deck from CSV, X3P and SDF files."""

from dataclasses import dataclass

import numpy as np

from castworthy.calc.deck.form import Heights
from castworthy.instruments.columns import Columns, read_columns
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.looks import READABLE, Format, format_of, looks_like
from castworthy.instruments.surface import Measured, read_sdf, read_x3p

WANTED = "x_mm,y_mm,z_mm"
"""What a CSV's first line says."""
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

    Raises
    ------
    InstrumentError
        With one sentence: what it looks like, what is wrong, what can be read.

    """
    match format_of(raw):
        case Format.X3P:
            return _from_surface(read_x3p(raw, file=file), file=file)
        case Format.SDF:
            return _from_surface(read_sdf(raw, file=file), file=file)
        case Format.COLUMNS:
            return _from_columns(read_columns(raw, file=file, wanted=WANTED), file=file)
        case _:
            seen = looks_like(raw) or "something that is no text"
            raise InstrumentError(f"{file} looks like {seen}; {READABLE}.")


def _from_surface(found: Measured, *, file: str) -> HeightsFile:
    rows, columns = found.height_um.shape
    if rows < 2:
        raise InstrumentError(f"{file} is one profile; a deck's form needs heights over its face.")
    x, y = np.meshgrid(found.dx_mm * np.arange(columns), found.dy_mm * np.arange(rows))
    heights = Heights(x_mm=x.ravel(), y_mm=y.ravel(), z_mm=found.height_um.ravel() / _UM_PER_MM)
    return _kept(heights, kind=found.kind, file=file)


def _from_columns(found: Columns, *, file: str) -> HeightsFile:
    missing = [axis for axis in "xyz" if axis not in found.values]
    if missing:
        raise InstrumentError(
            f"{file}: column {missing[0]} is missing. Write a first line such as {WANTED}."
        )
    heights = Heights(
        x_mm=found.values["x"],
        y_mm=found.values["y"],
        z_mm=found.values["z"] / _UM_PER_MM,
    )
    return _kept(heights, kind="CSV heights", file=file)


def _kept(heights: Heights, *, kind: str, file: str) -> HeightsFile:
    """The points that were measured; too many are refused."""
    axes = (heights.x_mm, heights.y_mm, heights.z_mm)
    there = np.isfinite(axes[0]) & np.isfinite(axes[1]) & np.isfinite(axes[2])
    left = int(len(there) - there.sum())
    count = int(there.sum())
    if not count:
        raise InstrumentError(f"{file} holds no height at all. Measure the deck again.")
    if count > MOST_POINTS:
        raise InstrumentError(
            f"{file} holds {count} points; at most {MOST_POINTS} are read. Thin the scan first."
        )
    notes = (f"{left} points without a height were left out.",) if left else ()
    return HeightsFile(
        kind=kind,
        heights=Heights(x_mm=axes[0][there], y_mm=axes[1][there], z_mm=axes[2][there]),
        notes=notes,
    )
