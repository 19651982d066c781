"""``castworthy judge``: every reading against its limit, and the head as a whole."""

import json
from itertools import groupby
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import (
    coarse_sentence,
    limit_sentence,
    short_verdict,
    verdict_sentence,
)
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.decide import HeadJudgement, decide
from castworthy.calc.rework.results import Decision
from castworthy.cli.answers import Told, judge_answer, refused_answer
from castworthy.cli.files import Job, read_job
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.page import MARKS, bullets, heading, page, sites_line
from castworthy.cli.typed import answer_options

_DECISIONS = {
    Decision.CONFORMING: "conforming: nothing has to be done.",
    Decision.REWORK: "rework: work brings it in; castworthy plan says which.",
    Decision.SCRAP: "scrap or send back: no work brings every limit in; castworthy plan says why.",
    Decision.UNDECIDED: "not decided yet: something is missing or too close to call.",
}

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("judge")
@click.argument("sheet", type=_FILE)
@click.argument("readings", type=_FILE)
@click.option("--gauges", type=_FILE, help="Gauges file (TOML): how well each reading is known.")
@click.option("--gasket", default="", help="Gasket of the sheet; else its first.")
@answer_options(units=None, says="Units to show; else the sheet's own.")
def judge_command(
    *,
    sheet: Path,
    readings: Path,
    gauges: Path | None,
    gasket: str,
    as_json: bool,
    show: str | None,
) -> None:
    """Say what every reading is worth and what to do with the head.

    SHEET is a spec sheet (TOML), READINGS a readings file (CSV).
    """
    job = read_job(sheet=sheet, readings=readings, gauges=gauges, show=show, gasket=gasket)
    head = decide(job.sheet, readings=job.readings.readings)
    told = Told(sheet=job.sheet, show=job.show, cautions=job.cautions)
    refused = head.plan if isinstance(head.plan, Refused) else None
    if as_json:
        answer = judge_answer(head, told=told) if refused is None else refused_answer(refused)
        click.echo(json.dumps(answer, indent=2, ensure_ascii=False))
    elif refused is None:
        _print(head, job=job)
    if refused is not None:
        raise InputRefusedError(refused.sentence, code=REFUSED)


def _print(head: HeadJudgement, *, job: Job) -> None:
    out, show = page(), job.show
    heading(out, job.sheet)
    for quantity, group in groupby(head.judgements, key=lambda each: each.quantity):
        _print_quantity(out, quantity, list(group), job=job)
    found = [j for j in head.judgements if j.verdict in (Verdict.OUTSIDE, Verdict.CLOSE)]
    bullets(out, "Not inside", [verdict_sentence(j, show=show) for j in found])
    bullets(out, "Look again", [slip.sentence(show) for slip in head.slips])
    bullets(out, "Not measured", [sites_line(head.missing)] if head.missing else [])
    coarse = [text for j in head.judgements if (text := coarse_sentence(j, show=show))]
    bullets(out, "Note", [*job.cautions, *coarse])
    out.print()
    out.print(Text(f"{job.sheet.code} is {_DECISIONS[head.decision]}", style="bold"))


def _print_quantity(out: Console, quantity: Quantity, group: list[Judgement], *, job: Job) -> None:
    show = job.show
    limits = {}
    for each in group:
        limit = job.sheet.limit_for(quantity, place=each.place)
        if limit is not None:
            limits[limit.valve_kind] = limit
    said = "; ".join(
        f"{f'{kind} ' if kind else ''}{limit_sentence(limit, show=show)}"
        for kind, limit in limits.items()
    )
    out.print()
    out.print(Text.assemble((FACTS[quantity].title, "bold"), "  ", (said, "dim")))
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(min_width=5)
    table.add_column(justify="right")
    table.add_column()
    for each in group:
        value = reading_phrase(each.value or 0.0, quantity=quantity, show=show)
        mark, style = MARKS[each.verdict]
        table.add_row(
            each.place or "head", value, Text(f"{mark} {short_verdict(each, show=show)}", style)
        )
    out.print(table)
