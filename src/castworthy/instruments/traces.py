"""Surface traces from X3P, SDF and CSV files."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Profile
from castworthy.instruments.columns import Columns, read_columns
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.grid import profile_of, profiles_across
from castworthy.instruments.looks import READABLE, Format, format_of, looks_like
from castworthy.instruments.surface import Measured, read_sdf, read_x3p

WANTED = "x_mm,z_um"
"""What a CSV's first line says."""

_UNEVEN = 0.25
_TALLEST_UM = 20_000.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceFile:
    """What a file holds: ``kind`` in words, its profiles, notes on what was done to them."""

    kind: str
    profiles: tuple[Profile, ...]
    notes: tuple[str, ...]


def read_traces(raw: bytes, *, file: str) -> TraceFile:
    """The traces of a file; its format is told by its content.

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


def _from_surface(found: Measured, *, file: str) -> TraceFile:
    _check_height(found.height_um, file=file)
    if len(found.height_um) == 1:
        profile, notes = profile_of(found.height_um[0], spacing_mm=found.dx_mm, file=file)
        return TraceFile(kind=found.kind, profiles=(profile,), notes=tuple(notes))
    profiles, notes = profiles_across(
        found.height_um, dx_mm=found.dx_mm, dy_mm=found.dy_mm, file=file
    )
    return TraceFile(kind=found.kind, profiles=profiles, notes=tuple(notes))


def _from_columns(found: Columns, *, file: str) -> TraceFile:
    height_um = found.values["z"]
    height_um[~np.isfinite(height_um)] = np.nan
    _check_height(height_um, file=file)
    spacing_mm = _spacing(found, file=file)
    profile, notes = profile_of(height_um, spacing_mm=spacing_mm, file=file)
    return TraceFile(kind="CSV profile", profiles=(profile,), notes=tuple(notes))


def _spacing(found: Columns, *, file: str) -> float:
    """The even spacing of x, or what a comment says.

    A point may stand off the even grid by a quarter of the spacing at most, which rounding of x
    in the file explains.
    """
    x_mm = found.values.get("x")
    if x_mm is None:
        if found.spacing_mm is None:
            raise InstrumentError(
                f"{file}: the spacing is not known. Write a column x_mm, or a comment such as "
                "# spacing_mm = 0.0005."
            )
        return found.spacing_mm
    count = len(x_mm)
    if count < 2 or not np.isfinite(x_mm).all():
        raise InstrumentError(
            f"{file}: every row needs its x, and a trace needs more than one. Mend the file."
        )
    steps = np.diff(x_mm)
    if (steps <= 0.0).any():
        line = found.line_of_first + int(np.flatnonzero(steps <= 0.0)[0]) + 1
        raise InstrumentError(
            f"{file}, about line {line}: x must grow from row to row. Export the trace again, "
            "one trace a file."
        )
    spacing_mm = float((x_mm[-1] - x_mm[0]) / (count - 1))
    even = x_mm[0] + spacing_mm * np.arange(count)
    off = np.abs(x_mm - even)
    worst = int(off.argmax())
    if off[worst] > _UNEVEN * spacing_mm:
        raise InstrumentError(
            f"{file}, about line {found.line_of_first + worst}: the points are not evenly spaced "
            f"({off[worst] / spacing_mm:.0%} of a spacing off). Export the trace with an even "
            "spacing."
        )
    return spacing_mm


def _check_height(height_um: Floats, *, file: str) -> None:
    there = height_um[np.isfinite(height_um)]
    if not there.size:
        raise InstrumentError(f"{file} holds no height at all. Trace it again.")
    tall_um = float(there.max() - there.min())
    if tall_um > _TALLEST_UM:
        raise InstrumentError(
            f"{file} is {tall_um / 1000:.3g} mm from top to bottom, which no machined face is; "
            "check the unit of its heights."
        )
