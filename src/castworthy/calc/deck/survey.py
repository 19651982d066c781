"""Everything that the heights of one deck say, or why they say nothing."""

import numpy as np

from castworthy.calc.deck.ask import height_slips, place_words, unit_questions
from castworthy.calc.deck.cleanup import clean_up_level, clean_up_tilted
from castworthy.calc.deck.flatness import least_squares, minimum_zone
from castworthy.calc.deck.form import DeckForm, Heights
from castworthy.calc.deck.frame import checked
from castworthy.calc.deck.local import local_flatness
from castworthy.calc.deck.shape import shape_of
from castworthy.calc.deck.steps import step_between_neighbours
from castworthy.calc.deck.uncertainty import flatness_uncertainty
from castworthy.calc.outcome import Refused
from castworthy.units import Show

IN_MM = Show(length="mm")
"""Heights are held in mm; sentences read so unless the person's units are given."""

FEWEST_POINTS = 4
_IN_LINE_RATIO = 1e-6
_SAME_MM = 1e-6


def form_of(
    heights: Heights,
    *,
    windows_mm: tuple[float, ...],
    largest_tilt_ratio: float,
    u_height_mm: float | None = None,
    show: Show = IN_MM,
) -> DeckForm | Refused:
    """Flatness, local flatness, steps, shape and clean-up of one deck.

    Parameters
    ----------
    heights
        points of shape (n,) over the machine's datum [mm]
    windows_mm
        spans of local flatness [mm]
    largest_tilt_ratio
        bound of the cutter plane's slope along x and along y [-], scalar
    u_height_mm
        standard uncertainty of one height [mm], scalar; ``None`` when no gauge is known
    show
        the units of the sentences

    Returns
    -------
    DeckForm or Refused
        refused for fewer than four points, points in a line, one place with two heights, or a
        value that is no number

    Raises
    ------
    InputError
        If a span is not positive, the tilt or the uncertainty negative, or the arrays differ in
        shape.

    References
    ----------
    ISO 12781-1:2011 for the flatness (named from memory); the rest common practice, no source.

    """
    refused = _refused(heights, show=show)
    if refused is not None:
        return refused
    points = checked(heights)
    zone = minimum_zone(points)
    spots = points.x_mm[zone.contacts], points.y_mm[zone.contacts]
    return DeckForm(
        points_count=len(points.z_mm),
        flatness_um=zone.flatness_um,
        u_flatness_um=(
            None if u_height_mm is None else flatness_uncertainty(points, u_height_mm=u_height_mm)
        ),
        flatness_least_squares_um=least_squares(points).flatness_um,
        zone=zone.plane,
        contacts_mm=tuple((float(x), float(y)) for x, y in zip(*spots, strict=True)),
        local=local_flatness(points, windows_mm=windows_mm),
        step=step_between_neighbours(points),
        shape=shape_of(points, show=show),
        cleanup_level=clean_up_level(points),
        cleanup_tilted=clean_up_tilted(points, largest_tilt_ratio=largest_tilt_ratio),
        warnings=(
            *(slip.sentence(show) for slip in height_slips(points)),
            *unit_questions(points, flatness_um=zone.flatness_um, show=show),
        ),
    )


def _refused(heights: Heights, *, show: Show) -> Refused | None:
    count = len(heights.z_mm)
    if count < FEWEST_POINTS:
        return Refused(
            code="too-few-points",
            reason=f"Flatness cannot be judged from {count} height{'' if count == 1 else 's'}.",
            remedy="Measure four points or more, spread over the face.",
        )
    points = checked(heights)
    for fault in (_no_number, _in_line, _disagree):
        refused = fault(points, show=show)
        if refused is not None:
            return refused
    return None


def _no_number(points: Heights, *, show: Show) -> Refused | None:
    placed = np.isfinite(points.x_mm) & np.isfinite(points.y_mm)
    bad = np.flatnonzero(~(placed & np.isfinite(points.z_mm)))
    if not bad.size:
        return None
    first = int(bad[0])
    where = f"point {first + 1}"
    if placed[first]:
        x, y = float(points.x_mm[first]), float(points.y_mm[first])
        where = f"the point at {place_words(x, y_mm=y, show=show)}"
    more = f" and {len(bad) - 1} more" if len(bad) > 1 else ""
    return Refused(
        code="not-a-number",
        reason=f"Flatness cannot be judged: {where}{more} holds no number.",
        remedy="Measure it again, or take it out.",
    )


def _in_line(points: Heights, *, show: Show) -> Refused | None:
    sizes = np.linalg.eigvalsh(np.cov(points.x_mm, points.y_mm))
    if sizes[0] > (_IN_LINE_RATIO**2) * sizes[1]:
        return None
    return Refused(
        code="points-in-line",
        reason="Flatness cannot be judged: all points lie in one line.",
        remedy="Measure on both sides of it as well.",
    )


def _disagree(points: Heights, *, show: Show) -> Refused | None:
    order = np.lexsort((points.y_mm, points.x_mm))
    x, y, z = (v[order] for v in (points.x_mm, points.y_mm, points.z_mm))
    same = (np.diff(x) == 0) & (np.diff(y) == 0) & (np.abs(np.diff(z)) > _SAME_MM)
    if not same.any():
        return None
    at = int(np.argmax(same))
    one, other = (show.value(float(z[i]), suffix="mm", difference=True) for i in (at, at + 1))
    return Refused(
        code="heights-disagree",
        reason=(
            f"The place {place_words(float(x[at]), y_mm=float(y[at]), show=show)} has two "
            f"heights, {one} and {other}."
        ),
        remedy="Keep the right one, or measure it again.",
    )
