"""A ring pressed into its bore, as ``castworthy insert`` and ``castworthy guide`` tell it."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from math import isinf
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.assembly import (
    AGENTS_DEGC,
    AssemblyPlan,
    Way,
    assembly_plan,
    fit_at,
)
from castworthy.calc.valvetrain.metals import METALS, ROOM_DEGC
from castworthy.calc.valvetrain.press_fit import (
    INSERT_FRICTION_RATIO,
    Fit,
    PressFit,
    fit_cautions,
    press_fit,
)
from castworthy.cli.answers import Answer, refused_answer
from castworthy.cli.page import page
from castworthy.cli.typed import Typed
from castworthy.records.proof_words import temperature_words
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)
_METAL = click.Choice(list(METALS))
_STRESS = Typed("mpa", least=0.0)
_HEAT = Typed("degc")
CLEARANCE_IN = "0.002in"

ROUND_BOSS = (
    "The metal round the bore is taken as a round boss; where it is thinner on one side it gives "
    "more there. Metals are round figures: the maker's own go before them."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """The same fit hot: head and ring at their own temperatures."""

    boss_degc: float
    ring_degc: float
    fit: PressFit | Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldFit:
    """All there is to say of a fit; what was not asked for is ``None``."""

    fit: Fit
    pressed: PressFit
    service: Service | None
    assembly: AssemblyPlan | Refused
    friction_ratio: float
    yields: tuple[str, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        """What gives, what lets go hot, what can hurt while it is fitted."""
        hot: tuple[str, ...] = ()
        if self.service is not None and isinstance(self.service.fit, Refused):
            hot = (f"Running hot the head lets it go. {self.service.fit.sentence}",)
        plan = self.assembly
        fitting = (plan.sentence,) if isinstance(plan, Refused) else plan.cautions
        return (*self.yields, *hot, *fitting, ROUND_BOSS)


def press_options(*, ring: str, ring_metal: str) -> Callable[[Callable[..., None]], Any]:
    """The options of a press fit, for a command whose ring is an insert or a guide."""
    options = (*_part_options(ring, metal=ring_metal), *_fitting_options(ring))

    def with_options(command: Callable[..., None]) -> Any:
        for option in reversed(options):
            command = option(command)
        return command

    return with_options


def _part_options(ring: str, *, metal: str) -> tuple[Callable[..., Any], ...]:
    return (
        click.option(
            f"--{ring}-metal",
            "ring_metal",
            type=_METAL,
            default=metal,
            show_default=True,
            help=f"Metal of the {ring}.",
        ),
        click.option(
            "--head-metal",
            type=_METAL,
            default="grey iron",
            show_default=True,
            help="Metal of the head.",
        ),
        click.option(
            "--boss",
            "boss_mm",
            type=_LENGTH,
            help="Metal round the bore, across, out to the nearest edge or water; else endless.",
        ),
        click.option(
            "--length", "length_mm", type=_LENGTH, help="Length in the bore, for the press needed."
        ),
        click.option(
            "--friction",
            "friction_ratio",
            type=click.FloatRange(min=0.0),
            default=INSERT_FRICTION_RATIO,
            show_default=True,
            help="Friction while it is pressed.",
        ),
        click.option(
            "--u-outside", "u_ring_mm", type=_LENGTH, help="Standard uncertainty of the outside."
        ),
    )


def _fitting_options(ring: str) -> tuple[Callable[..., Any], ...]:
    return (
        click.option(
            "--clearance",
            "clearance_mm",
            type=_LENGTH,
            default=CLEARANCE_IN,
            show_default=True,
            help="Clearance to drop in, on the diameter.",
        ),
        click.option(
            "--highest",
            "highest_degc",
            type=_HEAT,
            help="Hottest the head may get, as 150C or 300F, from the maker's sheet.",
        ),
        click.option(
            "--chill",
            "chills_degc",
            type=_HEAT,
            multiple=True,
            help=f"Temperature the {ring} can be chilled to, beside the usual ones; again.",
        ),
        click.option(
            "--service-head",
            "service_head_degc",
            type=_HEAT,
            help="The head at work, as 120C: tells the fit there.",
        ),
        click.option(
            f"--service-{ring}",
            "service_ring_degc",
            type=_HEAT,
            help=f"The {ring} at work; else as hot as the head.",
        ),
        click.option(
            "--head-yield",
            "head_yield_mpa",
            type=_STRESS,
            help="Stress the head gives at, as 200MPa; of grey iron its strength.",
        ),
        click.option(
            f"--{ring}-yield",
            "ring_yield_mpa",
            type=_STRESS,
            help=f"Stress the {ring} gives at.",
        ),
    )


def told_fit(fit: Fit, *, asked: dict[str, Any]) -> ToldFit | Refused:
    """A fit worked out by the words of :func:`press_options`; ``Refused`` where it is loose."""
    pressed = press_fit(fit, friction_ratio=asked["friction_ratio"])
    if isinstance(pressed, Refused):
        return pressed
    return ToldFit(
        fit=fit,
        pressed=pressed,
        service=_service(fit, asked=asked),
        assembly=assembly_plan(
            fit,
            clearance_mm=asked["clearance_mm"],
            highest_head_degc=asked["highest_degc"],
            agents_degc=_agents_degc(asked["chills_degc"]),
        ),
        friction_ratio=asked["friction_ratio"],
        yields=fit_cautions(
            pressed,
            boss_yield_mpa=asked["head_yield_mpa"],
            ring_yield_mpa=asked["ring_yield_mpa"],
        ),
    )


def _service(fit: Fit, *, asked: dict[str, Any]) -> Service | None:
    head, ring = asked["service_head_degc"], asked["service_ring_degc"]
    if head is None:
        if ring is not None:
            raise click.UsageError("A fit at work needs --service-head.")
        return None
    ring = head if ring is None else ring
    at_work = fit_at(fit, boss_degc=head, ring_degc=ring)
    return Service(
        boss_degc=head,
        ring_degc=ring,
        fit=press_fit(at_work, friction_ratio=asked["friction_ratio"]),
    )


def _agents_degc(chills_degc: tuple[float, ...]) -> dict[str, float]:
    own = {f"at {degc:.0f} °C": degc for degc in chills_degc}
    return dict(sorted((AGENTS_DEGC | own).items(), key=lambda each: -each[1]))


def fit_answer(told: ToldFit) -> Answer:
    """A fit as JSON."""
    fit, service, plan = told.fit, told.service, told.assembly
    return {
        "ring_metal": fit.ring_metal.name,
        "head_metal": fit.boss_metal.name,
        "ring_mm": fit.ring_mm,
        "bore_mm": fit.bore_mm,
        "ring_bore_mm": fit.ring_bore_mm,
        "boss_mm": None if isinf(fit.boss_mm) else fit.boss_mm,
        **asdict(told.pressed),
        "service": None
        if service is None
        else {
            "head_degc": service.boss_degc,
            "ring_degc": service.ring_degc,
            **(
                refused_answer(service.fit)
                if isinstance(service.fit, Refused)
                else asdict(service.fit)
            ),
        },
        "assembly": refused_answer(plan)
        if isinstance(plan, Refused)
        else {"way": asdict(plan.way), "ways": [asdict(way) for way in plan.ways]},
        "cautions": list(told.cautions),
    }


def print_fit(told: ToldFit, *, ring: str, show: Show) -> None:
    """A fit as a person reads it; ``ring`` is what people call it."""
    out, pressed, plan = page(), told.pressed, told.assembly
    held = _stress(pressed.pressure_mpa, show)
    size = _fine(pressed.interference_mm, show)
    out.print(Text(f"{size} of interference holds the {ring} with {held}.", style="bold"))
    if isinstance(plan, AssemblyPlan):
        out.print(Text(_drop_words(plan.way, ring=ring, show=show)))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    _add_press(table, told, ring=ring, show=show)
    if isinstance(plan, AssemblyPlan):
        for way in plan.ways:
            hot = "" if way.allowed else "too hot for this head"
            name = f"{ring.capitalize()} {way.ring_from}, head at"
            table.add_row(name, temperature_words(way.head_degc, show=show), hot)
    out.print(table)


def _add_press(table: Table, told: ToldFit, *, ring: str, show: Show) -> None:
    pressed, service = told.pressed, told.service
    u = pressed.u_pressure_mpa
    for name, value, note in (
        (
            "Interference",
            _fine(pressed.interference_mm, show),
            f"{1000.0 * pressed.interference_ratio:.2f} for each 1000 of diameter",
        ),
        (
            "Contact pressure",
            _stress(pressed.pressure_mpa, show),
            "" if u is None else f"standard uncertainty {_stress(u, show)}",
        ),
        (
            "Pull in the head, round the bore",
            _stress(pressed.boss_hoop_mpa, show),
            f"{_stress(pressed.boss_von_mises_mpa, show)} by von Mises",
        ),
        (
            f"Squeeze in the {ring}, at its hole",
            _stress(pressed.ring_bore_hoop_mpa, show),
            f"{_stress(pressed.ring_von_mises_mpa, show)} by von Mises",
        ),
        (f"The {ring}'s hole closes by", _fine(abs(pressed.ring_bore_change_mm), show), ""),
    ):
        table.add_row(name, value, note)
    if pressed.press_n is not None:
        force = show.value(pressed.press_n, suffix="n", digits=0)
        table.add_row("Press needed cold", force, f"friction {told.friction_ratio:g}")
    if service is not None and isinstance(service.fit, PressFit):
        hot = temperature_words(service.boss_degc, show=show)
        table.add_row(
            f"Running hot, the head at {hot}",
            _stress(service.fit.pressure_mpa, show),
            f"{_fine(service.fit.interference_mm, show)} of interference left",
        )


def _drop_words(way: Way, *, ring: str, show: Show) -> str:
    head = "as it is"
    if way.head_degc > ROOM_DEGC:
        head = f"at {temperature_words(way.head_degc, show=show)}"
    return f"With the {ring} {way.ring_from}, it drops in with the head {head}."


def _fine(size_mm: float, show: Show) -> str:
    return show.value(size_mm, suffix="mm", difference=True)


def _stress(stress_mpa: float, show: Show) -> str:
    return show.value(abs(stress_mpa), suffix="mpa", digits=1 if show.metric else 0)
