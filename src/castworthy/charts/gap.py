"""The gap between a valve and its piston against crank angle, now and after the work."""

from collections.abc import Sequence
from dataclasses import dataclass

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
    word,
)
from castworthy.charts.scale import Scale
from castworthy.charts.shapes import shape
from castworthy.charts.svg import element, path, width_of
from castworthy.charts.theme import INKS, Ink, Theme
from castworthy.units.show import Show

_LEFT, _EDGE = 52.0, 14.0
_MOST_DOTS_COUNT = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFigure:
    """What a chart of a gap shows: angles from top dead centre, gaps in mm, in order of angle.

    ``after_mm`` is the gap after the work, empty where none is planned; the mark of the least
    gap (at ``least_deg``, ``least_mm``) lies on the last of the curves.  ``wanted_mm`` is the
    least gap asked for.
    """

    crank_deg: Sequence[float]
    now_mm: Sequence[float]
    after_mm: Sequence[float] = ()
    least_deg: float
    least_mm: float
    u_least_mm: float = 0.0
    wanted_mm: float | None = None
    verdict: Verdict = Verdict.MISSING
    show: Show
    title: str = ""


def gap_chart(
    figure: GapFigure,
    *,
    theme: Theme = Theme.PAGE,
    width_px: float = 640.0,
    height_px: float = 300.0,
) -> str:
    """Draw the gap.  A narrow screen asks for a narrow chart, so that its figures stay readable."""
    ink = INKS[theme]
    frame = _frame(figure, width_px=width_px, height_px=height_px)
    about = figure.title or "Gap between valve and piston against crank angle"
    return canvas(
        _refused(figure, frame=frame, ink=ink),
        _axes(figure, frame=frame, ink=ink),
        _wanted(figure, frame=frame, ink=ink),
        _curves(figure, frame=frame, ink=ink),
        _least(figure, frame=frame, ink=ink),
        about=about,
        hook="cw-gap",
        width_px=width_px,
        height_px=height_px,
        theme=theme,
    )


def _frame(figure: GapFigure, *, width_px: float, height_px: float) -> Frame:
    foot = height_px - BOTTOM
    shown = [*figure.now_mm, *figure.after_mm, 0.0, figure.least_mm - 2.0 * figure.u_least_mm]
    if figure.wanted_mm is not None:
        shown.append(figure.wanted_mm)
    low, high = min(shown), max(shown)
    room = max(0.08 * (high - low), 0.02)
    first, last = min(figure.crank_deg), max(figure.crank_deg)
    edge = max(0.02 * (last - first), 0.5)
    return Frame(
        along=Scale(first=first - edge, last=last + edge, left=_LEFT, right=width_px - _EDGE),
        up=Scale(
            first=low - (room if low < 0.0 else 0.0),
            last=high + room,
            left=0.0,
            right=foot - TOP,
        ),
        foot=foot,
    )


def _axes(figure: GapFigure, *, frame: Frame, ink: Ink) -> str:
    show = figure.show
    return axes(
        frame,
        up=Axis(suffix="mm", closest_px=34.0, end=show.unit("mm"), usual_digits=2),
        along=Axis(
            suffix="deg", closest_px=46.0, end="degrees after top dead centre", label=_degrees
        ),
        show=show,
        ink=ink,
    )


def _degrees(value: float) -> str:
    return f"{value:g}°".replace("-", "\u2212")


def _refused(figure: GapFigure, *, frame: Frame, ink: Ink) -> str:
    """The gaps that are too small, shaded; on paper the line above them says it."""
    floor_mm = figure.wanted_mm if figure.wanted_mm is not None else 0.0
    if ink.hatched or floor_mm <= frame.up.first:
        return ""
    y = frame.y(floor_mm)
    return element(
        "rect",
        x=frame.along.left,
        y=y,
        width=frame.along.right - frame.along.left,
        height=frame.foot - y,
        fill=ink.vermilion,
        opacity=0.08,
        class_="cw-refused",
    )


def _wanted(figure: GapFigure, *, frame: Frame, ink: Ink) -> str:
    """The least gap asked for, and where the piston touches."""
    lines = []
    if frame.up.first < 0.0:
        y = frame.y(0.0)
        line = level(frame, y=y)
        lines.append(element("path", d=line, stroke=ink.ink, stroke_width=1.2, class_="cw-touch"))
    if figure.wanted_mm is None:
        return "".join(lines)
    y = frame.y(figure.wanted_mm)
    line = level(frame, y=y)
    lines.append(element("path", d=line, stroke=ink.ink, stroke_width=1.6, class_="cw-wanted"))
    said = f"least {figure.show.value(figure.wanted_mm, suffix='mm')}"
    lines.append(beside(said, y=y + 15.0, frame=frame, ink=ink))
    return "".join(lines)


def _curves(figure: GapFigure, *, frame: Frame, ink: Ink) -> str:
    if not figure.after_mm:
        return _curve(figure, gaps=figure.now_mm, frame=frame, ink=ink, ahead=True)
    return "".join(
        (
            _curve(figure, gaps=figure.now_mm, frame=frame, ink=ink, ahead=False),
            _curve(figure, gaps=figure.after_mm, frame=frame, ink=ink, ahead=True),
            _key(frame, ink=ink),
        )
    )


def _key(frame: Frame, *, ink: Ink) -> str:
    """Which curve is which, above the drawing on the right."""
    drawn, x, y = [], frame.along.right, 13.0
    for words, stroke, width, dashes in (
        ("after the work", ink.blue, 2.2, None),
        ("now", ink.steel, 1.6, "6 5"),
    ):
        drawn.append(word(words, x=x, y=y, ink=ink, anchor="end"))
        x -= 0.84 * width_of(words, size=SIZE) + 4.0
        line = path((x - 22.0, y - 4.0), (x, y - 4.0))
        drawn.append(
            element("path", d=line, stroke=stroke, stroke_width=width, stroke_dasharray=dashes)
        )
        x -= 36.0
    return element("g", *drawn, class_="cw-key")


def _curve(figure: GapFigure, *, gaps: Sequence[float], frame: Frame, ink: Ink, ahead: bool) -> str:
    """One curve through its points; the one that is past in steel and dashed."""
    points = [(frame.x(t), frame.y(g)) for t, g in zip(figure.crank_deg, gaps, strict=True)]
    line = element(
        "path",
        d=path(*points),
        stroke=ink.blue if ahead else ink.steel,
        stroke_width=2.2 if ahead else 1.6,
        stroke_dasharray=None if ahead else "6 5",
        stroke_linejoin="round",
        fill="none",
        class_="cw-gap-after" if figure.after_mm and ahead else "cw-gap-now",
    )
    if not ahead or len(points) > _MOST_DOTS_COUNT:
        return line
    dots = (
        element("circle", cx=x, cy=y, r=2.6, fill=ink.card, stroke=ink.blue, stroke_width=1.6)
        for x, y in points
    )
    return line + element("g", *dots, class_="cw-points")


def _least(figure: GapFigure, *, frame: Frame, ink: Ink) -> str:
    """The least gap with its whisker and its verdict's shape."""
    x, y = frame.x(figure.least_deg), frame.y(figure.least_mm)
    up, down = (frame.y(figure.least_mm + sign * 2.0 * figure.u_least_mm) for sign in (1.0, -1.0))
    said = figure.show.value(figure.least_mm, suffix="mm")
    room = width_of(said, size=SIZE + 1.0) / 2.0
    return element(
        "g",
        whisker(x=x, up=up, down=down, ink=ink) if figure.u_least_mm else "",
        shape(figure.verdict, x=x, y=y, radius=6.5, ink=ink),
        bold(
            said,
            x=min(max(x, frame.along.left + room), frame.along.right - room),
            y=max(min(y, up) - 12.0, TOP),
            ink=ink,
        ),
        class_="cw-least-gap",
    )
