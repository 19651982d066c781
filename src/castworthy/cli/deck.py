"""``castworthy deck``: flatness of a deck from its heights, and the least cut that cleans it."""

from functools import partial
from pathlib import Path
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.deck.ask import place_words
from castworthy.calc.deck.form import CleanUp, DeckForm
from castworthy.calc.deck.survey import form_of
from castworthy.cli.answers import tell
from castworthy.cli.measured import read_measured
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options
from castworthy.instruments.heights import HeightsFile, read_heights
from castworthy.units import Show

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("deck")
@click.argument("heights", type=_FILE)
@click.option(
    "--window",
    "windows_mm",
    type=Typed("mm", least=1.0),
    multiple=True,
    help="Span of local flatness, as 150mm; may be given again.",
)
@click.option(
    "--tilt",
    "tilt_ratio",
    type=click.FloatRange(min=0.0, max=0.1),
    default=0.0,
    show_default=True,
    help="Largest slope of the cutter plane along each edge, mm per mm.",
)
@click.option(
    "--u",
    "u_height_mm",
    type=Typed("mm", least=0.0),
    help="Standard uncertainty of one height, as 0.1thou.",
)
@answer_options()
def deck_command(
    *,
    heights: Path,
    windows_mm: tuple[float, ...],
    tilt_ratio: float,
    u_height_mm: float | None,
    as_json: bool,
    show: str,
) -> None:
    """Find a deck's flatness, its shape and the least cut that cleans it.

    HEIGHTS is a CSV file of x_mm,y_mm,z_mm or a surface scan (X3P, SDF); heights are positive
    away from the metal.
    """
    read = read_heights(read_measured(heights), file=str(heights))
    units = Show(length=show)
    form = form_of(
        read.heights,
        windows_mm=windows_mm,
        largest_tilt_ratio=tilt_ratio,
        u_height_mm=u_height_mm,
        show=units,
    )
    tell(
        form,
        as_json=as_json,
        answer=partial(_answer, read=read),
        show=partial(_print, read=read, show=units),
    )


def _answer(form: DeckForm, *, read: HeightsFile) -> dict[str, Any]:
    shape = form.shape
    return {
        "points_count": form.points_count,
        "flatness_um": form.flatness_um,
        "u_flatness_um": form.u_flatness_um,
        "flatness_least_squares_um": form.flatness_least_squares_um,
        "contacts_mm": [list(spot) for spot in form.contacts_mm],
        "local_flatness_um": form.local[0].flatness_um if form.local else None,
        "local": [
            {
                "window_mm": each.window_mm,
                "flatness_um": each.flatness_um,
                "x_mm": each.x_mm,
                "y_mm": each.y_mm,
                "points_count": each.points_count,
            }
            for each in form.local
        ],
        "step_um": form.step.step_um,
        "step": {"from_mm": list(form.step.from_mm), "to_mm": list(form.step.to_mm)},
        "bow_um": shape.bow_um,
        "cross_bow_um": shape.cross_bow_um,
        "twist_um": shape.twist_um,
        "wedge_along_um": shape.wedge_along_um,
        "wedge_across_um": shape.wedge_across_um,
        "uneven_um": shape.uneven_um,
        "sentence": shape.sentence,
        "cleanup_level_mm": form.cleanup_level.cut_mm,
        "cleanup_tilted_mm": form.cleanup_tilted.cut_mm,
        "tilt": {
            "a": form.cleanup_tilted.plane.a_ratio,
            "b": form.cleanup_tilted.plane.b_ratio,
        },
        "cleanup": {
            "level": _cut(form.cleanup_level),
            "tilted": _cut(form.cleanup_tilted),
        },
        "questions": list(form.warnings),
        "notes": list(read.notes),
    }


def _cut(cut: CleanUp) -> dict[str, Any]:
    return {
        "largest_mm": cut.cut_mm,
        "over_highest_mm": cut.highest_cut_mm,
        "mean_mm": cut.mean_cut_mm,
        "last_mm": [cut.last_x_mm, cut.last_y_mm],
    }


def _print(form: DeckForm, *, read: HeightsFile, show: Show) -> None:
    out = page()
    out.print(Text(form.shape.sentence, style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    known = (
        ""
        if form.u_flatness_um is None
        else f"standard uncertainty {_finer(form.u_flatness_um, show)}"
    )
    table.add_row("Flatness", _of(form.flatness_um, show), known or "minimum zone")
    table.add_row("By least squares", _of(form.flatness_least_squares_um, show), "peak to valley")
    for each in form.local:
        span = show.value(each.window_mm, suffix="mm")
        where = place_words(each.x_mm, y_mm=each.y_mm, show=show)
        table.add_row(f"In any {span}", _of(each.flatness_um, show), f"worst about {where}")
    step = " to ".join(
        place_words(x, y_mm=y, show=show) for x, y in (form.step.from_mm, form.step.to_mm)
    )
    table.add_row("Largest step", _of(form.step.step_um, show), f"from {step}")
    _add_cut(table, "Clean-up, level", form.cleanup_level, show=show)
    if form.cleanup_tilted.cut_mm < form.cleanup_level.cut_mm:
        _add_cut(table, "Clean-up, tilted", form.cleanup_tilted, show=show)
    out.print(table)
    bullets(out, "Look again", form.warnings)
    bullets(out, "Note", read.notes)


def _add_cut(table: Table, name: str, cut: CleanUp, *, show: Show) -> None:
    last = place_words(cut.last_x_mm, y_mm=cut.last_y_mm, show=show)
    over = _of(cut.highest_cut_mm * 1e3, show)
    slope = "" if cut.plane.a_ratio == cut.plane.b_ratio == 0 else f"; set {over} over the highest"
    table.add_row(name, _of(cut.cut_mm * 1e3, show), f"the last spot cleans at {last}{slope}")


def _of(size_um: float, show: Show) -> str:
    return show.value(size_um / 1e3, suffix="mm", difference=True)


def _finer(size_um: float, show: Show) -> str:
    digits = 4 if show.metric else 2
    return show.value(size_um / 1e3, suffix="mm", difference=True, digits=digits)
