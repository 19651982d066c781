"""``castworthy leak``: a port's leak from the log of its vacuum."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.head import Gauge
from castworthy.calc.leak.decay import Decay, PressureLog, fit_decay
from castworthy.calc.leak.flow import Port
from castworthy.calc.leak.ports import (
    PortComparison,
    PortLeak,
    PumpShare,
    compare_ports,
    compare_with_pump,
)
from castworthy.calc.leak.verdict import LeakJudgement, judge_decay
from castworthy.calc.leak.words import PRACTICES, log_sentences
from castworthy.calc.outcome import Refused
from castworthy.cli.answers import refused_answer
from castworthy.cli.bench_air import air_kpa, air_options
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options, confidence_option
from castworthy.instruments.logs import LogFile, read_log
from castworthy.units import Show

_FILE = click.Path(path_type=Path, dir_okay=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    """What the port is judged by, each ``None`` where not asked."""

    most_loss_kpa: float | None
    least_held_kpa: float | None
    dead_head_kpa: float | None
    confidence_probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say of one log."""

    decay: Decay
    judgement: LeakJudgement | None
    pump: PumpShare | None
    ports: PortComparison | Refused | None
    notes: tuple[str, ...]
    show: Show

    @property
    def sentences(self) -> tuple[str, ...]:
        """Verdict, leak, pump, other ports."""
        said = log_sentences(self.decay, show=self.show, judgement=self.judgement)
        return (*said, *(each.sentence for each in (self.pump, self.ports) if each is not None))

    @property
    def cautions(self) -> tuple[str, ...]:
        """What makes the answer less sure."""
        return (*self.decay.cautions, *(() if self.pump is None else self.pump.cautions))


@click.command("leak")
@click.argument("log", type=_FILE)
@click.option(
    "--volume",
    "volume_cm3",
    type=Typed("cm3", least=0.1),
    required=True,
    help="Volume of port, adapter and line, as 250cm3.",
)
@click.option(
    "--u-volume",
    "u_volume_cm3",
    type=Typed("cm3", least=0.0),
    default=0.0,
    help="Standard uncertainty of the volume, as 10cm3.",
)
@click.option(
    "--u-gauge",
    "u_gauge_kpa",
    type=Typed("kpa", least=0.0),
    help="Standard uncertainty of one reading of the gauge, as 0.2inHg; what the readings do not "
    "scatter counts as shared by them all.",
)
@air_options
@click.option(
    "--hold",
    "hold_s",
    type=Typed("s", least=0.1),
    default=30.0,
    help="How long vacuum is watched; else 30s.",
)
@click.option(
    "--temperature", "temperature_degc", type=Typed("degc"), default=20.0, help="Else 20°C."
)
@click.option(
    "--discharge",
    "discharge_ratio",
    type=click.FloatRange(min=0.0, max=1.0, min_open=True),
    default=1.0,
    show_default=True,
    help="Discharge coefficient of the equivalent hole; 1 gives the smallest.",
)
@click.option(
    "--most-loss",
    "most_loss_kpa",
    type=Typed("kpa"),
    help="Most it may lose in the hold, as 1inHg.",
)
@click.option(
    "--least-held",
    "least_held_kpa",
    type=Typed("kpa"),
    help="Least vacuum at the end of the hold, as 22inHg.",
)
@confidence_option
@click.option(
    "--dead-head",
    "dead_head_kpa",
    type=Typed("kpa"),
    help="The pump's vacuum against a closed line today, as 26inHg.",
)
@click.option(
    "--beside",
    "others",
    type=_FILE,
    multiple=True,
    help="Log of another port of this head of the same volume; may be given again.",
)
@answer_options()
def leak_command(
    *,
    log: Path,
    volume_cm3: float,
    u_volume_cm3: float,
    u_gauge_kpa: float | None,
    atmosphere_kpa: float | None,
    altitude_mm: float | None,
    hold_s: float,
    temperature_degc: float,
    discharge_ratio: float,
    most_loss_kpa: float | None,
    least_held_kpa: float | None,
    confidence_probability: float,
    dead_head_kpa: float | None,
    others: tuple[Path, ...],
    as_json: bool,
    show: str,
) -> None:
    """Find a port's leak from the log of its vacuum after the pump is shut off.

    LOG is a CSV file of t_s,p_kpa (absolute) or t_s,vacuum_inHg; other units by the names of the
    columns, as t_min, p_mbar or vacuum_kpa.
    """
    port = Port(
        volume_cm3=volume_cm3,
        u_volume_cm3=u_volume_cm3,
        atmosphere_kpa=air_kpa(atmosphere_kpa, altitude_mm=altitude_mm),
        temperature_degc=temperature_degc,
        discharge_ratio=discharge_ratio,
    )
    read = _read(log)
    gauge = None if not u_gauge_kpa else Gauge(name="the gauge", suffix="kpa", u=u_gauge_kpa)
    decay = fit_decay(_log(read, port=port), port=port, hold_s=hold_s, gauge=gauge)
    if isinstance(decay, Refused):
        if as_json:
            click.echo(json.dumps(refused_answer(decay), indent=2, ensure_ascii=False))
        raise InputRefusedError(decay.sentence, code=REFUSED)
    limits = _Limits(
        most_loss_kpa=most_loss_kpa,
        least_held_kpa=least_held_kpa,
        dead_head_kpa=dead_head_kpa,
        confidence_probability=confidence_probability,
    )
    units = Show(length=show)
    told = _Told(
        decay=decay,
        judgement=_judged(decay, limits=limits),
        pump=_pump(decay, limits=limits, show=units),
        ports=_compared(decay, file=log, others=others, port=port),
        notes=read.notes,
        show=units,
    )
    if as_json:
        click.echo(json.dumps(_answer(told), indent=2, ensure_ascii=False))
    else:
        _print(told)


def _read(path: Path) -> LogFile:
    try:
        raw = path.read_bytes()
    except OSError as fault:
        raise InputRefusedError(
            f"{path}: the file cannot be read ({(fault.strerror or 'no reason given').lower()})."
        ) from fault
    return read_log(raw, file=str(path))


def _log(read: LogFile, *, port: Port) -> PressureLog:
    return read.log(atmosphere_kpa=port.atmosphere_kpa)


def _judged(decay: Decay, *, limits: _Limits) -> LeakJudgement | None:
    if limits.most_loss_kpa is None and limits.least_held_kpa is None:
        return None
    return judge_decay(
        decay,
        most_loss_kpa=limits.most_loss_kpa,
        least_held_kpa=limits.least_held_kpa,
        confidence_probability=limits.confidence_probability,
    )


def _pump(decay: Decay, *, limits: _Limits, show: Show) -> PumpShare | None:
    if limits.dead_head_kpa is None:
        return None
    return compare_with_pump(
        held_kpa=decay.held_kpa,
        dead_head_kpa=limits.dead_head_kpa,
        atmosphere_kpa=decay.port.atmosphere_kpa,
        show=show,
    )


def _compared(
    decay: Decay, *, file: Path, others: tuple[Path, ...], port: Port
) -> PortComparison | Refused | None:
    if not others:
        return None
    ports = [_named(decay, file=file)]
    for path in others:
        other = fit_decay(_log(_read(path), port=port), port=port, hold_s=decay.hold_s)
        if isinstance(other, Refused):
            raise InputRefusedError(f"{path}: {other.sentence}", code=REFUSED)
        ports.append(_named(other, file=path))
    return compare_ports(tuple(ports))


def _named(decay: Decay, *, file: Path) -> PortLeak:
    return PortLeak(
        place=file.stem,
        leak_pa_m3_per_s=decay.leak_pa_m3_per_s,
        u_leak_pa_m3_per_s=decay.u_leak_pa_m3_per_s,
    )


def _answer(told: _Told) -> dict[str, Any]:
    decay, judgement, ports = told.decay, told.judgement, told.ports
    compared = ports if isinstance(ports, PortComparison) else None
    return {
        "leak_pa_m3_per_s": decay.leak_pa_m3_per_s,
        "leak_interval_pa_m3_per_s": list(decay.leak_interval_pa_m3_per_s),
        "u_leak_pa_m3_per_s": decay.u_leak_pa_m3_per_s,
        "leak_std_cm3_per_min": decay.leak_std_cm3_per_min,
        "leak_interval_std_cm3_per_min": list(decay.leak_interval_std_cm3_per_min),
        "hole_um": decay.hole_um,
        "hole_interval_um": list(decay.hole_interval_um),
        "loss_in_hold_kpa": decay.loss_in_hold_kpa,
        "loss_interval_kpa": list(decay.loss_interval_kpa),
        "u_loss_kpa": decay.u_loss_kpa,
        "held_kpa": decay.held_kpa,
        "u_held_kpa": decay.u_held_kpa,
        "u_shared_kpa": decay.u_shared_kpa,
        "start_kpa": decay.start_kpa,
        "seen": decay.seen,
        "hold_s": decay.hold_s,
        "volume_cm3": decay.port.volume_cm3,
        "u_volume_cm3": decay.port.u_volume_cm3,
        "atmosphere_kpa": decay.port.atmosphere_kpa,
        "temperature_degc": decay.port.temperature_degc,
        "discharge_ratio": decay.port.discharge_ratio,
        "points_count": decay.points_count,
        "scatter_kpa": decay.scatter_kpa,
        "strays_s": list(decay.strays_s),
        "verdict": None if judgement is None else judgement.verdict.value,
        "probability": None if judgement is None else judgement.probability,
        "dead_head_share_ratio": None if told.pump is None else told.pump.share_ratio,
        "odd_ports": None if compared is None else list(compared.odd),
        "sentences": list(told.sentences),
        "cautions": list(told.cautions),
        "notes": list(told.notes),
    }


def _print(told: _Told) -> None:
    out, decay = page(), told.decay
    first, *rest = told.sentences
    out.print(Text(first, style="bold"))
    for sentence in rest:
        out.print(Text(sentence))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    low, high = decay.leak_interval_pa_m3_per_s
    table.add_row(
        "Leak rate",
        f"{decay.leak_pa_m3_per_s:.3g} Pa m³/s",
        f"{low:.3g} to {high:.3g}, 95 % interval",
    )
    vacuum = told.show.of_vacuum()
    start_kpa = decay.port.atmosphere_kpa - decay.start_kpa
    table.add_row("Vacuum at the start", vacuum.value(start_kpa, suffix="kpa", digits=2))
    table.add_row("Scatter", vacuum.value(decay.scatter_kpa, suffix="kpa", digits=3), "one reading")
    table.add_row("Readings", str(decay.points_count))
    out.print(table)
    bullets(out, "Look again", told.cautions)
    bullets(out, "Note", told.notes)
    bullets(out, "As the trade does it", PRACTICES)
