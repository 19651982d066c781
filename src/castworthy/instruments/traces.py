"""Surface traces from X3P, SDF and CSV files."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Profile
from castworthy.instruments.columns import Columns, read_columns
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.grid import profile_of, profiles_across
from castworthy.instruments.looks import Format, format_of, not_readable
from castworthy.instruments.sdf import read_sdf
from castworthy.instruments.spacing import JITTER_RATIO, spacing_of
from castworthy.instruments.surface import Measured
from castworthy.instruments.x3p import read_x3p

WANTED = "x_mm,z_um"
"""What a CSV's first line might say."""

_TALLEST_UM = 20_000.0
_FARTHEST_UM = 1e7

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

    Returns
    -------
    TraceFile
        One profile, or up to nine across the lay where the file holds a surface.

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


def _from_grid(found: Measured, *, file: str) -> TraceFile:
    _check_height(found.height_um, file=file)
    if found.is_profile:
        profile, notes = profile_of(found.height_um[0], spacing_mm=found.dx_mm, file=file)
        return TraceFile(kind=found.kind, profiles=(profile,), notes=(*found.notes, *notes))
    taken = profiles_across(found, file=file)
    return TraceFile(
        kind=f"{found.kind}, {taken.words}",
        profiles=taken.profiles,
        notes=(*found.notes, *taken.notes),
    )


def _from_columns(found: Columns, *, file: str) -> TraceFile:
    height_um = found.values["z"]
    height_um[~np.isfinite(height_um)] = np.nan
    _check_height(height_um, file=file)
    profile, notes = profile_of(height_um, spacing_mm=_spacing(found, file=file), file=file)
    return TraceFile(kind="CSV profile", profiles=(profile,), notes=tuple(notes))


def _spacing(found: Columns, *, file: str) -> float:
    """The even spacing of x, or what a comment says."""
    x_mm = found.values.get("x")
    if x_mm is None:
        if found.spacing_mm is None:
            raise InstrumentError(
                f"{file}: the spacing of the points is not known; write a column x_mm, or a "
                "comment such as # spacing_mm = 0.0005."
            )
        return found.spacing_mm
    if not np.isfinite(x_mm).all():
        line = found.line_of(int(np.isfinite(x_mm).argmin()))
        raise InstrumentError(f"{file}, line {line}: x is missing; every row needs its place.")
    if len(x_mm) < 2:
        raise InstrumentError(f"{file} holds 1 point, and a trace needs many; trace it again.")
    spacing = spacing_of(x_mm)
    if spacing.bad_count is not None and not spacing.backward:
        spacing = spacing_of(x_mm, digit_mm=found.digit_mm())
    if spacing.bad_count is None:
        return spacing.spacing_mm
    line = found.line_of(spacing.bad_count)
    if spacing.backward:
        raise InstrumentError(
            f"{file}, line {line}: x must grow from row to row (it goes by "
            f"{spacing.bad_step_mm:.6g} mm here); export one trace a file, in order."
        )
    raise InstrumentError(
        f"{file}, line {line}: the points are not evenly spaced (a step of "
        f"{spacing.bad_step_mm:.6g} mm where {spacing.spacing_mm:.6g} mm is usual, and "
        f"{JITTER_RATIO:.0%} may differ); export the trace with an even spacing."
    )


def _check_height(height_um: Floats, *, file: str) -> None:
    """Whether the heights can be those of a machined face; a wrong unit shows here."""
    if np.isnan(height_um).all():
        raise InstrumentError(f"{file} holds no height at all; trace it again.")
    high, low = (float(end.reduce(height_um, axis=None)) for end in (np.fmax, np.fmin))
    tall_um = high - low
    if tall_um > _TALLEST_UM:
        raise InstrumentError(
            f"{file} is {tall_um / 1000:.3g} mm from top to bottom, which no machined face is; "
            "check the unit of its heights."
        )
    if max(high, -low) > _FARTHEST_UM:
        raise InstrumentError(
            f"{file} lies {max(high, -low) / 1000:.3g} mm off nought, which no instrument reads; "
            "check the unit of its heights."
        )
