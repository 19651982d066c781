"""Rows of heights put in order: gaps filled where they are short, profiles taken off a surface."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.texture.profile import Profile
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.surface import Measured

LONGEST_GAP_COUNT = 5
"""Most points in a row that are filled by a straight line."""
LARGEST_GAP_RATIO = 0.01
"""Share of a trace's points that must not be reached by those filled."""
PROFILES_COUNT = 9
"""Most profiles taken off a surface, evenly spread."""
FEWEST_POINTS = 16
"""Fewest points of a trace that can be evaluated at all."""

_CLEAR_LAY_RATIO = 1.5
_LINES_LOOKED_AT = 200

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A line of heights without gaps: how many points were filled, how many ends cut away."""

    height_um: Floats
    filled_count: int = 0
    longest_count: int = 0
    cut_count: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Profiles off a surface: how many and which way in words, and notes."""

    profiles: tuple[Profile, ...]
    words: str
    notes: tuple[str, ...]


def filled(height_um: Floats) -> Filled | None:
    """A line with its short gaps filled and its empty ends cut away; ``None`` where it cannot be.

    ``height_um`` has shape (n,), NaN where nothing was measured.
    """
    missing = np.isnan(height_um)
    if not missing.any():
        return Filled(height_um=height_um) if len(height_um) >= FEWEST_POINTS else None
    first, last = int(missing.argmin()), len(missing) - int(missing[::-1].argmin())
    line, gaps = height_um[first:last].copy(), missing[first:last]
    count, longest = int(gaps.sum()), _longest(gaps)
    if (
        len(line) - count < FEWEST_POINTS
        or longest > LONGEST_GAP_COUNT
        or (count and count >= LARGEST_GAP_RATIO * len(line))
    ):
        return None
    at = np.flatnonzero(gaps)
    line[at] = np.interp(at, np.flatnonzero(~gaps), line[~gaps])
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
        If it holds too few points, or its gaps are too long to fill.

    """
    count = int(np.count_nonzero(~np.isnan(height_um)))
    if count < FEWEST_POINTS:
        raise InstrumentError(
            f"{file} holds {_points(count)}, and a trace needs {FEWEST_POINTS} at the very least; "
            "trace it again."
        )
    found = filled(height_um)
    if found is None:
        missing = np.isnan(height_um)
        raise InstrumentError(
            f"{file}: {int(missing.sum())} of {len(height_um)} points are missing, "
            f"{_longest(missing)} in a row, where at most {LONGEST_GAP_COUNT} in a row and less "
            "than 1 % in all are filled; trace it again."
        )
    profile = Profile(
        spacing_mm=spacing_mm,
        height_um=found.height_um,
        name=file,
        filled_count=found.filled_count,
    )
    return profile, _notes([found])


def profiles_across(found: Measured, *, file: str) -> Taken:
    """Profiles across the lay of a surface, evenly spread over it.

    The lay runs along the axis with the smaller mean square slope; profiles are taken along the
    other.

    Raises
    ------
    InstrumentError
        If no line of it is whole enough.

    """
    along_x, ratio = _across(found)
    lines = found.height_um if along_x else found.height_um.T
    spread, passed = _spread(lines)
    if not spread:
        raise InstrumentError(
            f"{file}: none of its lines is whole enough to be a trace, which takes "
            f"{FEWEST_POINTS} points and at most {LONGEST_GAP_COUNT} missing in a row; measure "
            "it again."
        )
    profiles = tuple(
        Profile(
            spacing_mm=found.dx_mm if along_x else found.dy_mm,
            height_um=line.height_um,
            name=f"{file}, line {row + 1}",
            filled_count=line.filled_count,
        )
        for row, line in spread
    )
    count, along = len(profiles), "x" if along_x else "y"
    clear = ratio >= _CLEAR_LAY_RATIO
    said = f"{count} profile{'' if count == 1 else 's'}"
    return Taken(
        profiles=profiles,
        words=f"{said} across the lay" if clear else f"{said} along {along}",
        notes=(
            f"{said} {_were(count)} taken along {along}"
            f"{', across the lay' if clear else '; the surface shows no clear lay'}.",
            *_notes([line for _, line in spread]),
            *([f"{_lines(passed)} with long gaps {_were(passed)} passed over."] if passed else []),
        ),
    )


def _across(found: Measured) -> tuple[bool, float]:
    """Whether profiles run along x, and how much steeper that way is than the other."""
    rows = found.height_um[:: _every(len(found.height_um))]
    columns = found.height_um[:, :: _every(found.height_um.shape[1])]
    x = _slope(rows, axis=1) / found.dx_mm
    y = _slope(columns, axis=0) / found.dy_mm
    low, high = min(x, y), max(x, y)
    return x >= y, high / low if low > 0.0 else np.inf


def _every(count: int) -> int:
    return max(1, count // _LINES_LOOKED_AT)


def _slope(surface_um: Floats, *, axis: int) -> float:
    """Root of the mean square step; the spacing divides it later."""
    steps = np.diff(surface_um, axis=axis)
    there = steps[~np.isnan(steps)]
    return float(np.sqrt(np.mean(there**2))) if there.size else 0.0


def _spread(lines: Floats) -> tuple[list[tuple[int, Filled]], int]:
    """Whole lines evenly spread, each the nearest to its place; how many gapped were passed."""
    spread: list[tuple[int, Filled]] = []
    passed: set[int] = set()
    count = min(PROFILES_COUNT, len(lines))
    width = len(lines) / count
    for place in range(count):
        band = range(round(place * width), round((place + 1) * width))
        middle = (band.start + band.stop - 1) / 2
        for row in sorted(band, key=lambda row: abs(row - middle)):
            line = filled(np.ascontiguousarray(lines[row]))
            if line is not None:
                spread.append((row, line))
                break
            passed.add(row)
    return spread, len(passed)


def _longest(missing: NDArray[np.bool_]) -> int:
    """Length of the longest run of missing points."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], missing, [False])).astype(np.int8)))
    return int((edges[1::2] - edges[::2]).max()) if len(edges) else 0


def _notes(found: list[Filled]) -> list[str]:
    notes = []
    if count := sum(line.filled_count for line in found):
        longest = max(line.longest_count for line in found)
        notes.append(
            f"{count} missing point{'' if count == 1 else 's'} {_were(count)} filled (longest gap "
            f"{_points(longest)})."
        )
    if count := sum(line.cut_count for line in found):
        notes.append(
            f"{count} empty point{'' if count == 1 else 's'} at the ends {_were(count)} left out."
        )
    return notes


def _points(count: int) -> str:
    return f"{count} point{'' if count == 1 else 's'}"


def _lines(count: int) -> str:
    return f"{count} line{'' if count == 1 else 's'}"


def _were(count: int) -> str:
    return "was" if count == 1 else "were"
