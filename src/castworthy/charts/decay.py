"""A vacuum log: the readings against time, the fitted curve, what is asked at the end of the hold.

Vacuum counts as a positive figure, so a leak falls.  The same drawing serves page and paper.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.curve import (
    BOTTOM,
    SIZE,
    TOP,
    Axis,
    Frame,
    axes,
    beside,
    bold,
    canvas,
    level,
    whisker,
)
from castworthy.charts.scale import Scale
from castworthy.charts.shapes import shape
from castworthy.charts.svg import element, path, width_of
from castworthy.charts.theme import INKS, Ink, Theme
from castworthy.units.show import Show

_LEFT = 46.0
_APART_PX = 46.0
_MOST_DRAWN_COUNT = 400
_ROUND, _CROSS = 3.4, 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DecayFigure:
    """What a chart of a log shows, vacuums in kPa below the atmosphere, times from the first.

    ``curve_kpa`` belongs to ``curve_s``; both are empty where nothing could be fitted.
    ``held_kpa`` and ``u_held_kpa`` are what is left at ``hold_s``; ``least_kpa`` is the least
    allowed there and ``pump_kpa`` the pump's own reading.
    """

    time_s: Sequence[float]
    vacuum_kpa: Sequence[float]
    hold_s: float
    show: Show
    strays_s: Sequence[float] = ()
    curve_s: Sequence[float] = ()
    curve_kpa: Sequence[float] = ()
    held_kpa: float | None = None
    u_held_kpa: float = 0.0
    least_kpa: float | None = None
    pump_kpa: float | None = None
    verdict: Verdict = Verdict.MISSING
    title: str = ""

    @property
    def last_s(self) -> float:
        """Where the scale of time ends."""
        return max([self.hold_s, *self.time_s])


def decay_chart(
    figure: DecayFigure,
    *,
    theme: Theme = Theme.PAGE,
    width_px: float = 640.0,
    height_px: float = 300.0,
) -> str:
    """Draw a log.  A narrow screen asks for a narrow chart, so that its figures stay readable."""
    ink = INKS[theme]
    show = figure.show.of_vacuum()
    frame = _frame(figure, width_px=width_px, height_px=height_px)
    about = figure.title or "Vacuum against time"
    parts = [
        _allowed(figure, frame=frame, ink=ink),
        _axes(frame, show=show, ink=ink),
        _pump(figure, frame=frame, show=show, ink=ink),
        _limit(figure, frame=frame, show=show, ink=ink),
        _curve(figure, frame=frame, ink=ink),
        _readings(figure, frame=frame, ink=ink),
        _held(figure, frame=frame, ink=ink),
    ]
    return canvas(
        *parts, about=about, hook="cw-decay", width_px=width_px, height_px=height_px, theme=theme
    )


def _frame(figure: DecayFigure, *, width_px: float, height_px: float) -> Frame:
    foot = height_px - BOTTOM
    low, high = _ends(figure)
    return Frame(
        along=Scale(first=0.0, last=figure.last_s * 1.04, left=_LEFT, right=width_px - 14.0),
        up=Scale(first=low, last=high, left=0.0, right=foot - TOP),
        foot=foot,
    )


def _ends(figure: DecayFigure) -> tuple[float, float]:
    """Room for everything drawn, never so little that scatter looks like a leak."""
    shown = [*figure.vacuum_kpa, *figure.curve_kpa]
    shown += [each for each in (figure.least_kpa, figure.pump_kpa) if each is not None]
    if figure.held_kpa is not None:
        shown.append(max(0.0, figure.held_kpa - 2.0 * figure.u_held_kpa))
    low, high = min(shown, default=0.0), max(shown, default=100.0)
    room = max(0.08 * (high - low), 0.02 * high, 0.5)
    return max(0.0, low - room), high + room


def _axes(frame: Frame, *, show: Show, ink: Ink) -> str:
    return axes(
        frame,
        up=Axis(suffix="kpa", closest_px=34.0, end=show.unit("kpa")),
        along=Axis(suffix="s", closest_px=_APART_PX, end="seconds"),
        show=show,
        ink=ink,
    )


def _allowed(figure: DecayFigure, *, frame: Frame, ink: Ink) -> str:
    """The vacuums a port may hold, shaded; on paper a line under them says it."""
    if figure.least_kpa is None or ink.hatched:
        return ""
    y = frame.y(figure.least_kpa)
    return element(
        "rect",
        x=frame.along.left,
        y=TOP,
        width=frame.along.right - frame.along.left,
        height=max(0.0, y - TOP),
        fill=ink.wash,
        opacity=0.6,
        class_="cw-allowed",
    )


def _limit(figure: DecayFigure, *, frame: Frame, show: Show, ink: Ink) -> str:
    """The least that may be left, up to the end of the hold, and where the hold ends."""
    x = frame.x(figure.hold_s)
    ends = element(
        "path",
        d=path((x, TOP), (x, frame.foot)),
        stroke=ink.steel,
        stroke_width=1.2,
        stroke_dasharray="2 4",
        class_="cw-hold",
    )
    if figure.least_kpa is None:
        return ends
    y = frame.y(figure.least_kpa)
    line = element(
        "path",
        d=level(frame, y=y),
        stroke=ink.ink,
        stroke_width=1.6,
        class_="cw-least",
    )
    least = show.value(figure.least_kpa, suffix="kpa")
    return ends + line + beside(f"least {least}", y=y + 15.0, frame=frame, ink=ink)


def _pump(figure: DecayFigure, *, frame: Frame, show: Show, ink: Ink) -> str:
    if figure.pump_kpa is None:
        return ""
    y = frame.y(figure.pump_kpa)
    line = element(
        "path",
        d=level(frame, y=y),
        stroke=ink.steel,
        stroke_width=1.4,
        stroke_dasharray="7 4",
        class_="cw-pump",
    )
    own = show.value(figure.pump_kpa, suffix="kpa")
    return line + beside(f"pump {own}", y=y - 5.0, frame=frame, ink=ink)


def _curve(figure: DecayFigure, *, frame: Frame, ink: Ink) -> str:
    """The fit: through the readings a line, past the last of them dashes."""
    seen_s = max(figure.time_s, default=0.0)
    points = [
        (frame.x(t), frame.y(p), t) for t, p in zip(figure.curve_s, figure.curve_kpa, strict=True)
    ]
    over = [(x, y) for x, y, t in points if t <= seen_s]
    past = [*over[-1:], *((x, y) for x, y, t in points if t > seen_s)]
    drawn = []
    for line, dash, hook in ((over, None, "cw-fit"), (past, "6 5", "cw-ahead")):
        if len(line) > 1:
            drawn.append(
                element(
                    "path",
                    d=path(*line),
                    stroke=ink.blue,
                    stroke_width=2.2,
                    stroke_dasharray=dash,
                    fill="none",
                    class_=hook,
                )
            )
    return "".join(drawn)


def _readings(figure: DecayFigure, *, frame: Frame, ink: Ink) -> str:
    strays = {round(each, 3) for each in figure.strays_s}
    every = max(1, ceil(len(figure.time_s) / _MOST_DRAWN_COUNT))
    drawn = []
    for index, (t, p) in enumerate(zip(figure.time_s, figure.vacuum_kpa, strict=True)):
        x, y = frame.x(t), frame.y(p)
        if round(t, 3) in strays:
            d = path((x - _CROSS, y - _CROSS), (x + _CROSS, y + _CROSS))
            d += path((x - _CROSS, y + _CROSS), (x + _CROSS, y - _CROSS))
            drawn.append(
                element("path", d=d, stroke=ink.ochre, stroke_width=2.0, class_="cw-stray")
            )
        elif index % every == 0:
            drawn.append(
                element(
                    "circle",
                    cx=x,
                    cy=y,
                    r=_ROUND,
                    fill=ink.card,
                    stroke=ink.ink,
                    stroke_width=1.6,
                    class_="cw-reading",
                )
            )
    return element("g", *drawn, class_="cw-readings") if drawn else ""


def _held(figure: DecayFigure, *, frame: Frame, ink: Ink) -> str:
    """What is left at the end of the hold, with its whisker and its verdict's shape."""
    if figure.held_kpa is None:
        return ""
    x, y = frame.x(figure.hold_s), frame.y(figure.held_kpa)
    up, down = (
        frame.y(min(max(end, frame.up.first), frame.up.last))
        for end in (
            figure.held_kpa + 2.0 * figure.u_held_kpa,
            figure.held_kpa - 2.0 * figure.u_held_kpa,
        )
    )
    shown = figure.show.of_vacuum().value(figure.held_kpa, suffix="kpa")
    room = width_of(shown, size=SIZE + 1.0)
    lift = -12.0 if y > TOP + 34.0 else 24.0
    return element(
        "g",
        whisker(x=x, up=up, down=down, ink=ink),
        shape(figure.verdict, x=x, y=y, radius=6.5, ink=ink),
        bold(shown, x=min(x, frame.along.right - room / 2.0), y=y + lift, ink=ink),
        class_="cw-held",
    )
