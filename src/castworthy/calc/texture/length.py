"""The cut-off and the evaluation length that a trace gets."""

from dataclasses import dataclass
from math import floor

import numpy as np

from castworthy.calc.texture.cutoff import (
    CUTOFFS,
    SECTIONS_COUNT,
    CutoffRow,
    cutoff_for_ra,
    cutoff_for_spacing,
)
from castworthy.calc.texture.filtering import mean_line
from castworthy.calc.texture.marks import Repeat, Thinned
from castworthy.calc.texture.profile import Ends

START_CUTOFF_MM = 0.8
FEWEST_POINTS_COUNT = 16
"""Points in a section below which its parameters mean nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The cut-off taken and what chose it; ``wanted_mm`` where the trace could not hold it."""

    cutoff_mm: float
    reason: str
    wanted_mm: float | None = None
    by_table: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Which points of the trace are evaluated."""

    first_count: int
    points_count: int
    sections_count: int

    @property
    def inside(self) -> slice:
        """The points as a slice of the trace."""
        return slice(self.first_count, self.first_count + self.points_count * self.sections_count)


def span(points_count: int, *, spacing_mm: float, cutoff_mm: float, ends: Ends) -> Span | None:
    """Lay up to five sections of one cut-off into the middle of a trace.

    Parameters
    ----------
    points_count : int
        Points of the trace.
    spacing_mm, cutoff_mm : float
        Distance between points and cut-off [mm].
    ends : Ends
        Dropped ends cost half a cut-off on each side.

    Returns
    -------
    Span or None
        ``None`` where not one section fits, or a section holds fewer than 16 points.

    References
    ----------
    ISO 4288:1996, 4.4 (five sampling lengths); ISO 16610-21:2011, 4.3 (end effects).

    """
    section = round(cutoff_mm / spacing_mm)
    if section < FEWEST_POINTS_COUNT:
        return None
    lost = section if ends is Ends.DROPPED else 0
    # One point fewer than whole sections is a trace of that length: n points span n - 1 steps.
    sections_count = min(SECTIONS_COUNT, (points_count - lost + 1) // section)
    if sections_count < 1:
        return None
    inside = min(section * sections_count, points_count - lost)
    section = inside // sections_count
    return Span(
        first_count=(points_count - section * sections_count) // 2,
        points_count=section,
        sections_count=sections_count,
    )


def choose(trace: Thinned, *, marks: Repeat | None, cutoff_mm: float | None, ends: Ends) -> Choice:
    """Choose the cut-off: as given, by the spacing of the marks, or by Ra until it agrees.

    Parameters
    ----------
    trace : Thinned
        The levelled trace.
    marks : Repeat or None
        Marks that repeat on it.
    cutoff_mm : float or None
        Cut-off asked for [mm].
    ends : Ends
        Dropped ends leave less of the trace.

    Returns
    -------
    Choice
        A cut-off that fits the trace, unless none does.

    References
    ----------
    ISO 4288:1996, 7.2 (by Ra, and by mark spacing where the surface repeats);
    ISO 21920-3:2021, 4.4.3 (by height alone).

    """
    if cutoff_mm is not None:
        return Choice(cutoff_mm=cutoff_mm, reason="as given")
    if marks is not None:
        wanted = cutoff_for_spacing(marks.pitch_mm)
        reason = f"marks every {marks.pitch_mm:.3f} mm (ISO 4288:1996, table 3)"
    else:
        wanted, ra_um = _by_ra(trace, ends=ends)
        reason = f"Ra {ra_um:.2g} µm (ISO 4288:1996, table 1; ISO 21920-3:2021)"
    taken = _longest_that_fits(trace, wanted=wanted, ends=ends)
    if taken is wanted:
        return Choice(cutoff_mm=wanted.cutoff_mm, reason=reason, by_table=True)
    return Choice(
        cutoff_mm=taken.cutoff_mm,
        reason=f"longest that fits the trace; {reason} asks for {wanted.cutoff_mm:g} mm",
        wanted_mm=wanted.cutoff_mm,
    )


def _by_ra(trace: Thinned, *, ends: Ends) -> tuple[CutoffRow, float]:
    """Start at 0.8 mm, follow Ra up or down its table, then see whether one shorter agrees."""
    at = next(i for i, row in enumerate(CUTOFFS) if row.cutoff_mm == START_CUTOFF_MM)
    at = CUTOFFS.index(_longest_that_fits(trace, wanted=CUTOFFS[at], ends=ends))
    ra_um = _ra_um(trace, cutoff_mm=CUTOFFS[at].cutoff_mm)
    asked = CUTOFFS.index(cutoff_for_ra(ra_um))
    while asked > at:
        at += 1
        if not _fits(trace, CUTOFFS[at], ends=ends):
            return CUTOFFS[at], ra_um
        ra_um = _ra_um(trace, cutoff_mm=CUTOFFS[at].cutoff_mm)
        asked = CUTOFFS.index(cutoff_for_ra(ra_um))
    while at > 0:
        shorter_um = _ra_um(trace, cutoff_mm=CUTOFFS[at - 1].cutoff_mm)
        if shorter_um > CUTOFFS[at - 1].ra_high_um:
            break
        at, ra_um = at - 1, shorter_um
    return CUTOFFS[at], ra_um


def _ra_um(trace: Thinned, *, cutoff_mm: float) -> float:
    z = trace.height_um - mean_line(
        trace.height_um, spacing_mm=trace.spacing_mm, cutoff_mm=cutoff_mm
    )
    half = min(floor(cutoff_mm / 2.0 / trace.spacing_mm), (len(z) - 1) // 2)
    return float(np.abs(z[half : len(z) - half]).mean())


def _fits(trace: Thinned, row: CutoffRow, *, ends: Ends) -> bool:
    needed = row.cutoff_mm * (2.0 if ends is Ends.DROPPED else 1.0)
    return trace.length_mm >= needed - 1.5 * trace.spacing_mm


def _longest_that_fits(trace: Thinned, *, wanted: CutoffRow, ends: Ends) -> CutoffRow:
    fitting = [
        row for row in CUTOFFS if row.cutoff_mm <= wanted.cutoff_mm and _fits(trace, row, ends=ends)
    ]
    return fitting[-1] if fitting else CUTOFFS[0]
