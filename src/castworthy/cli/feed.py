"""``castworthy feed``: the feed that gives a wanted finish."""

import csv
import io
from dataclasses import asdict
from functools import partial
from pathlib import Path
from statistics import fmean
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.outcome import Refused
from castworthy.calc.texture.evaluate import evaluate
from castworthy.calc.texture.feed import FeedAdvice, FeedTrace, feed_for
from castworthy.cli.answers import tell
from castworthy.cli.files import read_text
from castworthy.cli.measured import INDEX, read_measured
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.traces import read_traces
from castworthy.units import Show, UnitError, read_value


@click.command("feed")
@click.option(
    "--ra", "ra_um", type=Typed("um", least=0.001), required=True, help="Ra wanted, as 18uin."
)
@click.option(
    "--nose",
    "nose_mm",
    type=Typed("mm", least=0.01),
    required=True,
    help="Radius of the lowest insert, as 0.8mm.",
)
@click.option(
    "--rpm",
    "turning_rpm",
    type=click.FloatRange(min=0.0, min_open=True, max=100_000.0),
    help="Turns a minute, for the table's speed.",
)
@click.option(
    "--length", "length_mm", type=Typed("mm", least=0.1), help="Length of the pass, as 800mm."
)
@click.option(
    "--low",
    "low_ra_um",
    type=Typed("um", least=0.0),
    help="Smoothest Ra the gasket seals on, as 12uin.",
)
@click.option(
    "--traces",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    help=f"Folder of this machine's traces with a {INDEX} (file,feed_mm).",
)
@answer_options(units="mm")
def feed_command(
    *,
    ra_um: float,
    nose_mm: float,
    turning_rpm: float | None,
    length_mm: float | None,
    low_ra_um: float | None,
    folder: Path | None,
    as_json: bool,
    show: str,
) -> None:
    """Work out the feed a turn for a wanted Ra, from the cusp and from a machine's own traces.

    Three traces cut with more than one feed give the machine's own line and how far to trust it.
    The folder's feeds.csv has the columns file and feed_mm (or feed_in, feed_thou; or feed with
    each unit written out: milled-1.csv,0.11 mm), and nose_mm where inserts differ.
    """
    advice = feed_for(
        ra_um,
        nose_mm=nose_mm,
        turning_rpm=turning_rpm,
        length_mm=length_mm,
        traces=() if folder is None else _traces(folder),
        low_ra_um=low_ra_um,
    )
    tell(advice, as_json=as_json, answer=_answer, show=partial(_print, show=Show(length=show)))


def _traces(folder: Path) -> tuple[FeedTrace, ...]:
    """The decks of a folder: one trace each, profiles off one surface taken together."""
    index = folder / INDEX
    text = read_text(index)
    first = text.partition("\n")[0]
    rows = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in first else ",")
    names = [name for name in rows.fieldnames or [] if name]
    feed_name, nose_name = _named(names, "feed"), _named(names, "nose")
    if "file" not in names or not feed_name:
        raise InputRefusedError(
            f"{index}, line 1: the columns file and feed_mm are needed (got {first[:60]!r})."
        )
    found = []
    for line, row in enumerate(rows, start=2):
        where = f"{index}, line {line}"
        feed_mm = _length(row[feed_name] or "", name=feed_name, where=where)
        nose = (row[nose_name] or "").strip() if nose_name else ""
        found.append(
            FeedTrace(
                feed_mm=feed_mm,
                ra_um=_ra_um(folder / (row["file"] or ""), feed_mm=feed_mm, where=where),
                nose_mm=_length(nose, name=nose_name, where=where) if nose else None,
            )
        )
    return tuple(found)


def _named(names: list[str], quantity: str) -> str:
    """The column of a quantity, with or without a unit in its name; empty where there is none."""
    found = (name for name in names if name == quantity or name.startswith(f"{quantity}_"))
    return next(found, "")


def _length(text: str, *, name: str, where: str) -> float:
    """A length [mm] in the unit its column names, or with its own."""
    unit = name.partition("_")[2]
    try:
        length_mm = read_value(text, suffix="mm", bare_unit=unit or None).value
    except UnitError as fault:
        raise InputRefusedError(f"{where}, {name}: {fault}") from fault
    if length_mm <= 0.0:
        raise InputRefusedError(
            f"{where}, {name}: this must be more than 0 (got {text.strip()!r})."
        )
    return length_mm


def _ra_um(path: Path, *, feed_mm: float, where: str) -> float:
    """Ra of one deck, the mean where its file gives several profiles."""
    try:
        read = read_traces(read_measured(path), file=str(path))
    except (InputRefusedError, InstrumentError) as fault:
        raise InputRefusedError(f"{where}: {fault}") from fault
    found = []
    for profile in read.profiles:
        texture = evaluate(profile, feed_set_mm=feed_mm)
        if isinstance(texture, Refused):
            raise InputRefusedError(f"{where}: {path}: {texture.sentence}", code=REFUSED)
        found.append(texture.ra_um)
    return fmean(found)


def _answer(advice: FeedAdvice) -> dict[str, Any]:
    answer = asdict(advice)
    answer["interval_um"] = None if advice.interval_um is None else list(advice.interval_um)
    return answer


def _print(advice: FeedAdvice, *, show: Show) -> None:
    out = page()
    feed = show.value(advice.feed_mm, suffix="mm", digits=3 if show.metric else 4)
    wanted = show.value(advice.ra_um, suffix="um")
    out.print(Text(f"Feed {feed} a turn for Ra {wanted}.", style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    if advice.table_mm_per_min is not None:
        speed = show.value(advice.table_mm_per_min, suffix="mm", digits=1)
        table.add_row("Table", f"{speed} a minute")
    if advice.pass_min is not None:
        table.add_row("The pass", f"{advice.pass_min:.1f} min")
    table.add_row("Ideal Rt", show.value(advice.ideal_rt_um, suffix="um"))
    if advice.interval_um is not None:
        low, high = (show.number(each, suffix="um") for each in advice.interval_um)
        table.add_row("Ra to expect", f"{low} to {high} {show.unit('um')}")
        table.add_row("Traces behind it", str(advice.from_traces_count))
    out.print(table)
    out.print()
    out.print(Text("With other inserts", style="bold"))
    for option in advice.options:
        nose = show.value(option.nose_mm, suffix="mm")
        own = show.value(option.feed_mm, suffix="mm", digits=3 if show.metric else 4)
        out.print(f"  {nose}: feed {own}, ideal Rt {show.value(option.ideal_rt_um, suffix='um')}")
    bullets(out, "Mind", advice.cautions)
