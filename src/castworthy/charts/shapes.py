"""The four shapes of a verdict, told apart without colour.

Inside is a round, outside a triangle, too close to call a half-filled round, not measured an
open round.  A hollow shape is a value as measured where a solid one stands beside it.  A
struck shape is a reading that later work has made a reading of the past.
"""

from math import sqrt

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.svg import camel, clean, element, number, path
from castworthy.charts.theme import HOOKS, INKS, Ink, Theme


def verdict_mark(
    verdict: Verdict,
    *,
    theme: Theme = Theme.PAGE,
    hollow: bool = False,
    stale: bool = False,
    size_px: float = 14.0,
    labelled: bool = True,
) -> str:
    """The small shape of a verdict as a picture of its own.

    ``labelled=False`` where the word stands beside it: a screen reader then skips the picture.
    """
    ink = INKS[theme]
    half = 7.0
    drawn = shape(verdict, x=half, y=half, radius=5.0, ink=ink, hollow=hollow or stale)
    if stale:
        drawn += strike(x=half, y=half, radius=5.0, colour=ink.of(verdict))
    word = f"{verdict.value}, before later work" if stale else verdict.value
    speech: dict[str, str] = (
        {"role": "img", "aria_label": word} if labelled else {"aria_hidden": "true"}
    )
    return camel(
        "svg",
        *([element("title", clean(word))] if labelled else []),
        drawn,
        view_box="0 0 14 14",
        xmlns="http://www.w3.org/2000/svg",
        class_=f"cw-shape {HOOKS[verdict]}",
        width=size_px,
        height=size_px,
        focusable="false",
        **speech,
    )


def shape(
    verdict: Verdict,
    *,
    x: float,
    y: float,
    radius: float,
    ink: Ink,
    hollow: bool = False,
) -> str:
    """A verdict's shape about (x, y), of the optical size of a round of that radius."""
    colour = ink.of(verdict)
    line = radius * 0.3
    match verdict:
        case Verdict.INSIDE:
            return _round(x, y, radius, line, colour, ink.card if hollow else colour)
        case Verdict.MISSING:
            return _round(x, y, radius, line * 0.8, colour, ink.card)
        case Verdict.CLOSE:
            whole = _round(x, y, radius, line, colour, ink.card)
            r = radius - line / 2
            if hollow:
                return whole + element(
                    "path", d=path((x, y - r), (x, y + r)), stroke=colour, stroke_width=line
                )
            half = (
                f"M{number(x)} {number(y - r)}A{number(r)} {number(r)} 0 0 0 "
                f"{number(x)} {number(y + r)}Z"
            )
            return whole + element("path", d=half, fill=colour)
        case Verdict.OUTSIDE:
            return _triangle(x, y, radius, line, colour, ink.card if hollow else colour)


def strike(*, x: float, y: float, radius: float, colour: str) -> str:
    """The stroke through a reading of the past."""
    reach = radius * 1.45
    slant = reach * 0.75
    return element(
        "path",
        d=path((x - slant, y + slant), (x + slant, y - slant)),
        stroke=colour,
        stroke_width=radius * 0.28,
        stroke_linecap="round",
    )


def _round(x: float, y: float, radius: float, line: float, colour: str, fill: str) -> str:
    return element(
        "circle", cx=x, cy=y, r=radius - line / 2, fill=fill, stroke=colour, stroke_width=line
    )


def _triangle(x: float, y: float, radius: float, line: float, colour: str, fill: str) -> str:
    reach = radius * 1.22 - line / 2
    wing = reach * sqrt(3) / 2
    low = y + radius * 0.12
    points = ((x, low - reach), (x + wing, low + reach / 2), (x - wing, low + reach / 2))
    return element(
        "path",
        d=path(*points, closed=True),
        fill=fill,
        stroke=colour,
        stroke_width=line,
        stroke_linejoin="round",
    )


def hatch_box(
    *, x: float, y: float, width: float, height: float, gap: float, colour: str, line: float
) -> str:
    """Slanted lines that shade a box where tints may not."""
    strokes: list[str] = []
    start = x - height + gap / 2
    while start < x + width:
        left, right = max(start, x), min(start + height, x + width)
        if right > left:
            strokes.append(
                path((left, y + height - (left - start)), (right, y + start + height - right))
            )
        start += gap
    return element("path", d="".join(strokes), stroke=colour, stroke_width=line, fill="none")


def hatch_round(*, x: float, y: float, radius: float, gap: float, colour: str, line: float) -> str:
    """Slanted lines that shade a round."""
    strokes: list[str] = []
    offset = -radius + gap / 2
    while offset < radius:
        reach = sqrt(radius * radius - offset * offset)
        cx, cy = x + offset * 0.7071, y + offset * 0.7071
        step = reach * 0.7071
        strokes.append(path((cx - step, cy + step), (cx + step, cy - step)))
        offset += gap
    return element("path", d="".join(strokes), stroke=colour, stroke_width=line, fill="none")
