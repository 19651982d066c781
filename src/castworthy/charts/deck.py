"""The deck plan: the head's deck face to scale, every mark a place."""

from collections.abc import Sequence
from math import floor, log10

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Site
from castworthy.charts.casting import casting
from castworthy.charts.field import Shading
from castworthy.charts.layout import Layout, Window, rows, whole
from castworthy.charts.rings import RingMark, draw_rings
from castworthy.charts.scale import factor_of
from castworthy.charts.shapes import shape, strike
from castworthy.charts.spots import DeckMark, Spot, bare_names, draw_spot, spoken, spots_of, wrap
from castworthy.charts.svg import camel, clean, element, number, path, text, width_of
from castworthy.charts.theme import INKS, Ink, Theme
from castworthy.units.show import Show

__all__ = ["DeckMark", "deck_plan"]

_NAMES_PX = 24.0
_LINE_PX = 30.0
_RULE_PX = 24.0


def deck_plan(
    sheet: HeadSheet,
    *,
    marks: Sequence[DeckMark] = (),
    theme: Theme = Theme.PAGE,
    compact: bool = False,
    show: Show | None = None,
    title: str = "",
    shading: Shading | None = None,
    route_mm: Sequence[tuple[float, float]] = (),
    named: bool = False,
    rings: Sequence[RingMark] = (),
) -> str:
    """Draw a deck with its marks.

    ``shading`` lays a height field under them, ``route_mm`` is the way a grid is walked,
    ``rings`` are the grooves of sealing rings with their joints.

    ``compact`` breaks a long head into rows of cylinders for a narrow screen.  ``show`` adds a
    rule to measure by in the person's unit.  Where several marks share a place the one to be
    measured next is drawn, else the worst; all of them are named in its title.  Without any
    marks, or when ``named``, the deck shows the names of its valves and places.  On a page the
    drawing carries its natural width only, so that it keeps its shape when it has to shrink.
    """
    ink = INKS[theme]
    sites = {mark.site for mark in marks}
    everywhere = not marks or bool(rings) or bool(sites & {Site.THICKNESS, Site.HEIGHT})
    layout = (
        rows(sheet, everywhere=everywhere)
        if compact
        else whole(sheet, printed=theme is Theme.PRINT, everywhere=everywhere)
    )
    spots = spots_of(sheet, marks=marks, px_mm=layout.px_mm)
    about = title or f"Deck of {sheet.title}"
    height, parts = _stack(
        sheet,
        layout=layout,
        spots=spots,
        marks=marks,
        ink=ink,
        show=show,
        shading=shading,
        route_mm=route_mm,
        named=named,
        rings=rings,
    )
    width = layout.width_mm + 2 * layout.edge_mm
    linked = any(mark.href for mark in marks)
    return camel(
        "svg",
        element("title", clean(about)),
        *parts,
        view_box=f"0 0 {number(width)} {number(height)}",
        xmlns="http://www.w3.org/2000/svg",
        class_="cw-deck cw-compact" if compact else "cw-deck",
        width=width / layout.px_mm,
        height=height / layout.px_mm if theme is Theme.PRINT else None,
        role="group" if linked else "img",
        aria_label=about,
        font_family=ink.font,
    )


def _stack(
    sheet: HeadSheet,
    *,
    layout: Layout,
    spots: list[Spot],
    marks: Sequence[DeckMark],
    ink: Ink,
    show: Show | None,
    shading: Shading | None,
    route_mm: Sequence[tuple[float, float]],
    named: bool,
    rings: Sequence[RingMark],
) -> tuple[float, list[str]]:
    """Head-wide marks on top, the windows under each other, the rule at the foot."""
    px_mm = layout.px_mm
    head_wide = [mark for mark in marks if mark.site is Site.HEAD]
    down, parts = _head_line(head_wide, layout=layout, ink=ink)
    for window in layout.windows:
        shown = [spot for spot in spots if _belongs(spot, window, layout)]
        over = [draw_spot(spot, px_mm=px_mm, ink=ink) for spot in shown]
        if named or not (marks or rings or shading):
            over = [bare_names(sheet, px_mm=px_mm, ink=ink), *over]
        over = [*draw_rings(rings, window=window, px_mm=px_mm, ink=ink), *over]
        over = [*_route(route_mm, px_mm=px_mm, ink=ink), *over]
        under = casting(sheet, window=window, px_mm=px_mm, ink=ink, shading=shading)
        parts.append(_view(under, window=window, top=down, over=over, layout=layout))
        down += window.height + 2 * layout.edge_mm
        parts.append(_names(sheet, window=window, top=down, layout=layout, ink=ink))
        down += _NAMES_PX * px_mm
    if show is not None and not layout.compact:
        parts.append(_rule(layout, top=down, ink=ink, show=show))
        down += _RULE_PX * px_mm
    return down, parts


def _belongs(spot: Spot, window: Window, layout: Layout) -> bool:
    if len(layout.windows) == 1:
        return True
    last = window is layout.windows[-1] and spot.x >= window.right
    first = window is layout.windows[0] and spot.x < window.left
    return window.left <= spot.x < window.right or last or first


def _route(route_mm: Sequence[tuple[float, float]], *, px_mm: float, ink: Ink) -> list[str]:
    """The way a grid is walked, as a thin line through its places."""
    if len(route_mm) < 2:
        return []
    return [
        element(
            "path",
            d=path(*((x, -y) for x, y in route_mm)),
            fill="none",
            stroke=ink.steel,
            stroke_width=1.2 * px_mm,
            stroke_dasharray=f"{number(2 * px_mm)} {number(3 * px_mm)}",
            class_="cw-route",
        )
    ]


def _view(
    under: str,
    *,
    window: Window,
    top: float,
    over: list[str],
    layout: Layout,
) -> str:
    edge = layout.edge_mm
    box = (
        window.left - edge,
        window.top - edge,
        window.width + 2 * edge,
        window.height + 2 * edge,
    )
    return camel(
        "svg",
        under,
        *over,
        view_box=" ".join(number(side) for side in box),
        x=0.0,
        y=top,
        width=box[2],
        height=box[3],
        overflow="hidden" if layout.compact else "visible",
    )


def _names(sheet: HeadSheet, *, window: Window, top: float, layout: Layout, ink: Ink) -> str:
    """Cylinder names below their bores; the lowest bank's where bores stand above each other."""
    lowest: dict[float, tuple[float, str]] = {}
    for cylinder in sheet.cylinders:
        key = round(cylinder.x_mm, 1)
        if window.left <= cylinder.x_mm <= window.right:
            lowest[key] = min(
                lowest.get(key, (cylinder.y_mm, cylinder.name)), (cylinder.y_mm, cylinder.name)
            )
    lines = [
        text(
            name,
            x=x - window.left + layout.edge_mm,
            y=top + 13.0 * layout.px_mm,
            size=14.0 * layout.px_mm,
            fill=ink.ink,
            weight="700",
        )
        for x, (_, name) in lowest.items()
    ]
    return element("g", *lines, class_="cw-cylinders") if lines else ""


def _head_line(marks: list[DeckMark], *, layout: Layout, ink: Ink) -> tuple[float, list[str]]:
    """Marks of the head as a whole in a line (or more) above the deck."""
    px_mm = layout.px_mm
    wide_px = layout.width_mm / px_mm
    x_px, y_px = 2.0, 0.0
    parts: list[str] = []
    for mark in marks:
        words = f"{FACTS[mark.quantity].title} {mark.text}".strip()
        length = 34.0 + width_of(words, size=13.0)
        if x_px + length > wide_px and x_px > 2.0:
            x_px, y_px = 2.0, y_px + _LINE_PX
        parts.append(
            _head_mark(mark, words=words, x_px=x_px, y_px=y_px, length=length, px=px_mm, ink=ink)
        )
        x_px += length
    return ((y_px + _LINE_PX) * px_mm if marks else 0.0), parts


def _head_mark(
    mark: DeckMark, *, words: str, x_px: float, y_px: float, length: float, px: float, ink: Ink
) -> str:
    x, y = (x_px + 9.0) * px, (y_px + 13.0) * px
    pieces = [
        element("title", clean(spoken(mark))),
        element(
            "rect",
            x=x_px * px,
            y=y_px * px,
            width=(length - 10.0) * px,
            height=26.0 * px,
            rx=5.0 * px,
            fill=ink.card if mark.ringed else "none",
            stroke=ink.blue if mark.ringed else "none",
            stroke_width=2.5 * px,
            pointer_events="all",
            class_="cw-target",
        ),
        shape(mark.verdict, x=x, y=y, radius=5.5 * px, ink=ink, hollow=mark.stale),
        text(
            words,
            x=x + 11.0 * px,
            y=y + 4.6 * px,
            size=13.0 * px,
            fill=ink.soft if mark.stale else ink.ink,
            anchor="start",
            weight="700",
        ),
    ]
    if mark.stale:
        pieces.append(strike(x=x, y=y, radius=5.5 * px, colour=ink.of(mark.verdict)))
    return wrap(mark, *pieces)


def _rule(layout: Layout, *, top: float, ink: Ink, show: Show) -> str:
    """A rule of round length at the deck's own scale, ten divisions."""
    px_mm = layout.px_mm
    unit_mm = float(factor_of("mm", show=show))
    widest = 190.0 * px_mm / unit_mm
    power = 10.0 ** floor(log10(widest))
    figure = max(lead * power for lead in (1, 2, 5) if lead * power <= widest)
    length = figure * unit_mm
    right = layout.width_mm + layout.edge_mm
    left, y = right - length, top + 6.0 * px_mm
    strokes = path((left, y), (right, y))
    for index in range(11):
        x = left + length * index / 10
        strokes += path((x, y), (x, y + (7.0 if index % 5 == 0 else 4.0) * px_mm))
    return element(
        "g",
        element("path", d=strokes, stroke=ink.steel, stroke_width=px_mm, fill="none"),
        text(
            f"{figure:g} {show.unit('mm')}",
            x=left - 7.0 * px_mm,
            y=y + 6.0 * px_mm,
            size=11.0 * px_mm,
            fill=ink.soft,
            anchor="end",
        ),
        class_="cw-rule",
    )
