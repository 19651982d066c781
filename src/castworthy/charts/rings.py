"""Ring grooves and their joints on a deck, at their true size."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

from castworthy.charts.layout import Window
from castworthy.charts.svg import clean, element, path
from castworthy.charts.theme import Ink

_LINE_PX = 2.2
_TICK_PX = 11.0
_JOINT_PX = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RingMark:
    """One groove [mm] and where its ring begins, counter-clockwise from the right [deg].

    ``joint_deg`` is ``None`` where no place was found; ``title`` is what the mark says.
    """

    x_mm: float
    y_mm: float
    inner_mm: float
    outer_mm: float
    joint_deg: float | None
    title: str


def draw_rings(
    marks: Sequence[RingMark], *, window: Window, px_mm: float, ink: Ink
) -> Iterable[str]:
    """The grooves that show in a window, never thinner than a line that can be seen."""
    for mark in marks:
        if window.touches(mark.x_mm, -mark.y_mm, mark.outer_mm):
            yield _draw(mark, px_mm=px_mm, ink=ink)


def _draw(mark: RingMark, *, px_mm: float, ink: Ink) -> str:
    x, y = mark.x_mm, -mark.y_mm
    radius, width = (mark.inner_mm + mark.outer_mm) / 2.0, mark.outer_mm - mark.inner_mm
    groove = element(
        "circle",
        cx=x,
        cy=y,
        r=radius,
        fill="none",
        stroke=ink.blue,
        stroke_width=max(width, _LINE_PX * px_mm),
        class_="cw-groove",
    )
    title = element("title", clean(mark.title))
    if mark.joint_deg is None:
        return element("g", title, groove, class_="cw-ring")
    along, down = cos(radians(mark.joint_deg)), -sin(radians(mark.joint_deg))

    def out(reach: float) -> tuple[float, float]:
        return x + reach * along, y + reach * down

    tick = path(
        out(mark.inner_mm - _TICK_PX * px_mm),
        out(mark.outer_mm + _TICK_PX * px_mm),
    )
    at = out(radius)
    joint = element("path", d=tick, stroke=ink.ink, stroke_width=2.4 * px_mm, class_="cw-joint")
    ring = element(
        "circle",
        cx=at[0],
        cy=at[1],
        r=_JOINT_PX * px_mm,
        fill=ink.card,
        stroke=ink.ink,
        stroke_width=2.2 * px_mm,
        class_="cw-joint-ring",
    )
    return element("g", title, groove, joint, ring, class_="cw-ring")
