"""Small drawings beside a sum: a seat as it widens, a wire in its groove."""

from dataclasses import dataclass
from math import radians, tan

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.sealing.groove import Groove, RingFit
from castworthy.calc.valvetrain.seat import SeatAngles, SeatGrowth
from castworthy.charts.svg import camel, element, number, path, text
from castworthy.charts.theme import INKS, Theme
from castworthy.units import Show

_INK = INKS[Theme.PAGE]
_SIZE = 12.0
_BAND_PX, _WIDEST_PX, _TAIL_PX = 60.0, 48.0, 44.0


def _svg(*parts: str, about: str, width: float, height: float) -> SafeString:
    drawn = camel(
        "svg",
        element("title", about),
        *parts,
        view_box=f"0 0 {number(width)} {number(height)}",
        xmlns="http://www.w3.org/2000/svg",
        class_="sum__drawing",
        role="img",
        aria_label=about,
        focusable="false",
    )
    return mark_safe(drawn)  # noqa: S308 - figures only, no word of a person


def _line(d: str, *, stroke: str, width: float, dashes: str | None = None) -> str:
    return element(
        "path",
        d=d,
        stroke=stroke,
        stroke_width=width,
        stroke_dasharray=dashes,
        stroke_linejoin="round",
        fill="none",
    )


def _word(words: str, *, x: float, y: float, anchor: str = "middle", fill: str = "") -> str:
    return text(words, x=x, y=y, size=_SIZE, fill=fill or _INK.soft, anchor=anchor)


Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """A seat in section, from the throat's end to the top cut's end."""

    throat_end: Point
    inner: Point
    inner_before: Point
    outer_before: Point
    outer: Point
    top_end: Point


def seat_picture(angles: SeatAngles, *, growth: SeatGrowth) -> SafeString:
    """Top cut, seat and throat cut in section; the seat as sunk heavy, as it was dashed."""
    at = _section(angles, growth=growth)
    was = path(at.inner, at.inner_before, at.outer_before, at.outer)
    wall = path(at.throat_end, at.inner, at.outer, at.top_end)
    return _svg(
        element(
            "path", d=was, stroke=_INK.steel, stroke_width=2.0, stroke_dasharray="5 4", fill="none"
        ),
        element("path", d=wall, stroke=_INK.ink, stroke_width=1.8, fill="none"),
        element(
            "path", d=path(at.inner, at.outer), stroke=_INK.blue, stroke_width=4.5, fill="none"
        ),
        _word(f"top {angles.top_deg:g}°", x=at.top_end[0], y=at.top_end[1] - 8.0, anchor="end"),
        _word(
            f"throat {angles.throat_deg:g}°",
            x=at.throat_end[0] + 12.0,
            y=at.throat_end[1],
            anchor="start",
        ),
        about=f"Seat of {angles.seat_deg:g} degrees in section: sunk, it widens at both edges",
        width=360.0,
        height=190.0,
    )


def _section(angles: SeatAngles, *, growth: SeatGrowth) -> _Section:
    """The cuts to scale among themselves, their ends cut short to fit the drawing."""
    top, seat, throat = (
        tan(radians(each)) for each in (angles.top_deg, angles.seat_deg, angles.throat_deg)
    )
    out, into = growth.outer_radius_growth_mm, -growth.inner_radius_change_mm
    px_per_mm = _WIDEST_PX / max(out, into, 1e-9) if growth.sink_mm > 0.0 else 0.0
    x0, y0 = 0.0, 0.0
    x1, y1 = x0 + _BAND_PX, y0 - _BAND_PX * seat
    inner = x0 - into * px_per_mm, y0 + into * px_per_mm * throat
    outer = x1 + out * px_per_mm, y1 - out * px_per_mm * top
    throat_end = inner[0] - _TAIL_PX / (1.0 + throat), inner[1] + _TAIL_PX * throat / (1.0 + throat)
    top_end = outer[0] + _TAIL_PX, outer[1] - _TAIL_PX * top
    return _fitted((throat_end, inner, (x0, y0), (x1, y1), outer, top_end))


def _fitted(points: tuple[Point, ...]) -> _Section:
    """The same in the middle of the drawing and as large as it takes."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    scale = min(300.0 / (max(xs) - min(xs)), 150.0 / (max(ys) - min(ys)))
    left = 180.0 - scale * (max(xs) + min(xs)) / 2.0
    top = 102.0 - scale * (max(ys) + min(ys)) / 2.0
    moved = [(left + scale * x, top + scale * y) for x, y in points]
    return _Section(
        throat_end=moved[0],
        inner=moved[1],
        inner_before=moved[2],
        outer_before=moved[3],
        outer=moved[4],
        top_end=moved[5],
    )


def ring_picture(groove: Groove, *, fit: RingFit, show: Show) -> SafeString:
    """The wire on the floor of its groove in section, to scale."""
    scale = 100.0 / max(groove.wire_mm, groove.depth_mm, groove.width_mm)
    d, h, w = (each * scale for each in (groove.wire_mm, groove.depth_mm, groove.width_mm))
    middle, deck, edge = 160.0, 70.0, 300.0
    left, right, floor = middle - w / 2.0, middle + w / 2.0, deck + h
    top, foot = floor - d, deck + 116.0
    surface = (
        (20.0, deck),
        (left, deck),
        (left, floor),
        (right, floor),
        (right, deck),
        (edge, deck),
    )
    stand = show.value(fit.stand_mm, suffix="mm", difference=True)
    return _svg(
        element(
            "path",
            d=path(*surface, (edge, foot), (20.0, foot), closed=True),
            fill=_INK.metal,
            fill_opacity=_INK.metal_opacity,
        ),
        _line(path(*surface), stroke=_INK.ink, width=1.8),
        element(
            "circle",
            cx=middle,
            cy=floor - d / 2.0,
            r=d / 2.0,
            fill=_INK.wash,
            stroke=_INK.blue,
            stroke_width=2.4,
        ),
        _line(path((middle, top), (edge + 18.0, top)), stroke=_INK.steel, width=1.0, dashes="3 3"),
        _line(path((edge, deck), (edge + 18.0, deck)), stroke=_INK.steel, width=1.0, dashes="3 3"),
        _line(path((edge + 10.0, top), (edge + 10.0, deck)), stroke=_INK.ink, width=1.8),
        _word(stand, x=352.0, y=min(top, deck) - 9.0, anchor="end", fill=_INK.ink),
        _word("deck", x=24.0, y=deck - 9.0, anchor="start"),
        about=f"A wire in its groove in section: it stands {stand} above the deck",
        width=360.0,
        height=190.0,
    )
