"""``castworthy piston``: the gap of valve and head to the piston, now and after the work."""

import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.chamber.piston import (
    CAUTION,
    PRACTICES,
    Crank,
    LiftCurve,
    PistonWork,
    ValveGap,
    ValveOverPiston,
    after_work,
    gap_at_top_mm,
    least_valve_gap,
)
from castworthy.calc.decision.figure import FigureJudged, judge_figure
from castworthy.calc.decision.verdict import Verdict
from castworthy.cli.answers import Answer
from castworthy.cli.lifts import COLUMNS, read_lifts
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options, confidence_option, uncertainty
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)
_SIGNED = Typed("mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say; ``after`` equals ``place`` where nothing is done."""

    place: ValveOverPiston
    after: ValveOverPiston
    now: ValveGap
    then: ValveGap
    valve: FigureJudged | None
    head: FigureJudged | None

    @property
    def cautions(self) -> tuple[str, ...]:
        """What meets, then what is common to all."""
        said = []
        if self.then.gap_mm <= 0.0:
            said.append("The valve meets the piston: do not turn this engine over.")
        if self.after.piston_to_head_mm <= 0.0:
            said.append("The piston meets the head.")
        return (*said, CAUTION)


@click.command("piston")
@click.option("--gasket", "gasket_mm", type=_LENGTH, required=True, help="Gasket as clamped.")
@click.option(
    "--deck",
    "deck_clearance_mm",
    type=_SIGNED,
    required=True,
    help="Piston below the block's face at top dead centre; -0.35mm where it stands proud.",
)
@click.option(
    "--recession",
    "recession_mm",
    type=_SIGNED,
    required=True,
    help="The valve's face below the deck now; -0.2mm where it stands out.",
)
@click.option("--pocket", "pocket_mm", type=_LENGTH, default=0.0, help="Depth of its pocket.")
@click.option("--tilt", "tilt_deg", type=Typed("deg"), default=0.0, help="How far it leans, 11deg.")
@click.option(
    "--lift", "lift_mm", type=_LENGTH, default=0.0, help="Its lift at top dead centre; else shut."
)
@click.option(
    "--lifts",
    type=click.Path(path_type=Path, dir_okay=False),
    help=f"Its lifts over the overlap (CSV: {COLUMNS}), with --stroke and --rod.",
)
@click.option("--stroke", "stroke_mm", type=_LENGTH, help="Stroke, as 124mm.")
@click.option("--rod", "rod_mm", type=_LENGTH, help="Rod, eye to eye.")
@click.option("--deck-cut", "deck_cut_mm", type=_LENGTH, default=0.0, help="Cut off the deck.")
@click.option("--sink", "sink_mm", type=_LENGTH, default=0.0, help="How far the valve is sunk.")
@click.option("--new-gasket", "new_gasket_mm", type=_LENGTH, help="Gasket fitted afterwards.")
@click.option(
    "--least-valve", "least_valve_mm", type=_LENGTH, help="Least gap of valve and piston."
)
@click.option("--least-head", "least_head_mm", type=_LENGTH, help="Least gap of piston and head.")
@uncertainty("--u-gasket", "u_gasket_mm", kind=_LENGTH, of="the gasket")
@uncertainty("--u-deck", "u_deck_clearance_mm", kind=_LENGTH, of="the piston")
@uncertainty("--u-recession", "u_recession_mm", kind=_LENGTH, of="the recession")
@uncertainty("--u-pocket", "u_pocket_mm", kind=_LENGTH, of="the pocket")
@uncertainty("--u-deck-cut", "u_deck_cut_mm", kind=_LENGTH, of="the cut")
@uncertainty("--u-sink", "u_sink_mm", kind=_LENGTH, of="the sinking")
@confidence_option
@answer_options()
def piston_command(*, as_json: bool, show: str, **words: Any) -> None:
    """Work out how near a valve and the head come to the piston, now and after the work.

    With --lifts the least gap over the overlap is found, else the gap at top dead centre is told.
    """
    told = _told(words)
    if as_json:
        click.echo(json.dumps(_answer(told), indent=2, ensure_ascii=False))
    else:
        _print(told, show=Show(length=show))


def _told(asked: dict[str, Any]) -> _Told:
    place = ValveOverPiston(
        gasket_mm=asked["gasket_mm"],
        deck_clearance_mm=asked["deck_clearance_mm"],
        recession_mm=asked["recession_mm"],
        pocket_mm=asked["pocket_mm"],
        tilt_deg=asked["tilt_deg"],
        u_gasket_mm=asked["u_gasket_mm"],
        u_deck_clearance_mm=asked["u_deck_clearance_mm"],
        u_recession_mm=asked["u_recession_mm"],
        u_pocket_mm=asked["u_pocket_mm"],
    )
    after = after_work(
        place,
        work=PistonWork(
            deck_cut_mm=asked["deck_cut_mm"],
            sink_mm=asked["sink_mm"],
            gasket_mm=asked["new_gasket_mm"],
            u_deck_cut_mm=asked["u_deck_cut_mm"] if asked["deck_cut_mm"] else None,
            u_sink_mm=asked["u_sink_mm"] if asked["sink_mm"] else None,
        ),
    )
    crank, lifts = _crank(asked)
    then = _gap(after, asked=asked, crank=crank, lifts=lifts)
    return _Told(
        place=place,
        after=after,
        now=_gap(place, asked=asked, crank=crank, lifts=lifts),
        then=then,
        valve=_judged(then.gap_mm, then.u_gap_mm, asked=asked, name="least_valve_mm"),
        head=_judged(
            after.piston_to_head_mm, after.u_piston_to_head_mm, asked=asked, name="least_head_mm"
        ),
    )


def _crank(asked: dict[str, Any]) -> tuple[Crank | None, LiftCurve | None]:
    if asked["lifts"] is None:
        return None, None
    if asked["stroke_mm"] is None or asked["rod_mm"] is None:
        raise click.UsageError("Give --lifts with --stroke and --rod.")
    return Crank(stroke_mm=asked["stroke_mm"], rod_mm=asked["rod_mm"]), read_lifts(asked["lifts"])


def _gap(
    place: ValveOverPiston, *, asked: dict[str, Any], crank: Crank | None, lifts: LiftCurve | None
) -> ValveGap:
    if crank is not None and lifts is not None:
        return least_valve_gap(place, crank=crank, lifts=lifts)
    return ValveGap(
        gap_mm=gap_at_top_mm(place, lift_mm=asked["lift_mm"]),
        u_gap_mm=place.u_gap_mm,
        crank_deg=0.0,
        lift_mm=asked["lift_mm"],
    )


def _judged(
    value: float, u: float | None, *, asked: dict[str, Any], name: str
) -> FigureJudged | None:
    if asked[name] is None:
        return None
    return judge_figure(
        value, u=u, low=asked[name], confidence_probability=asked["confidence_probability"]
    )


def _answer(told: _Told) -> Answer:
    return {
        "closed_gap_mm": told.place.closed_gap_mm,
        "valve_gap_now": asdict(told.now),
        "valve_gap_after": asdict(told.then),
        "recession_after_mm": told.after.recession_mm,
        "piston_to_head_now_mm": told.place.piston_to_head_mm,
        "piston_to_head_after_mm": told.after.piston_to_head_mm,
        "valve": _verdict(told.valve),
        "head": _verdict(told.head),
        "cautions": list(told.cautions),
    }


def _verdict(judged: FigureJudged | None) -> Answer | None:
    if judged is None:
        return None
    return {"verdict": judged.verdict.value, "probability": judged.probability}


def _print(told: _Told, *, show: Show) -> None:
    out = page()
    out.print(Text(_headline(told, show=show), style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    for name, gap_mm, note in (
        ("Valve shut, piston at the top", told.place.closed_gap_mm, ""),
        ("Valve to piston now", told.now.gap_mm, _at(told.now, show=show)),
        ("after the work", told.then.gap_mm, _sure(told.valve, at=_at(told.then, show=show))),
        ("Piston to head now", told.place.piston_to_head_mm, ""),
        ("after the work", told.after.piston_to_head_mm, _sure(told.head, at="")),
    ):
        table.add_row(name, show.value(gap_mm, suffix="mm"), note)
    out.print(table)
    bullets(out, "Mind", told.cautions)
    bullets(out, "As the trade does it", PRACTICES)


def _headline(told: _Told, *, show: Show) -> str:
    said = f"Valve to piston {show.value(told.then.gap_mm, suffix='mm')} {_at_words(told.then)}"
    if told.valve is not None:
        said += f", {told.valve.verdict.value}"
    if told.head is not None and told.head.verdict is not Verdict.INSIDE:
        said += f"; piston to head {told.head.verdict.value}"
    return f"{said}."


def _at_words(gap: ValveGap) -> str:
    if gap.crank_deg == 0.0:
        return "at top dead centre"
    side = "after" if gap.crank_deg > 0.0 else "before"
    return f"at {abs(gap.crank_deg):g} degrees {side} top dead centre"


def _at(gap: ValveGap, *, show: Show) -> str:
    return f"{_at_words(gap)}, lift {show.value(gap.lift_mm, suffix='mm')}"


def _sure(judged: FigureJudged | None, *, at: str) -> str:
    if judged is None:
        return at
    said = judged.verdict.value
    if judged.probability is not None:
        share = 100.0 * judged.probability
        said += ", 99.9 % sure or more" if share >= 99.9 else f", {share:.1f} % sure"
    return f"{at}; {said}" if at else said
