"""``castworthy injector``: an injector's stand after a deck cut, and the washers it takes."""

from dataclasses import dataclass
from functools import partial
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.chamber.injector import (
    CAUTION,
    MOST_WASHERS_COUNT,
    PRACTICES,
    InjectorStand,
    injector_stand,
)
from castworthy.calc.decision.figure import FigureJudged, judge_figure
from castworthy.calc.outcome import Refused
from castworthy.cli.answers import Answer, tell
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options, confidence_option
from castworthy.units import Show
from castworthy.units.phrase import listed

_LENGTH = Typed("mm", least=0.0)
_SIGNED = Typed("mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """The stand and its verdict, with what it came from."""

    found: InjectorStand
    judged: FigureJudged
    stand_mm: float
    deck_cut_mm: float


@click.command("injector")
@click.option(
    "--stand",
    "stand_mm",
    type=_SIGNED,
    required=True,
    help="Its tip above the deck now, as 0.9mm; -0.2mm where it lies below.",
)
@click.option("--low", "low_mm", type=_SIGNED, required=True, help="Least stand.")
@click.option("--high", "high_mm", type=_SIGNED, required=True, help="Most stand.")
@click.option("--aim", "aim_mm", type=_SIGNED, help="Stand aimed at; else the middle.")
@click.option("--deck-cut", "deck_cut_mm", type=_LENGTH, default=0.0, help="Cut off the deck.")
@click.option(
    "--fitted",
    "fitted_mm",
    type=_LENGTH,
    multiple=True,
    help="A washer under it when it was read, that comes out; again.",
)
@click.option(
    "--washer", "washers_mm", type=_LENGTH, multiple=True, help="A washer at hand; again."
)
@click.option(
    "--most",
    "most_count",
    type=click.IntRange(min=1, max=4),
    default=MOST_WASHERS_COUNT,
    show_default=True,
    help="Most washers under it.",
)
@click.option("--u-stand", "u_stand_mm", type=_LENGTH, help="Standard uncertainty of the stand.")
@click.option(
    "--u-deck-cut", "u_deck_cut_mm", type=_LENGTH, help="Standard uncertainty of the cut."
)
@confidence_option
@answer_options()
def injector_command(
    *, as_json: bool, show: str, confidence_probability: float, **words: Any
) -> None:
    """Work out how far an injector stands out after a cut, and the fewest washers for it.

    Without --fitted, washers are added to what is under it; with it, at least one goes in again.
    """
    told = _told(words, confidence_probability=confidence_probability)
    tell(told, as_json=as_json, answer=_answer, show=partial(_print, show=Show(length=show)))


def _told(asked: dict[str, Any], *, confidence_probability: float) -> _Told | Refused:
    stand_mm = asked.pop("stand_mm")
    found = injector_stand(stand_mm, **asked)
    if isinstance(found, Refused):
        return found
    return _Told(
        found=found,
        judged=judge_figure(
            found.stand_mm,
            u=found.u_stand_mm,
            low=asked["low_mm"],
            high=asked["high_mm"],
            confidence_probability=confidence_probability,
        ),
        stand_mm=stand_mm,
        deck_cut_mm=asked["deck_cut_mm"],
    )


def _answer(told: _Told) -> Answer:
    found = told.found
    return {
        "stand_now_mm": told.stand_mm,
        "bare_mm": found.bare_mm,
        "washers_mm": list(found.washers_mm),
        "stand_mm": found.stand_mm,
        "u_stand_mm": found.u_stand_mm,
        "verdict": told.judged.verdict.value,
        "probability": told.judged.probability,
        "cautions": [CAUTION],
    }


def _print(told: _Told, *, show: Show) -> None:
    out, found = page(), told.found
    washers = listed([show.value(each, suffix="mm") for each in found.washers_mm])
    fit = f"Fit {washers}" if washers else "No washer is needed"
    stand = show.value(found.stand_mm, suffix="mm")
    out.print(Text(f"{fit}: stands {stand}, {told.judged.verdict.value}.", style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_row("Stands now", show.value(told.stand_mm, suffix="mm"))
    cut = told.stand_mm + told.deck_cut_mm
    table.add_row("After the cut", show.value(cut, suffix="mm"))
    table.add_row("Without these washers", show.value(found.bare_mm, suffix="mm"))
    if told.judged.probability is not None:
        table.add_row("Sure to be inside", f"{100.0 * told.judged.probability:.1f} %")
    out.print(table)
    bullets(out, "Mind", (CAUTION,))
    bullets(out, "As the trade does it", PRACTICES)
