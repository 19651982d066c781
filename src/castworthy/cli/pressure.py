"""``castworthy pressure``: a pressure test with its temperature taken out."""

from dataclasses import asdict, dataclass
from functools import partial
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.leak.pressure import (
    CAUTION,
    PRACTICES,
    PressureDecay,
    bare_rise,
    pressure_decay,
)
from castworthy.calc.leak.proof import (
    PRESSURE_SHARE_RATIO,
    Medium,
    pressure_left_ratio,
    stored_energy_n_m,
)
from castworthy.calc.outcome import Refused
from castworthy.cli.answers import Answer, tell
from castworthy.cli.bench_air import air_kpa, air_options
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options
from castworthy.records.proof_words import energy_sentence, energy_words, pressure_words
from castworthy.units import Show

_PRESSURE = Typed("kpa", least=0.0)
_HEAT = Typed("degc")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say; ``decay`` is ``None`` for water."""

    medium: Medium
    start_kpa: float
    held_kpa: float
    atmosphere_kpa: float
    left_ratio: float
    least_ratio: float
    decay: PressureDecay | None
    stored_air_n_m: float
    stored_water_n_m: float
    volume_cm3: float

    @property
    def inside(self) -> bool:
        """Whether enough of the test pressure is left."""
        return self.left_ratio >= self.least_ratio


@click.command("pressure")
@click.option(
    "--start", "start_kpa", type=_PRESSURE, required=True, help="Gauge at the start, as 40psi."
)
@click.option(
    "--held", "held_kpa", type=_PRESSURE, required=True, help="Gauge at the end, as 39psi."
)
@click.option(
    "--volume",
    "volume_cm3",
    type=Typed("cm3", least=0.1),
    required=True,
    help="Volume under pressure with the line, as 5000cm3.",
)
@click.option(
    "--medium",
    type=click.Choice([each.value for each in Medium]),
    default=Medium.AIR.value,
    show_default=True,
    help="What it is filled with.",
)
@click.option(
    "--start-at", "start_degc", type=_HEAT, help="Air inside at the start, as 22C or 72F."
)
@click.option("--end-at", "end_degc", type=_HEAT, help="Air inside at the end.")
@click.option(
    "--hold", "hold_s", type=Typed("s", least=0.1), default="20min", show_default=True, help="Time."
)
@click.option(
    "--u-pressure",
    "u_pressure_kpa",
    type=_PRESSURE,
    default="0.5kPa",
    show_default=True,
    help="Standard uncertainty of one reading of the gauge.",
)
@click.option(
    "--u-temperature",
    "u_temperature_degc",
    type=click.FloatRange(min=0.0),
    default=0.5,
    show_default=True,
    help="Standard uncertainty of one temperature, in degrees C.",
)
@air_options
@click.option(
    "--least",
    "least_ratio",
    type=click.FloatRange(min=0.0, max=1.0),
    default=PRESSURE_SHARE_RATIO,
    show_default=True,
    help="Least share of the test pressure left.",
)
@answer_options()
def pressure_command(*, as_json: bool, show: str, **words: Any) -> None:
    """Take the temperature out of a pressure test, and tell the leak and the energy it stores.

    Air needs --start-at and --end-at, its temperatures inside; water is compared as read.
    """
    units = Show(length=show)
    told = _told(words, show=units)
    tell(
        told, as_json=as_json, answer=partial(_answer, show=units), show=partial(_print, show=units)
    )


def _told(asked: dict[str, Any], *, show: Show) -> _Told | Refused:
    medium = Medium(asked["medium"])
    bench_kpa = air_kpa(asked["atmosphere_kpa"], altitude_mm=asked["altitude_mm"])
    degrees = {name: asked[name] for name in ("start_degc", "end_degc")}
    pressures = {name: asked[name] for name in ("start_kpa", "held_kpa")}
    decay = None
    if medium is Medium.AIR:
        decay = _decay(asked, pressures=pressures, degrees=degrees, bench_kpa=bench_kpa, show=show)
        if isinstance(decay, Refused):
            return decay
    elif any(each is not None for each in degrees.values()):
        raise click.UsageError("--start-at and --end-at are of air; water is compared as read.")
    else:
        risen = bare_rise(**pressures, u_pressure_kpa=asked["u_pressure_kpa"], show=show)
        if risen is not None:
            return risen
    return _Told(
        medium=medium,
        **pressures,
        atmosphere_kpa=bench_kpa,
        left_ratio=pressure_left_ratio(
            **pressures, **(degrees if decay else {}), atmosphere_kpa=bench_kpa
        ),
        least_ratio=asked["least_ratio"],
        decay=decay,
        stored_air_n_m=_stored_n_m(asked, medium=Medium.AIR, bench_kpa=bench_kpa),
        stored_water_n_m=_stored_n_m(asked, medium=Medium.WATER, bench_kpa=bench_kpa),
        volume_cm3=asked["volume_cm3"],
    )


def _decay(
    asked: dict[str, Any],
    *,
    pressures: dict[str, float],
    degrees: dict[str, Any],
    bench_kpa: float,
    show: Show,
) -> PressureDecay | Refused:
    if None in degrees.values():
        raise click.UsageError("Air needs --start-at and --end-at, its temperatures inside.")
    return pressure_decay(
        **pressures,
        **degrees,
        hold_s=asked["hold_s"],
        volume_cm3=asked["volume_cm3"],
        u_pressure_kpa=asked["u_pressure_kpa"],
        u_temperature_degc=asked["u_temperature_degc"],
        atmosphere_kpa=bench_kpa,
        show=show,
    )


def _stored_n_m(asked: dict[str, Any], *, medium: Medium, bench_kpa: float) -> float:
    return stored_energy_n_m(
        pressure_kpa=asked["start_kpa"],
        volume_cm3=asked["volume_cm3"],
        medium=medium,
        atmosphere_kpa=bench_kpa,
    )


def _cautions(told: _Told, *, show: Show) -> list[str]:
    energy = energy_sentence(
        medium=told.medium, pressure_kpa=told.start_kpa, volume_cm3=told.volume_cm3, show=show
    )
    return [*(() if told.decay is None else told.decay.cautions), energy]


def _answer(told: _Told, *, show: Show) -> Answer:
    decay = None
    if told.decay is not None:
        decay = asdict(told.decay)
        del decay["cautions"], decay["stored_n_m"]
    return {
        "medium": told.medium.value,
        "start_kpa": told.start_kpa,
        "held_kpa": told.held_kpa,
        "atmosphere_kpa": told.atmosphere_kpa,
        "loss_kpa": told.start_kpa - told.held_kpa,
        "left_ratio": told.left_ratio,
        "least_ratio": told.least_ratio,
        "inside": told.inside,
        "stored_air_n_m": told.stored_air_n_m,
        "stored_water_n_m": told.stored_water_n_m,
        "decay": decay,
        "cautions": _cautions(told, show=show),
    }


def _print(told: _Told, *, show: Show) -> None:
    out, decay = page(), told.decay
    verdict = "enough" if told.inside else f"less than {told.least_ratio:.0%}"
    if decay is not None:
        out.print(Text(decay.sentence, style="bold"))
    left = f"{told.left_ratio:.1%} of the test pressure is left, {verdict}."
    out.print(Text(left, style="" if decay else "bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    table.add_row("The gauge lost", pressure_words(told.start_kpa - told.held_kpa, show=show))
    if decay is not None:
        _add_decay(table, decay, show=show)
    for name, energy in (("air", told.stored_air_n_m), ("water", told.stored_water_n_m)):
        table.add_row(f"Energy stored by {name}", energy_words(energy))
    out.print(table)
    bullets(out, "Mind", [*_cautions(told, show=show), CAUTION])
    bullets(out, "As the trade does it", PRACTICES)


def _add_decay(table: Table, decay: PressureDecay, *, show: Show) -> None:
    warmth = "cooling" if decay.by_temperature_kpa >= 0.0 else "warming"
    u = pressure_words(decay.u_leak_loss_kpa, show=show)
    table.add_row(f"  by {warmth}", pressure_words(decay.by_temperature_kpa, show=show))
    table.add_row(
        "  by a leak",
        pressure_words(decay.leak_loss_kpa, show=show),
        f"standard uncertainty {u}",
    )
    if decay.seen:
        table.add_row("Leak rate", f"{decay.leak_std_cm3_per_min:.3g} std cm³/min")
        hole = show.value(decay.hole_um / 1e3, suffix="mm", difference=True)
        table.add_row("One round hole of", hole)
