"""The gap between valve and piston over the overlap, drawn where a table of lifts is given."""

import numpy as np
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.chamber.piston import (
    Crank,
    LiftCurve,
    ValveGap,
    ValveOverPiston,
    valve_gaps_mm,
)
from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.gap import GapFigure, gap_chart
from castworthy.units import Show

_DRAWN_TIMES = 4.0
_DRAWN_MORE_MM = 1.5
_FEWEST_POINTS = 3


def gap_pictures(
    *,
    place: ValveOverPiston,
    after: ValveOverPiston | None,
    crank: Crank | None,
    lifts: LiftCurve | None,
    least: ValveGap,
    wanted_mm: float | None,
    verdict: Verdict,
    show: Show,
) -> tuple[SafeString, SafeString]:
    """The drawing for a desk and for a phone; both empty without a table of two lines or more."""
    if crank is None or lifts is None or lifts.crank_deg.size < 2:
        return SafeString(""), SafeString("")
    now = valve_gaps_mm(place, crank=crank, lifts=lifts)
    then = None if after is None else valve_gaps_mm(after, crank=crank, lifts=lifts)
    lowest = now if then is None else np.minimum(now, then)
    near = _near(lowest, most_mm=_DRAWN_TIMES * max(wanted_mm or 0.0, 0.0) + _DRAWN_MORE_MM)
    figure = GapFigure(
        crank_deg=lifts.crank_deg[near].tolist(),
        now_mm=now[near].tolist(),
        after_mm=() if then is None else then[near].tolist(),
        least_deg=least.crank_deg,
        least_mm=least.gap_mm,
        u_least_mm=least.u_gap_mm or 0.0,
        wanted_mm=wanted_mm,
        verdict=verdict,
        show=show,
    )
    return _chart(figure, size_px=(640.0, 290.0)), _chart(figure, size_px=(340.0, 250.0))


def _near(gaps: "np.typing.NDArray[np.float64]", *, most_mm: float) -> slice:
    """The part of the table about its least gap; farther off the piston is long away."""
    close = np.flatnonzero(gaps <= max(most_mm, float(gaps.min()) + _DRAWN_MORE_MM))
    first, last = int(close[0]), int(close[-1])
    if last - first + 1 < _FEWEST_POINTS:
        return slice(max(0, first - 1), last + 2)
    return slice(first, last + 1)


def _chart(figure: GapFigure, *, size_px: tuple[float, float]) -> SafeString:
    drawn = gap_chart(figure, width_px=size_px[0], height_px=size_px[1])
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts
