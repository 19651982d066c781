"""The limit bar: one picture of a reading against its limit, the same everywhere.

A scale with ticks at round values of the person's unit, the allowed span shaded, the aim as a
line, each value as its verdict's shape with a whisker of twice its standard uncertainty to each
side.  A hollow shape is as measured, a solid one as planned or as shipped; a dotted line leads
from one to the other.
"""

from dataclasses import dataclass, field
from math import isfinite

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.scale import Scale, Tick, ticks
from castworthy.charts.shapes import hatch_box, shape
from castworthy.charts.svg import camel, clean, element, number, path, text, width_of
from castworthy.charts.theme import HOOKS, INKS, Ink, Theme
from castworthy.units.show import Show

_EDGE = 9.0
_BAND_TOP, _AXIS = 4.0, 16.0
_MIDDLE = (_BAND_TOP + _AXIS) / 2
_MARK = 5.2
_TICKS = {Tick.MINOR: 3.5, Tick.HALF: 5.5, Tick.MAJOR: 8.5}
_CLOSEST_PX = 6.0
_BEYOND = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BarMark:
    """One value on a bar, in the unit of the bar's suffix; ``solid=False`` is as measured."""

    value: float
    u: float | None = None
    verdict: Verdict = Verdict.INSIDE
    solid: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitBar:
    """What a bar shows.  ``first`` and ``last`` fix the ends of the scale when given."""

    low: float | None
    high: float | None
    aim: float | None = None
    marks: tuple[BarMark, ...] = ()
    suffix: str = "mm"
    show: Show = field(default_factory=Show)
    title: str = ""
    first: float | None = None
    last: float | None = None


def limit_bar(
    bar: LimitBar,
    *,
    theme: Theme = Theme.PAGE,
    width_px: float = 240.0,
    labels: bool = False,
) -> str:
    """Draw a bar.  ``labels`` writes the limits under the ends of the span."""
    ink = INKS[theme]
    scale = scale_of(bar, width_px=width_px)
    height = 38.0 if labels else 26.0
    parts = [
        *([element("title", clean(bar.title))] if bar.title else []),
        _span(bar, scale=scale, ink=ink),
        _ruler(bar, scale=scale, ink=ink),
        _aim(bar, scale=scale, ink=ink),
        *([_labels(bar, scale=scale, ink=ink)] if labels else []),
        _way(bar, scale=scale, ink=ink),
        *(_mark(mark, scale=scale, ink=ink) for mark in sorted(bar.marks, key=lambda m: m.solid)),
    ]
    return camel(
        "svg",
        *parts,
        view_box=f"0 0 {number(width_px)} {number(height)}",
        xmlns="http://www.w3.org/2000/svg",
        class_="cw-bar",
        width=width_px,
        height=height if theme is Theme.PRINT else None,
        role="img",
        aria_label=bar.title or "limit bar",
        font_family=ink.font,
        focusable="false",
    )


def scale_of(bar: LimitBar, *, width_px: float) -> Scale:
    """The scale a bar is drawn on: the allowed span with half as much room to each side.

    The same limit gives the same scale, so that bars under each other compare.  A value
    outside widens it, up to three spans past the limit; one further out is drawn at the end.
    """
    first, last = _home(bar)
    room = last - first
    if bar.first is None:
        floor = first - _BEYOND * room / 2
        first = min([first, *(max(_reach(mark)[0], floor) for mark in bar.marks)])
    if bar.last is None:
        ceiling = last + _BEYOND * room / 2
        last = max([last, *(min(_reach(mark)[1], ceiling) for mark in bar.marks)])
    return Scale(first=first, last=last, left=_EDGE, right=width_px - _EDGE)


def _home(bar: LimitBar) -> tuple[float, float]:
    low, high = bar.low, bar.high
    if low is not None and high is not None and high > low:
        first, last = low - (high - low) / 2, high + (high - low) / 2
    elif high is not None and low is None:
        first, last = (0.0, 1.5 * high) if high > 0 else (high - _lean(bar, high), high * 0.5)
    else:
        anchor = low if low is not None else 0.0
        lean = _lean(bar, anchor)
        first, last = anchor - lean / 2, anchor + 1.5 * lean
    first = first if bar.first is None else bar.first
    last = last if bar.last is None else bar.last
    return (first, last) if last > first else (first, first + _lean(bar, first))


def _lean(bar: LimitBar, anchor: float) -> float:
    """A width for a scale whose limit gives none: from the aim, the values or the size itself."""
    away = [abs(mark.value - anchor) for mark in bar.marks if isfinite(mark.value)]
    if bar.aim is not None:
        away.append(abs(bar.aim - anchor))
    return max([*away, abs(anchor) * 0.04]) or 1.0


def _reach(mark: BarMark) -> tuple[float, float]:
    spread = 2 * (mark.u or 0.0)
    return mark.value - spread, mark.value + spread


def _span(bar: LimitBar, *, scale: Scale, ink: Ink) -> str:
    if bar.low is None and bar.high is None:
        return ""
    left = scale.left if bar.low is None else max(scale.at(bar.low), scale.left)
    right = scale.right if bar.high is None else min(scale.at(bar.high), scale.right)
    if right < left:
        return ""
    box = element(
        "rect",
        x=left,
        y=_BAND_TOP,
        width=right - left,
        height=_AXIS - _BAND_TOP,
        fill=ink.wash,
        class_="cw-span",
    )
    if ink.hatched:
        box += hatch_box(
            x=left,
            y=_BAND_TOP,
            width=right - left,
            height=_AXIS - _BAND_TOP,
            gap=3.6,
            colour=ink.rule,
            line=0.7,
        )
    ends = [x for x, limit in ((left, bar.low), (right, bar.high)) if limit is not None]
    walls = "".join(path((x, _BAND_TOP - 1.5), (x, _AXIS)) for x in ends)
    return box + element(
        "path", d=walls, stroke=ink.blue, stroke_width=1.0, class_="cw-limit", fill="none"
    )


def _ruler(bar: LimitBar, *, scale: Scale, ink: Ink) -> str:
    marks = "".join(
        path((scale.at(value), _AXIS), (scale.at(value), _AXIS + _TICKS[length]))
        for value, length in ticks(scale, suffix=bar.suffix, show=bar.show, closest=_CLOSEST_PX)
    )
    return element(
        "path",
        d=path((scale.left, _AXIS), (scale.right, _AXIS)) + marks,
        stroke=ink.steel,
        stroke_width=0.9,
        fill="none",
        class_="cw-ticks",
    )


def _aim(bar: LimitBar, *, scale: Scale, ink: Ink) -> str:
    if bar.aim is None or not scale.holds(bar.aim):
        return ""
    x = scale.at(bar.aim)
    return element(
        "path",
        d=path((x, _BAND_TOP - 3.5), (x, _AXIS + 3.5)),
        stroke=ink.blue,
        stroke_width=1.6,
        class_="cw-aim",
    )


def _way(bar: LimitBar, *, scale: Scale, ink: Ink) -> str:
    hollow = [mark for mark in bar.marks if not mark.solid]
    solid = [mark for mark in bar.marks if mark.solid]
    if not hollow or not solid:
        return ""
    return element(
        "path",
        d=path((_kept(scale, hollow[0].value), _MIDDLE), (_kept(scale, solid[0].value), _MIDDLE)),
        stroke=ink.soft,
        stroke_width=1.3,
        stroke_dasharray="1.3 2.7",
        class_="cw-way",
    )


def _mark(mark: BarMark, *, scale: Scale, ink: Ink) -> str:
    x = _kept(scale, mark.value)
    colour = ink.of(mark.verdict)
    parts = []
    if mark.u:
        parts.append(_whisker(mark, scale=scale, colour=colour))
    if not scale.holds(mark.value):
        parts.append(_beyond(mark, scale=scale, colour=colour))
    parts.append(element("circle", cx=x, cy=_MIDDLE, r=_MARK + 1.0, fill=ink.card))
    parts.append(shape(mark.verdict, x=x, y=_MIDDLE, radius=_MARK, ink=ink, hollow=not mark.solid))
    hook = "cw-solid" if mark.solid else "cw-hollow"
    return element("g", *parts, class_=f"cw-mark {HOOKS[mark.verdict]} {hook}")


def _whisker(mark: BarMark, *, scale: Scale, colour: str) -> str:
    left, right = (_kept(scale, end) for end in _reach(mark))
    line = path((left, _MIDDLE), (right, _MIDDLE))
    caps = "".join(path((x, _MIDDLE - 3.2), (x, _MIDDLE + 3.2)) for x in (left, right))
    return element(
        "path", d=line + caps, stroke=colour, stroke_width=1.3, fill="none", class_="cw-whisker"
    )


def _beyond(mark: BarMark, *, scale: Scale, colour: str) -> str:
    """Two chevrons beside a mark whose value lies past the end of the scale."""
    way = -1.0 if mark.value < scale.first else 1.0
    tip = _kept(scale, mark.value) - way * 8.0
    strokes = "".join(
        path((x - way * 2.5, _MIDDLE - 3.5), (x, _MIDDLE), (x - way * 2.5, _MIDDLE + 3.5))
        for x in (tip, tip - way * 4.0)
    )
    return element(
        "path", d=strokes, stroke=colour, stroke_width=1.3, fill="none", class_="cw-beyond"
    )


def _kept(scale: Scale, value: float) -> float:
    return scale.at(min(max(value, scale.first), scale.last))


def _labels(bar: LimitBar, *, scale: Scale, ink: Ink) -> str:
    """The limits in figures, below the ends of the span; the aim too where it has room."""
    size = 9.5
    placed: list[tuple[float, float]] = []
    lines: list[str] = []
    for value in (bar.low, bar.high, bar.aim):
        if value is None or not scale.holds(value):
            continue
        figure = bar.show.number(value, suffix=bar.suffix)
        half = width_of(figure, size=size) / 2
        x = min(max(scale.at(value), half), scale.right + _EDGE - half)
        if any(x - half < right + 2 and x + half > left - 2 for left, right in placed):
            continue
        placed.append((x - half, x + half))
        lines.append(text(figure, x=x, y=35.0, size=size, fill=ink.soft))
    return "".join(lines)
