"""What the shapes mean, in one line."""

from castworthy.calc.decision.verdict import Verdict
from castworthy.charts.shapes import shape, strike
from castworthy.charts.svg import camel, clean, element, number, text, width_of
from castworthy.charts.theme import HOOKS, INKS, Theme

_SIZE = 12.0


def legend(
    *,
    theme: Theme = Theme.PAGE,
    stale: bool = False,
    verdicts: tuple[Verdict, ...] = tuple(Verdict),
) -> str:
    """The shapes with their words; ``stale`` adds the struck shape of a reading of the past."""
    ink = INKS[theme]
    parts: list[str] = []
    x = 0.0
    items = [(verdict, verdict.value, False) for verdict in verdicts]
    items += [(Verdict.INSIDE, "taken before later work", True)] if stale else []
    for verdict, word, struck in items:
        drawn = [shape(verdict, x=x + 8, y=10, radius=5.2, ink=ink, hollow=struck)]
        if struck:
            drawn.append(strike(x=x + 8, y=10, radius=5.2, colour=ink.of(verdict)))
        drawn.append(text(clean(word), x=x + 18, y=14.2, size=_SIZE, fill=ink.soft, anchor="start"))
        parts.append(element("g", *drawn, class_=HOOKS[verdict]))
        x += 30 + width_of(word, size=_SIZE) * 0.95
    return camel(
        "svg",
        *parts,
        view_box=f"0 0 {number(x)} 20",
        xmlns="http://www.w3.org/2000/svg",
        class_="cw-legend",
        width=x,
        height=20.0,
        role="img",
        aria_label="What the shapes mean: " + ", ".join(word for _, word, _ in items),
        font_family=ink.font,
    )
