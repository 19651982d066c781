"""Rows of heights put in order: gaps filled where they are short, profiles taken off a surface."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Profile
from castworthy.instruments.errors import InstrumentError

LONGEST_GAP_COUNT = 5
"""Most points in a row that are filled by a straight line."""
LARGEST_GAP_RATIO = 0.01
"""Largest share of a trace's points that is filled."""
PROFILES_COUNT = 9
"""Profiles taken off a surface, evenly spread."""
FEWEST_POINTS = 16

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A line of heights without gaps: how many points were filled, how many ends cut away."""

    height_um: Floats
    filled_count: int
    longest_count: int
    cut_count: int


def filled(height_um: Floats) -> Filled | None:
    """A line with its short gaps filled and its empty ends cut away; ``None`` where it cannot be.

    ``height_um`` has shape (n,), NaN where nothing was measured.
    """
    missing = np.isnan(height_um)
    there = np.flatnonzero(~missing)
    if len(there) < FEWEST_POINTS:
        return None
    first, last = int(there[0]), int(there[-1])
    line, gaps = height_um[first : last + 1].copy(), missing[first : last + 1]
    count = int(gaps.sum())
    if not count:
        return Filled(
            height_um=line,
            filled_count=0,
            longest_count=0,
            cut_count=len(height_um) - len(line),
        )
    longest = _longest(gaps)
    if longest > LONGEST_GAP_COUNT or count > LARGEST_GAP_RATIO * len(line):
        return None
    at = np.arange(len(line))
    line[gaps] = np.interp(at[gaps], at[~gaps], line[~gaps])
    return Filled(
        height_um=line,
        filled_count=count,
        longest_count=longest,
        cut_count=len(height_um) - len(line),
    )


def profile_of(height_um: Floats, *, spacing_mm: float, file: str) -> tuple[Profile, list[str]]:
    """One trace with notes on what was filled.

    Raises
    ------
    InstrumentError
        If its gaps are too long to fill.

    """
    found = filled(height_um)
    if found is None:
        missing = np.isnan(height_um)
        raise InstrumentError(
            f"{file}: {int(missing.sum())} of {len(height_um)} points are missing, "
            f"{_longest(missing)} in a row; at most {LONGEST_GAP_COUNT} in a row and 1 % in all "
            "are filled. Trace it again."
        )
    profile = Profile(
        spacing_mm=spacing_mm,
        height_um=found.height_um,
        name=file,
        filled_count=found.filled_count,
    )
    return profile, _notes(found)


def profiles_across(
    surface_um: Floats, *, dx_mm: float, dy_mm: float, file: str
) -> tuple[tuple[Profile, ...], list[str]]:
    """Profiles across the lay of a surface, evenly spread over it.

    The lay runs along the axis with the gentler slopes; profiles are taken along the other.

    Raises
    ------
    InstrumentError
        If no line of it is whole enough.

    """
    along_x = _slope(surface_um, axis=1) / dx_mm >= _slope(surface_um, axis=0) / dy_mm
    lines = surface_um if along_x else surface_um.T
    spacing_mm = dx_mm if along_x else dy_mm
    rows = np.unique(np.linspace(0, len(lines) - 1, PROFILES_COUNT + 2).round().astype(int))
    rows = rows[1:-1] if len(rows) > PROFILES_COUNT else rows
    found = [(row, filled(np.asarray(lines[row], dtype=np.float64))) for row in rows]
    whole = [(row, line) for row, line in found if line is not None]
    if not whole:
        raise InstrumentError(
            f"{file}: no line of this surface is whole enough to be a trace; at most "
            f"{LONGEST_GAP_COUNT} points in a row may be missing. Measure it again."
        )
    profiles = tuple(
        Profile(
            spacing_mm=spacing_mm,
            height_um=line.height_um,
            name=f"{file}, line {row + 1}",
            filled_count=line.filled_count,
        )
        for row, line in whole
    )
    notes = [
        f"{len(profiles)} profiles were taken across the lay, along {'x' if along_x else 'y'}."
    ]
    count = sum(line.filled_count for _, line in whole)
    if count:
        notes.append(f"{count} missing points were filled in them.")
    if len(whole) < len(found):
        notes.append(f"{len(found) - len(whole)} lines with long gaps were left out.")
    return profiles, notes


def _slope(surface_um: Floats, *, axis: int) -> float:
    steps = np.diff(surface_um, axis=axis)
    there = steps[~np.isnan(steps)]
    return float(np.sqrt(np.mean(there**2))) if there.size else 0.0


def _longest(missing: NDArray[np.bool_]) -> int:
    """Length of the longest run of missing points."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], missing, [False])).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max()) if len(edges) else 0


def _notes(found: Filled) -> list[str]:
    notes = []
    if found.filled_count:
        one = found.filled_count == 1
        notes.append(
            f"{found.filled_count} missing point{' was' if one else 's were'} filled "
            f"(longest gap {found.longest_count})."
        )
    if found.cut_count:
        notes.append(f"{found.cut_count} empty points at the ends were left out.")
    return notes
