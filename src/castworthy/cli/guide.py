"""``castworthy guide``: a stem's clearance in its guide, and the guide's own press fit."""

from dataclasses import asdict, dataclass
from functools import partial
from math import inf
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.guide import PRACTICES, Across, StemClearance, stem_clearance
from castworthy.calc.valvetrain.metals import METALS
from castworthy.calc.valvetrain.press_fit import Fit
from castworthy.cli.answers import Answer, tell
from castworthy.cli.needs import check_needs
from castworthy.cli.page import bullets, page
from castworthy.cli.press import ToldFit, fit_answer, press_options, print_fit, told_fit
from castworthy.cli.typed import Typed, answer_options, confidence_option
from castworthy.units import Show, UnitError, read_value

_LENGTH = Typed("mm", least=0.0)

BINDS = "The stem is larger than the guide somewhere: it binds. Measure both again."


class Read(click.ParamType):
    """A diameter read once or twice across at one depth: ``8.02mm`` or ``8.02mm/8.03mm``."""

    name = "SIZE[/SIZE]"

    def convert(
        self, value: str | Across, param: click.Parameter | None, ctx: click.Context | None
    ) -> Across:
        """Both readings [mm]; one stands for both."""
        if isinstance(value, Across):
            return value
        parts = value.split("/")
        if len(parts) > 2:
            self.fail(
                f"{value!r} holds {len(parts)} readings; give one depth read once or twice "
                "across, and the option again for the next depth.",
                param,
                ctx,
            )
        try:
            sizes = [read_value(part, suffix="mm").value for part in parts]
        except UnitError as fault:
            self.fail(str(fault), param, ctx)
        return Across(first_mm=sizes[0], second_mm=sizes[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say; what was not asked for is ``None``."""

    clearance: StemClearance | None
    fit: ToldFit | None
    limits_mm: tuple[float | None, float | None]

    @property
    def cautions(self) -> tuple[str, ...]:
        """A stem that binds, then the fit's."""
        binds = self.clearance is not None and self.clearance.smallest_mm < 0.0
        return (*((BINDS,) if binds else ()), *(() if self.fit is None else self.fit.cautions))


@click.command("guide")
@click.option(
    "--bore",
    "bores",
    type=Read(),
    multiple=True,
    help="The guide's hole at one depth, as 0.3146in or 0.3148in/0.3146in across; again for the "
    "next depth, from one end to the other.",
)
@click.option("--stem", "stems", type=Read(), multiple=True, help="The stem, in the same way.")
@click.option("--low", "low_mm", type=_LENGTH, help="Least clearance, as 0.0010in.")
@click.option("--high", "high_mm", type=_LENGTH, help="Largest clearance, as 0.0040in.")
@click.option("--u-bore", "u_bore_mm", type=_LENGTH, help="Standard uncertainty of the hole.")
@click.option("--u-stem", "u_stem_mm", type=_LENGTH, help="Standard uncertainty of the stem.")
@confidence_option
@click.option(
    "--outside", "ring_mm", type=_LENGTH, help="Outside of the guide, for its fit in the head."
)
@click.option("--head-bore", "bore_mm", type=_LENGTH, help="With it the hole in the head.")
@click.option(
    "--hole", "ring_bore_mm", type=_LENGTH, help="The guide's hole before; else the mean of --bore."
)
@click.option(
    "--u-head-bore", "u_head_bore_mm", type=_LENGTH, help="Standard uncertainty of that hole."
)
@press_options(ring="guide", ring_metal="bronze")
@answer_options()
def guide_command(*, as_json: bool, show: str, **words: Any) -> None:
    """Work out a stem's clearance in its guide, the wear of both, and the guide's press fit.

    Give --bore and --stem for the clearance, --outside and --head-bore for the fit, or all four.
    """
    check_needs()
    told = _told(words)
    tell(told, as_json=as_json, answer=_answer, show=partial(_print, show=Show(length=show)))


def _told(asked: dict[str, Any]) -> _Told | Refused:
    clearance, fit = _clearance(asked), _fit(asked)
    if isinstance(fit, Refused):
        return fit
    if clearance is None and fit is None:
        raise click.UsageError("Give --bore and --stem, or --outside and --head-bore.")
    return _Told(clearance=clearance, fit=fit, limits_mm=(asked["low_mm"], asked["high_mm"]))


def _clearance(asked: dict[str, Any]) -> StemClearance | None:
    bores, stems = asked["bores"], asked["stems"]
    if not stems and (not bores or asked["ring_mm"] is not None):
        return None
    if not bores or not stems:
        raise click.UsageError("A clearance needs --bore and --stem, each once or more.")
    return stem_clearance(
        bores,
        stems=stems,
        low_mm=asked["low_mm"],
        high_mm=asked["high_mm"],
        u_bore_mm=asked["u_bore_mm"],
        u_stem_mm=asked["u_stem_mm"],
        confidence_probability=asked["confidence_probability"],
    )


def _fit(asked: dict[str, Any]) -> ToldFit | Refused | None:
    outside, bore, hole = asked["ring_mm"], asked["bore_mm"], asked["ring_bore_mm"]
    if outside is None and bore is None:
        return None
    if outside is None or bore is None:
        raise click.UsageError("Give --outside and --head-bore together.")
    if hole is None:
        if not asked["bores"]:
            raise click.UsageError("The fit needs the guide's hole: --hole or --bore.")
        hole = sum(each.mean_mm for each in asked["bores"]) / len(asked["bores"])
    fit = Fit(
        ring_mm=outside,
        bore_mm=bore,
        ring_bore_mm=hole,
        boss_mm=inf if asked["boss_mm"] is None else asked["boss_mm"],
        ring_metal=METALS[asked["ring_metal"]],
        boss_metal=METALS[asked["head_metal"]],
        length_mm=asked["length_mm"],
        u_ring_mm=asked["u_ring_mm"],
        u_bore_mm=asked["u_head_bore_mm"],
    )
    return told_fit(fit, asked=asked)


def _answer(told: _Told) -> Answer:
    low, high = told.limits_mm
    return {
        "clearance": None
        if told.clearance is None
        else {**asdict(told.clearance), "low_mm": low, "high_mm": high},
        "fit": None if told.fit is None else fit_answer(told.fit),
        "cautions": list(told.cautions),
    }


def _print(told: _Told, *, show: Show) -> None:
    if told.clearance is not None:
        _print_clearance(told.clearance, limits_mm=told.limits_mm, show=show)
    if told.fit is not None:
        if told.clearance is not None:
            page().print()
        print_fit(told.fit, ring="guide", show=show)
    if told.clearance is not None:
        bullets(page(), "As the trade does it", PRACTICES)
    bullets(page(), "Mind", told.cautions)


def _print_clearance(
    found: StemClearance, *, limits_mm: tuple[float | None, float | None], show: Show
) -> None:
    out = page()
    out.print(Text(_headline(found, limits_mm=limits_mm, show=show), style="bold"))
    if found.probability is not None:
        out.print(Text(f"It lies inside with a probability of at least {found.probability:.1%}."))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    u = found.u_clearance_mm
    for name, size, note in (
        ("Largest", found.largest_mm, "widest of the guide, thinnest of the stem"),
        ("Smallest", found.smallest_mm, ""),
        ("Mean", found.mean_mm, "" if u is None else f"standard uncertainty {_of(u, show)}"),
        ("Guide tapers", found.bore_taper_mm, f"bell mouth {_of(found.bell_mouth_mm, show)}"),
        ("Guide out of round", found.bore_out_of_round_mm, ""),
        ("Stem tapers", found.stem_taper_mm, ""),
        ("Stem out of round", found.stem_out_of_round_mm, ""),
    ):
        table.add_row(name, _of(size, show), note)
    out.print(table)


def _headline(
    found: StemClearance, *, limits_mm: tuple[float | None, float | None], show: Show
) -> str:
    span = _of(found.largest_mm, show)
    if found.largest_mm - found.smallest_mm > 1e-9:
        low = show.number(found.smallest_mm, suffix="mm", difference=True)
        span = f"{low} to {span}"
    said = f"The stem has {span} of clearance"
    least, most = limits_mm
    if found.verdict is None:
        return f"{said}."
    if found.verdict is Verdict.CLOSE:
        return f"{said}, too close to its limits to call: read again or with a better gauge."
    if found.verdict is Verdict.INSIDE:
        return f"{said}, inside its limits."
    if most is not None and found.largest_mm > most:
        return f"{said}, {_of(found.largest_mm - most, show)} too much."
    return f"{said}, {_of((least or 0.0) - found.smallest_mm, show)} too little."


def _of(size_mm: float, show: Show) -> str:
    return show.value(size_mm, suffix="mm", difference=True)
