"""``castworthy insert``: a seat insert in its counterbore, and how it is fitted hot and cold."""

from functools import partial
from math import inf
from typing import Any

import click

from castworthy.calc.valvetrain.metals import METALS
from castworthy.calc.valvetrain.press_fit import PRACTICES, Fit
from castworthy.cli.answers import tell
from castworthy.cli.page import bullets, page
from castworthy.cli.press import ToldFit, fit_answer, press_options, print_fit, told_fit
from castworthy.cli.typed import Typed, answer_options
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)


@click.command("insert")
@click.option("--outside", "ring_mm", type=_LENGTH, help="Outside of the insert, as 1.5780in.")
@click.option("--bore", "bore_mm", type=_LENGTH, help="The counterbore, as 1.5748in.")
@click.option(
    "--interference",
    "interference_mm",
    type=_LENGTH,
    help="In place of one of them how much larger the insert is, on the diameter.",
)
@click.option(
    "--hole", "ring_bore_mm", type=_LENGTH, required=True, help="The insert's hole, as 1.26in."
)
@click.option("--u-bore", "u_bore_mm", type=_LENGTH, help="Standard uncertainty of the bore.")
@press_options(ring="insert", ring_metal="steel")
@answer_options()
def insert_command(
    *,
    ring_mm: float | None,
    bore_mm: float | None,
    interference_mm: float | None,
    as_json: bool,
    show: str,
    **words: Any,
) -> None:
    """Work out what a press fit does to insert and head, and how hot and cold they go together.

    Give two of --outside, --bore and --interference, all at room temperature.  With --service-head
    the fit at work is told as well.
    """
    outside, bore = _sizes(ring_mm, bore_mm=bore_mm, interference_mm=interference_mm)
    fit = Fit(
        ring_mm=outside,
        bore_mm=bore,
        ring_bore_mm=words["ring_bore_mm"],
        boss_mm=inf if words["boss_mm"] is None else words["boss_mm"],
        ring_metal=METALS[words["ring_metal"]],
        boss_metal=METALS[words["head_metal"]],
        length_mm=words["length_mm"],
        u_ring_mm=words["u_ring_mm"],
        u_bore_mm=words["u_bore_mm"],
    )
    told = told_fit(fit, asked=words)
    tell(told, as_json=as_json, answer=fit_answer, show=partial(_print, show=Show(length=show)))


def _sizes(
    ring_mm: float | None, *, bore_mm: float | None, interference_mm: float | None
) -> tuple[float, float]:
    """Outside and bore, one of them by the interference."""
    if sum(each is None for each in (ring_mm, bore_mm, interference_mm)) != 1:
        raise click.UsageError("Give two of --outside, --bore and --interference.")
    if ring_mm is None:
        ring_mm = (bore_mm or 0.0) + (interference_mm or 0.0)
    if bore_mm is None:
        bore_mm = ring_mm - (interference_mm or 0.0)
    return ring_mm, bore_mm


def _print(told: ToldFit, *, show: Show) -> None:
    print_fit(told, ring="insert", show=show)
    out = page()
    bullets(out, "As the trade does it", PRACTICES)
    bullets(out, "Mind", told.cautions)
