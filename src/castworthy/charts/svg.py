"""SVG text, piece by piece.  Whatever a person typed goes in escaped."""

import re
from xml.sax.saxutils import escape

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_QUOTES = {'"': "&quot;"}


def number(value: float) -> str:
    """A coordinate with three decimals at most."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Text that may stand in XML, characters it forbids replaced, markup signs escaped."""
    return escape(_FORBIDDEN.sub("\ufffd", text))


def element(name: str, *children: str, **attributes: str | float | None) -> str:
    """One element.  ``children`` are finished SVG; ``stroke_width=`` gives ``stroke-width``."""
    parts = [f"<{name}"]
    for key, value in attributes.items():
        if value is None:
            continue
        shown = (
            escape(_FORBIDDEN.sub("\ufffd", value), _QUOTES)
            if isinstance(value, str)
            else number(value)
        )
        parts.append(f' {key.rstrip("_").replace("_", "-")}="{shown}"')
    if not children:
        return "".join([*parts, "/>"])
    return "".join([*parts, ">", *children, f"</{name}>"])


def camel(name: str, *children: str, view_box: str, **attributes: str | float | None) -> str:
    """An ``svg`` element: the one whose ``viewBox`` needs its capital."""
    made = element(name, *children, view_box=view_box, **attributes)
    return made.replace(' view-box="', ' viewBox="', 1)


def text(
    content: str,
    *,
    x: float,
    y: float,
    size: float,
    fill: str,
    anchor: str = "middle",
    weight: str | None = None,
    **attributes: str | float | None,
) -> str:
    """A line of text, its baseline at y."""
    return element(
        "text",
        clean(content),
        x=x,
        y=y,
        font_size=size,
        fill=fill,
        text_anchor=anchor,
        font_weight=weight,
        **attributes,
    )


def width_of(content: str, *, size: float) -> float:
    """About how wide a bold line will be, on the safe side of the usual sans faces."""
    return sum(0.34 if sign in ".,:;'|ilI !" else 0.68 for sign in content) * size


def path(*points: tuple[float, float], closed: bool = False) -> str:
    """Path data of straight lines through the points."""
    steps = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{steps}{'Z' if closed else ''}"
