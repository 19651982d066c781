"""How answers look in a terminal: calm, readable without colour."""

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.text import Text

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity

MARKS = {
    Verdict.INSIDE: ("●", ""),
    Verdict.OUTSIDE: ("▲", "bold red"),
    Verdict.CLOSE: ("◐", "yellow"),
    Verdict.MISSING: ("○", "dim"),
}
"""Mark and style of each verdict; the word always stands beside them."""

_WIDTH = 100


def page() -> Console:
    """The terminal, with nothing marked up that a person wrote."""
    out = Console(highlight=False, markup=False, emoji=False, soft_wrap=False)
    if not out.is_terminal:
        out = Console(highlight=False, markup=False, emoji=False, width=_WIDTH, no_color=True)
    return out


def heading(out: Console, sheet: HeadSheet) -> None:
    """The head an answer is about and where its limits come from."""
    out.print(Text.assemble((f"{sheet.code}  {sheet.title}", "bold")))
    out.print(Text(f"Limits: {sheet.source}", style="dim"))


def bullets(out: Console, title: str, sentences: Iterable[str]) -> None:
    """Sentences under a title; nothing when there are none."""
    said = list(sentences)
    if not said:
        return
    out.print()
    out.print(Text(title, style="bold"))
    for sentence in said:
        out.print(Text(f"  {sentence}"))


def sites_line(sites: Sequence[tuple[Quantity, str]]) -> str:
    """Quantities with their places, each quantity once."""
    places: dict[Quantity, list[str]] = {}
    for quantity, place in sites:
        places.setdefault(quantity, []).append(place or "the head")
    return "; ".join(f"{FACTS[q].title.lower()}: {', '.join(at)}" for q, at in places.items())


def clock(minutes: float) -> str:
    """Bench time as people say it: ``1 h 52 min``."""
    hours, left = divmod(round(minutes), 60)
    return f"{hours} h {left:02d} min" if hours else f"{left} min"
