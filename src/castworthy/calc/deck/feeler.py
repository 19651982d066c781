"""Straightedge and feeler: what gaps known only as "between two leaves" say of flatness.

At each place along a named line one leaf goes under the edge and the next does not, so the
height under the edge lies between the two.  With the heights free in those bounds, the
straightness of the line has a least and a greatest value, both exact: a line's width is the
largest, over three of its places, of the middle one against the chord of the outer two.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from math import hypot, inf

from castworthy.calc.errors import InputError
from castworthy.units import Show


class Settled(StrEnum):
    """What a range of possible values says against a limit."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    UNSETTLED = "cannot settle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """One place under the straightedge.

    ``goes_mm`` is the thickest leaf that goes (0 when none does), ``stops_mm`` the thinnest that
    does not (``None`` when none was tried that stops).
    """

    line: str
    x_mm: float
    y_mm: float
    goes_mm: float
    stops_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBounds:
    """Straightness of one line: at least ``low_um``, at most ``high_um`` (``None``: no bound)."""

    line: str
    low_um: float
    high_um: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeelerFlatness:
    """Flatness along the lines that were tried; the face between them is not seen.

    The whole face is out of flat by ``low_um`` at least.  ``high_um`` bounds the lines.
    """

    low_um: float
    high_um: float | None
    lines: tuple[LineBounds, ...]


def feeler_flatness(gaps: Sequence[Gap], *, edge_error_mm: float = 0.0) -> FeelerFlatness:
    """Bounds on flatness along every line, from which leaves went.

    Parameters
    ----------
    gaps
        places under the edge, any order; two or fewer on a line bound nothing from below
    edge_error_mm
        how far the straightedge itself may be out over the line [mm], scalar

    Returns
    -------
    FeelerFlatness
        bounds per line [um], and the widest of each over the lines

    Raises
    ------
    InputError
        If there is no gap, a gap's leaves are the wrong way round, or the edge error is negative.

    References
    ----------
    The width of a line by its places three at a time is the minimum zone in two dimensions
    (ISO 12780-1, named from memory); its range over a box follows by linear programming duality.

    """
    if not gaps or edge_error_mm < 0:
        raise InputError("Feeler readings need a gap or more and an edge error of 0 or more.")
    for gap in gaps:
        if gap.goes_mm < 0 or (gap.stops_mm is not None and gap.stops_mm <= gap.goes_mm):
            raise InputError(
                f"On {gap.line} the leaf that goes is thinner than the one that does not, got "
                f"{gap.goes_mm:g} and {gap.stops_mm} mm; swap them or try again."
            )
    names = dict.fromkeys(gap.line for gap in gaps)
    lines = tuple(
        _bounds([g for g in gaps if g.line == name], name=name, error=edge_error_mm)
        for name in names
    )
    highs = [line.high_um for line in lines]
    return FeelerFlatness(
        low_um=max(line.low_um for line in lines),
        high_um=None if None in highs else max(high for high in highs if high is not None),
        lines=lines,
    )


def settle(flatness: FeelerFlatness, *, high_mm: float) -> Settled:
    """Whether a limit is kept, broken, or not to be settled with these leaves.

    Parameters
    ----------
    flatness
        bounds along the lines
    high_mm
        the limit of flatness [mm], scalar; a value on it is inside

    Returns
    -------
    Settled
        inside when the greatest value keeps it, outside when the least breaks it

    References
    ----------
    Common practice, no source.

    """
    limit = 1e3 * high_mm
    if flatness.low_um > limit * (1 + 1e-9):
        return Settled.OUTSIDE
    if flatness.high_um is not None and flatness.high_um <= limit * (1 + 1e-9):
        return Settled.INSIDE
    return Settled.UNSETTLED


def feeler_sentence(
    flatness: FeelerFlatness, *, high_mm: float, leaf_step_mm: float | None, show: Show
) -> str:
    """What the leaves say of a limit, in one sentence or two.

    Parameters
    ----------
    flatness
        bounds along the lines
    high_mm
        the limit of flatness [mm], scalar
    leaf_step_mm
        step between leaves of the set [mm]; ``None`` when it has none of its own
    show
        the units of the sentence

    Returns
    -------
    str
        as in "A feeler set in steps of 1.0 thou cannot settle 2.0 thou."

    References
    ----------
    Common practice, no source.

    """
    limit, low = _said(high_mm, show), _said(flatness.low_um / 1e3, show)
    match settle(flatness, high_mm=high_mm):
        case Settled.OUTSIDE:
            return f"The deck is out of flat by {low} or more: past {limit}."
        case Settled.INSIDE:
            high = _said((flatness.high_um or 0.0) / 1e3, show)
            return f"Along the lines tried the deck is flat within {high}: inside {limit}."
    if flatness.high_um is None:
        return f"No leaf tried stops everywhere, so {limit} is not settled: try thicker ones."
    high = _said(flatness.high_um / 1e3, show)
    between = f"The gaps say between {low} and {high}: an indicator can."
    if leaf_step_mm is None:
        return f"These leaves cannot settle {limit}. {between}"
    step = _said(leaf_step_mm, show)
    return f"A feeler set in steps of {step} cannot settle {limit}. {between}"


def _said(value_mm: float, show: Show) -> str:
    text, unit = show.value(value_mm, suffix="mm", difference=True).split(" ")
    plain = text.rstrip("0").rstrip(".") if "." in text and unit == "thou" else text
    return f"{plain} {unit}"


def _bounds(gaps: Sequence[Gap], *, name: str, error: float) -> LineBounds:
    """Range of a line's width over everything its leaves allow."""
    first, last = max(
        combinations(gaps, 2),
        key=lambda pair: hypot(pair[0].x_mm - pair[1].x_mm, pair[0].y_mm - pair[1].y_mm),
        default=(gaps[0], gaps[0]),
    )
    start = first if (first.x_mm, first.y_mm) <= (last.x_mm, last.y_mm) else last
    way = [hypot(g.x_mm - start.x_mm, g.y_mm - start.y_mm) for g in gaps]
    order = sorted(range(len(gaps)), key=way.__getitem__)
    along = [way[i] for i in order]
    top = [-gaps[i].goes_mm for i in order]
    bottom = [-inf if (stops := gaps[i].stops_mm) is None else -stops for i in order]
    low = high = 0.0
    for i, j, k in combinations(range(len(order)), 3):
        span = along[k] - along[i]
        share = 0.5 if span == 0 else (along[k] - along[j]) / span
        low = max(
            low,
            _chord(bottom[i], bottom[k], share) - top[j],
            bottom[j] - _chord(top[i], top[k], share),
        )
        high = max(
            high,
            _chord(top[i], top[k], share) - bottom[j],
            top[j] - _chord(bottom[i], bottom[k], share),
        )
    return LineBounds(
        line=name,
        low_um=1e3 * max(low - error, 0.0),
        high_um=None if high == inf else 1e3 * (high + error),
    )


def _chord(start: float, end: float, share: float) -> float:
    """Height of a chord; a share of 0 takes nothing of an end without bound."""
    return (share * start if share else 0.0) + ((1 - share) * end if share < 1 else 0.0)
