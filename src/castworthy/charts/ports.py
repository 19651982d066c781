"""The vacuum logs of a head's ports beside each other, small and all on one scale."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.scale import Scale
from castworthy.charts.shapes import shape
from castworthy.charts.svg import camel, clean, element, path, text
from castworthy.charts.theme import INKS, Ink, Theme
from castworthy.units.show import Show

_LEFT, _GAP_X, _GAP_Y = 34.0, 12.0, 8.0
_HEAD, _BOX, _FOOT = 15.0, 42.0, 13.0
_SIZE = 9.0
_MOST_ACROSS = 8
_LEAST_RANGE_KPA = 6.8
"""About 2 inHg: no scatter looks like a leak."""

_SHOWN_COUNT = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class PortTrace:
    """One port's log, vacuums in kPa below the atmosphere, times from its first reading.

    ``words`` stand under its box, ``verdict`` and ``odd`` beside its name.
    """

    place: str
    time_s: Sequence[float]
    vacuum_kpa: Sequence[float]
    curve_s: Sequence[float]
    curve_kpa: Sequence[float]
    words: str
    verdict: Verdict
    odd: bool = False


def ports_chart(
    ports: Sequence[PortTrace],
    *,
    show: Show,
    pump_kpa: float | None = None,
    least_kpa: float | None = None,
    theme: Theme = Theme.PRINT,
    width_px: float = 690.0,
) -> str:
    """Draw every port's log in a box of its own; empty where none is logged."""
    if not ports:
        return ""
    ink, own = INKS[theme], show.of_vacuum()
    across = min(_MOST_ACROSS, max(4, len(ports)))
    width = (width_px - _LEFT + _GAP_X) / across - _GAP_X
    low, high = scale_ends(ports, pump_kpa=pump_kpa)
    last_s = max(max([*port.time_s, *port.curve_s]) for port in ports)
    rows_count = ceil(len(ports) / across)
    height_px = rows_count * (_HEAD + _BOX + _FOOT + _GAP_Y) - _GAP_Y
    drawn = []
    for at, port in enumerate(ports):
        row, column = divmod(at, across)
        left = _LEFT + column * (width + _GAP_X)
        top = row * (_HEAD + _BOX + _FOOT + _GAP_Y) + _HEAD
        frame = _Frame(
            along=Scale(first=0.0, last=max(last_s, 1e-9), left=left + 4.0, right=left + width),
            up=Scale(first=low, last=high, left=top + _BOX, right=top),
        )
        if column == 0:
            drawn.append(_ends(low, high, left=left, top=top, show=own, ink=ink))
        drawn.append(_box(frame, left=left, width=width, ink=ink))
        drawn.append(_lines(frame, pump_kpa=pump_kpa, least_kpa=least_kpa, left=left, ink=ink))
        drawn.append(_port(port, frame=frame, left=left, top=top, width=width, ink=ink))
    about = f"Vacuum against time of {len(ports)} ports, all on one scale"
    return camel(
        "svg",
        element("title", clean(about)),
        *drawn,
        view_box=f"0 0 {width_px:g} {height_px:g}",
        xmlns="http://www.w3.org/2000/svg",
        class_="cw-ports",
        width=width_px,
        height=height_px,
        role="img",
        aria_label=about,
        font_family=ink.font,
    )


def scale_ends(ports: Sequence[PortTrace], *, pump_kpa: float | None) -> tuple[float, float]:
    """The vacuums all boxes share: all that was read and fitted, the pump, some room."""
    shown = [each for port in ports for each in (*port.vacuum_kpa, *port.curve_kpa)]
    if pump_kpa is not None:
        shown.append(pump_kpa)
    low, high = min(shown), max(shown)
    room = 0.06 * max(high - low, _LEAST_RANGE_KPA)
    low = min(low, high - _LEAST_RANGE_KPA) - room
    return max(0.0, low), high + room


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    along: Scale
    up: Scale


def _ends(low: float, high: float, *, left: float, top: float, show: Show, ink: Ink) -> str:
    """What top and bottom of a row's boxes stand for."""
    return "".join(
        text(
            show.number(value, suffix="kpa"),
            x=left - 5.0,
            y=y,
            size=_SIZE - 0.5,
            fill=ink.soft,
            anchor="end",
        )
        for value, y in ((high, top + 7.0), (low, top + _BOX))
    )


def _box(frame: _Frame, *, left: float, width: float, ink: Ink) -> str:
    bottom, top = frame.up.left, frame.up.right
    return element(
        "path",
        d=path((left, top), (left, bottom), (left + width, bottom)),
        stroke=ink.steel,
        stroke_width=0.8,
        fill="none",
    )


def _lines(
    frame: _Frame, *, pump_kpa: float | None, least_kpa: float | None, left: float, ink: Ink
) -> str:
    """The pump's own reading dashed; the least allowed drawn where it lies on the scale."""
    drawn = []
    for value, dash, hook in ((pump_kpa, "5 3", "cw-pump"), (least_kpa, None, "cw-least")):
        if value is None or not frame.up.holds(value):
            continue
        y = frame.up.at(value)
        drawn.append(
            element(
                "path",
                d=path((left, y), (frame.along.right, y)),
                stroke=ink.steel if dash else ink.ink,
                stroke_width=0.9,
                stroke_dasharray=dash,
                class_=hook,
            )
        )
    return "".join(drawn)


def _port(
    port: PortTrace, *, frame: _Frame, left: float, top: float, width: float, ink: Ink
) -> str:
    curve = [
        (frame.along.at(t), frame.up.at(p))
        for t, p in zip(port.curve_s, port.curve_kpa, strict=True)
    ]
    every = max(1, ceil(len(port.time_s) / _SHOWN_COUNT))
    readings = "".join(
        element(
            "circle",
            cx=frame.along.at(t),
            cy=frame.up.at(p),
            r=1.5,
            fill=ink.card,
            stroke=ink.ink,
            stroke_width=0.8,
            class_="cw-reading",
        )
        for t, p in list(zip(port.time_s, port.vacuum_kpa, strict=True))[::every]
    )
    line = ""
    if len(curve) > 1:
        line = element("path", d=path(*curve), stroke=ink.blue, stroke_width=1.2, fill="none")
    name = text(
        port.place,
        x=left + 11.0,
        y=top - 4.0,
        size=_SIZE + 1.5,
        fill=ink.ink,
        anchor="start",
        weight="700",
    )
    odd = ""
    if port.odd:
        odd = text(
            "odd",
            x=left + width,
            y=top - 4.0,
            size=_SIZE,
            fill=ink.ink,
            anchor="end",
            weight="700",
            class_="cw-odd",
        )
    mark = shape(port.verdict, x=left + 4.0, y=top - 7.5, radius=3.2, ink=ink)
    foot = text(
        port.words, x=left, y=top + _BOX + 10.5, size=_SIZE - 0.5, fill=ink.soft, anchor="start"
    )
    return element("g", mark, name, odd, line, readings, foot, class_="cw-port")
