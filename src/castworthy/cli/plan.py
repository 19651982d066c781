"""``castworthy plan``: the least work that brings every limit in, or why there is none."""

import json
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from castworthy.calc.decision.phrases import place_phrase, reading_phrase
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS
from castworthy.calc.rework.edges import Edges, span_edges
from castworthy.calc.rework.explain import (
    binding_sentences,
    conflict_sentences,
    odds_sentence,
    open_sentences,
    span_sentence,
    work_sentence,
)
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.ratio import ratio_sentence
from castworthy.calc.rework.results import After, NoPlan, Objective, Plan
from castworthy.cli.answers import Told, no_plan_answer, plan_answer, refused_answer
from castworthy.cli.files import Job, read_job
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.page import bullets, clock, heading, page
from castworthy.cli.typed import Typed, answer_options

_TITLES = {
    Objective.COST: "Least cost",
    Objective.DECK: "Most deck left",
    Objective.SUREST: "Surest",
}
_ADVICE = "The engine maker's manual and a qualified machinist have the last word."

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("plan")
@click.argument("sheet", type=_FILE)
@click.argument("readings", type=_FILE)
@click.option("--gauges", type=_FILE, help="Gauges file (TOML): how well each reading is known.")
@click.option(
    "--objective",
    type=click.Choice([each.value for each in Objective]),
    default=Objective.COST.value,
    show_default=True,
    help="What the plan is best at: cost, deck left, or certainty.",
)
@click.option(
    "--deck-cut",
    "deck_cut_mm",
    type=Typed("mm", least=0.0),
    help="Hold the deck cut at this depth, as 4thou; 0mm is no deck cut.",
)
@click.option("--gasket", default="", help="Gasket of the sheet; else its first.")
@answer_options(units=None, says="Units to show; else the sheet's own.")
def plan_command(
    *,
    sheet: Path,
    readings: Path,
    gauges: Path | None,
    gasket: str,
    objective: str,
    deck_cut_mm: float | None,
    as_json: bool,
    show: str | None,
) -> None:
    """Work out the least work that brings every limit in.

    SHEET is a spec sheet (TOML), READINGS a readings file (CSV).
    """
    job = read_job(sheet=sheet, readings=readings, gauges=gauges, show=show, gasket=gasket)
    answer = make_plan(
        job.sheet,
        readings=job.readings.readings,
        objective=Objective(objective),
        fixed_deck_cut_mm=deck_cut_mm,
    )
    if as_json:
        click.echo(json.dumps(_as_json(answer, job=job), indent=2, ensure_ascii=False))
    elif not isinstance(answer, Refused):
        _print(answer, job=job)
    if isinstance(answer, Refused):
        raise InputRefusedError(answer.sentence, code=REFUSED)


def _edges(plan: Plan, *, job: Job) -> Edges:
    return span_edges(job.sheet, readings=job.readings.readings, plan=plan)


def _as_json(answer: Plan | NoPlan | Refused, *, job: Job) -> dict[str, object]:
    told = Told(sheet=job.sheet, show=job.show, cautions=job.cautions)
    if isinstance(answer, Refused):
        return refused_answer(answer)
    if isinstance(answer, Plan):
        return plan_answer(answer, edges=_edges(answer, job=job), told=told)
    edges = None if answer.surest is None else _edges(answer.surest, job=job)
    return no_plan_answer(answer, surest_edges=edges, told=told)


def _print(answer: Plan | NoPlan, *, job: Job) -> None:
    out = page()
    heading(out, job.sheet)
    if isinstance(answer, NoPlan):
        bullets(out, "No work brings every limit in", conflict_sentences(answer, show=job.show))
        if answer.surest is not None:
            _print_plan(out, answer.surest, title="Surest by the bare limits", job=job)
    else:
        _print_plan(out, answer, title=_TITLES[answer.objective], job=job)
    bullets(out, "Note", [*job.cautions, _ADVICE])


def _print_plan(out: Console, plan: Plan, *, title: str, job: Job) -> None:
    show = job.show
    out.print()
    if plan.empty:
        out.print(Text("Nothing has to be done: every limit holds as it was read.", style="bold"))
        bullets(out, "Still open", open_sentences(plan))
        return
    out.print(Text(title, style="bold"))
    facts = Table(box=None, show_header=False, pad_edge=False, padding=(0, 3, 0, 2))
    facts.add_row("Cost", f"{plan.cost:,.2f}")
    facts.add_row("Bench time", clock(plan.minutes))
    deck = 0.0 if plan.deck is None else plan.deck.depth_mm
    facts.add_row("Deck taken", show.value(deck, suffix="mm", difference=True))
    if plan.deck_left_mm is not None:
        facts.add_row(
            "Deck left after", show.value(plan.deck_left_mm, suffix="mm", difference=True)
        )
    facts.add_row("", odds_sentence(plan))
    out.print(facts)
    _print_after(out, plan, job=job)
    steps = [f"{i}. {work_sentence(step, show=show)}" for i, step in enumerate(plan.work, start=1)]
    bullets(out, "Work, in order", steps)
    bullets(out, "What the plan rests against", binding_sentences(plan, show=show))
    ratio = ratio_sentence(plan, sheet=job.sheet)
    bullets(out, "Chambers", [ratio] if ratio else [])
    bullets(out, "Another deck cut", [span_sentence(plan, edges=_edges(plan, job=job), show=show)])
    bullets(out, "Still open", open_sentences(plan))


def _print_after(out: Console, plan: Plan, *, job: Job) -> None:
    rows = [row for row in plan.after if row.moved]
    if not rows:
        return
    out.print()
    out.print(Text("Before and after", style="bold"))
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    table.add_column("quantity")
    table.add_column("at")
    table.add_column("as measured", justify="right")
    table.add_column("as planned", justify="right")
    table.add_column("holds", justify="right")
    last = None
    for row in rows:
        title = "" if row.quantity is last else FACTS[row.quantity].title
        last = row.quantity
        table.add_row(title, place_phrase(row.quantity, place=row.place), *_figures(row, job=job))
    out.print(table)


def _figures(row: After, *, job: Job) -> tuple[str, str, str]:
    before, after = (
        reading_phrase(value, quantity=row.quantity, show=job.show)
        for value in (row.before, row.value)
    )
    holds = "" if row.probability is None else f"{int(row.probability * 1000) / 10:.1f} %"
    return before, after, f"{holds} binds" if row.binding else holds
