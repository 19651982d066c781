"""The gap between a valve and its piston against crank angle, now and after the work."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.scale import Scale, factor_of, ticks
from castworthy.charts.shapes import shape
from castworthy.charts.svg import camel, clean, element, number, path, text, width_of
from castworthy.charts.theme import INKS, Ink, Theme
from castworthy.units.show import Show

_LEFT, _TOP, _BOTTOM, _EDGE = 52.0, 24.0, 40.0, 14.0
_SIZE = 12.0
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where angles and gaps stand."""

    along: Scale
    up: Scale
    foot: float

    def x(self, crank_deg: float) -> float:
        return self.along.at(crank_deg)

    def y(self, gap_mm: float) -> float:
        return self.foot - self.up.at(gap_mm)


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
    return camel(
        "svg",
        element("title", clean(about)),
        _refused(figure, frame=frame, ink=ink),
        _axes(figure, frame=frame, ink=ink),
        _wanted(figure, frame=frame, ink=ink),
        _curves(figure, frame=frame, ink=ink),
        _least(figure, frame=frame, ink=ink),
        view_box=f"0 0 {number(width_px)} {number(height_px)}",
        xmlns="http://www.w3.org/2000/svg",
        class_="cw-gap",
        width=width_px,
        height=height_px if theme is Theme.PRINT else None,
        role="img",
        aria_label=about,
        font_family=ink.font,
        focusable="false",
    )


def _frame(figure: GapFigure, *, width_px: float, height_px: float) -> _Frame:
    foot = height_px - _BOTTOM
    shown = [*figure.now_mm, *figure.after_mm, 0.0, figure.least_mm - 2.0 * figure.u_least_mm]
    if figure.wanted_mm is not None:
        shown.append(figure.wanted_mm)
    low, high = min(shown), max(shown)
    room = max(0.08 * (high - low), 0.02)
    first, last = min(figure.crank_deg), max(figure.crank_deg)
    edge = max(0.02 * (last - first), 0.5)
    return _Frame(
        along=Scale(first=first - edge, last=last + edge, left=_LEFT, right=width_px - _EDGE),
        up=Scale(
            first=low - (room if low < 0.0 else 0.0),
            last=high + room,
            left=0.0,
            right=foot - _TOP,
        ),
        foot=foot,
    )


def _axes(figure: GapFigure, *, frame: _Frame, ink: Ink) -> str:
    show, left, right = figure.show, frame.along.left, frame.along.right
    lines, words = [], []
    ups = [value for value, _ in ticks(frame.up, suffix="mm", show=show, closest=34.0)]
    digits = _digits(ups, suffix="mm", show=show)
    for value in ups:
        y = frame.y(value)
        lines.append(path((left, y), (right, y)))
        label = show.number(value, suffix="mm", digits=digits)
        words.append(_word(label, x=left - 7.0, y=y + 4.0, ink=ink, anchor="end"))
    for value, _ in ticks(frame.along, suffix="deg", show=show, closest=46.0):
        x = frame.x(value)
        lines.append(path((x, frame.foot), (x, frame.foot + 5.0)))
        label = f"{value:g}°".replace("-", "\u2212")
        words.append(_word(label, x=x, y=frame.foot + 18.0, ink=ink))
    words.append(_word(show.unit("mm"), x=left - 7.0, y=13.0, ink=ink, anchor="end"))
    after = "degrees after top dead centre"
    words.append(_word(after, x=right, y=frame.foot + 34.0, ink=ink, anchor="end"))
    return element(
        "g",
        element("path", d="".join(lines), stroke=ink.rule, stroke_width=1.0, fill="none"),
        *words,
        class_="cw-axes",
    )


def _digits(values: Sequence[float], *, suffix: str, show: Show) -> int:
    """Decimals that tell two ticks apart."""
    if len(values) < 2:
        return 2
    step = (values[1] - values[0]) / float(factor_of(suffix, show=show))
    return max(0, -floor(log10(step) + 1e-9))


def _word(words: str, *, x: float, y: float, ink: Ink, anchor: str = "middle") -> str:
    return text(words, x=x, y=y, size=_SIZE, fill=ink.soft, anchor=anchor)


def _refused(figure: GapFigure, *, frame: _Frame, ink: Ink) -> str:
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


def _wanted(figure: GapFigure, *, frame: _Frame, ink: Ink) -> str:
    """The least gap asked for, and where the piston touches."""
    lines = []
    if frame.up.first < 0.0:
        y = frame.y(0.0)
        line = path((frame.along.left, y), (frame.along.right, y))
        lines.append(element("path", d=line, stroke=ink.ink, stroke_width=1.2, class_="cw-touch"))
    if figure.wanted_mm is None:
        return "".join(lines)
    y = frame.y(figure.wanted_mm)
    line = path((frame.along.left, y), (frame.along.right, y))
    lines.append(element("path", d=line, stroke=ink.ink, stroke_width=1.6, class_="cw-wanted"))
    said = f"least {figure.show.value(figure.wanted_mm, suffix='mm')}"
    lines.append(_beside(said, y=y + 15.0, frame=frame, ink=ink))
    return "".join(lines)


def _beside(words: str, *, y: float, frame: _Frame, ink: Ink) -> str:
    """Words on a line, at its left end, on the ground of the card."""
    return text(
        words,
        x=frame.along.left + 6.0,
        y=min(y, frame.foot - 3.0),
        size=_SIZE,
        fill=ink.soft,
        anchor="start",
        stroke=ink.card,
        stroke_width=3.0,
        stroke_linejoin="round",
        paint_order="stroke",
    )


def _curves(figure: GapFigure, *, frame: _Frame, ink: Ink) -> str:
    if not figure.after_mm:
        return _curve(figure, gaps=figure.now_mm, frame=frame, ink=ink, ahead=True)
    return "".join(
        (
            _curve(figure, gaps=figure.now_mm, frame=frame, ink=ink, ahead=False),
            _curve(figure, gaps=figure.after_mm, frame=frame, ink=ink, ahead=True),
            _key(frame, ink=ink),
        )
    )


def _key(frame: _Frame, *, ink: Ink) -> str:
    """Which curve is which, above the drawing on the right."""
    drawn, x, y = [], frame.along.right, 13.0
    for words, stroke, width, dashes in (
        ("after the work", ink.blue, 2.2, None),
        ("now", ink.steel, 1.6, "6 5"),
    ):
        drawn.append(_word(words, x=x, y=y, ink=ink, anchor="end"))
        x -= 0.84 * width_of(words, size=_SIZE) + 4.0
        line = path((x - 22.0, y - 4.0), (x, y - 4.0))
        drawn.append(
            element("path", d=line, stroke=stroke, stroke_width=width, stroke_dasharray=dashes)
        )
        x -= 36.0
    return element("g", *drawn, class_="cw-key")


def _curve(
    figure: GapFigure, *, gaps: Sequence[float], frame: _Frame, ink: Ink, ahead: bool
) -> str:
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


def _least(figure: GapFigure, *, frame: _Frame, ink: Ink) -> str:
    """The least gap with its whisker and its verdict's shape."""
    x, y = frame.x(figure.least_deg), frame.y(figure.least_mm)
    up, down = (frame.y(figure.least_mm + sign * 2.0 * figure.u_least_mm) for sign in (1.0, -1.0))
    whisker = path((x, up), (x, down)) + path((x - 5.0, up), (x + 5.0, up))
    whisker += path((x - 5.0, down), (x + 5.0, down))
    said = figure.show.value(figure.least_mm, suffix="mm")
    room = width_of(said, size=_SIZE + 1.0) / 2.0
    return element(
        "g",
        element("path", d=whisker, stroke=ink.ink, stroke_width=1.6, class_="cw-whisker")
        if figure.u_least_mm
        else "",
        shape(figure.verdict, x=x, y=y, radius=6.5, ink=ink),
        text(
            said,
            x=min(max(x, frame.along.left + room), frame.along.right - room),
            y=max(min(y, up) - 12.0, _TOP),
            size=_SIZE + 1.0,
            fill=ink.ink,
            weight="700",
            stroke=ink.card,
            stroke_width=3.0,
            stroke_linejoin="round",
            paint_order="stroke",
        ),
        class_="cw-least-gap",
    )
