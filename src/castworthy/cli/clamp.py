"""``castworthy clamp``: preload from torque, angle or stretch, and the clamp beside the gas."""

import json
from dataclasses import dataclass
from math import pi
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.clamp.joint import Clamp, clamp_over_gas
from castworthy.calc.clamp.preload import (
    STEEL_MPA,
    YIELD_SHARE,
    Friction,
    Method,
    Preload,
    most_preload_n,
    preload_from_angle,
    preload_from_factor,
    preload_from_stretch,
    preload_from_torque,
    stud_rate_n_per_mm,
)
from castworthy.calc.clamp.thread import Form, Thread, thread_of
from castworthy.cli.needs import check_needs
from castworthy.cli.page import bullets, page
from castworthy.cli.typed import Typed, answer_options
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    """The command's words, by their names."""

    torque_n_m: float | None
    angle_deg: float | None
    stretch_mm: float | None
    factor_ratio: float | None
    mu: float
    mu_thread: float | None
    mu_head: float | None
    under_head_mm: float | None
    length_mm: float | None
    shank_mm: float | None
    modulus_mpa: float
    joint_n_per_mm: float | None
    snug_n: float
    scatter_ratio: float | None
    studs_count: int | None
    cylinders_count: int
    bore_mm: float | None
    pressure_mpa: float | None
    ring_mm: float | None

    @property
    def friction(self) -> Friction:
        """Frictions, one figure for both where they are not told apart."""
        return Friction(
            thread_ratio=self.mu if self.mu_thread is None else self.mu_thread,
            head_ratio=self.mu if self.mu_head is None else self.mu_head,
            head_diameter_mm=self.under_head_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say."""

    thread: Thread
    preload: Preload
    most_n: float | None
    clamp: Clamp | None
    show: Show

    @property
    def cautions(self) -> tuple[str, ...]:
        """Yield first, then the way of tightening, then the joint."""
        over: tuple[str, ...] = ()
        if self.most_n is not None and self.preload.interval_n[1] > self.most_n:
            most = self.show.value(self.most_n, suffix="n", digits=0)
            over = (
                f"The high end passes {most}, where tension and twist reach {YIELD_SHARE:.0%} of "
                "yield. A bolt meant to be turned past yield holds about there,"
                " and is commonly used once.",
            )
        return (*over, *self.preload.cautions, *(() if self.clamp is None else self.clamp.cautions))


@click.command("clamp")
@click.option(
    "--diameter",
    "diameter_mm",
    type=Typed("mm", least=0.5),
    required=True,
    help="Outer diameter of the thread, as 14mm.",
)
@click.option("--pitch", "pitch_mm", type=Typed("mm", least=0.05), help="Pitch, as 1.5mm.")
@click.option(
    "--tpi",
    "per_inch_count",
    type=click.FloatRange(min=1.0),
    help="In its place threads per inch, as 16.",
)
@click.option("--torque", "torque_n_m", type=Typed("n_m"), help="Torque, as 180Nm or 130ftlb.")
@click.option(
    "--angle",
    "angle_deg",
    type=Typed("deg"),
    help="Angle turned from snug, as 90deg; with --length.",
)
@click.option(
    "--stretch", "stretch_mm", type=Typed("mm"), help="Measured stretch, as 0.2mm; with --length."
)
@click.option(
    "--k",
    "factor_ratio",
    type=float,
    help="Nut factor K for --torque, in place of the frictions.",
)
@click.option(
    "--mu",
    type=float,
    default=0.12,
    show_default=True,
    help="Friction in the thread and under the head.",
)
@click.option("--mu-thread", type=float, help="Friction in the thread alone.")
@click.option("--mu-head", type=float, help="Friction under the head alone.")
@click.option(
    "--under-head",
    "under_head_mm",
    type=Typed("mm"),
    help="Mean diameter of the turning face, as 20mm; else 1.25 times the thread's.",
)
@click.option("--length", "length_mm", type=Typed("mm"), help="Length that stretches, as 140mm.")
@click.option(
    "--shank",
    "shank_mm",
    type=Typed("mm"),
    help="Diameter of that length, as 12mm; else the thread's stress diameter.",
)
@click.option(
    "--modulus",
    "modulus_mpa",
    type=Typed("mpa"),
    default=STEEL_MPA,
    help="Young's modulus; else steel's 205000MPa.",
)
@click.option(
    "--joint",
    "joint_n_per_mm",
    type=Typed("n_per_mm"),
    help="Rate of what is clamped, as 900000N/mm; for --angle.",
)
@click.option(
    "--snug",
    "snug_n",
    type=Typed("n", least=0.0),
    default=0.0,
    help="Preload before the angle, as 15kN.",
)
@click.option(
    "--scatter",
    "scatter_ratio",
    type=float,
    help="Scatter either side; else 0.30 by torque, 0.15 by angle, 0.05 by stretch.",
)
@click.option(
    "--yield",
    "yield_mpa",
    type=Typed("mpa"),
    help="Yield of the stud, as 940MPa, to say how near tightening comes.",
)
@click.option("--studs", "studs_count", type=click.IntRange(min=1), help="Studs on the head.")
@click.option(
    "--cylinders",
    "cylinders_count",
    type=click.IntRange(min=1),
    default=1,
    show_default=True,
    help="Cylinders under it.",
)
@click.option("--bore", "bore_mm", type=Typed("mm"), help="Bore, as 107mm.")
@click.option(
    "--pressure", "pressure_mpa", type=Typed("mpa"), help="Peak cylinder pressure, as 180bar."
)
@click.option("--ring", "ring_mm", type=Typed("mm"), help="Diameter of the sealing ring, as 118mm.")
@answer_options()
def clamp_command(
    *,
    diameter_mm: float,
    pitch_mm: float | None,
    per_inch_count: float | None,
    yield_mpa: float | None,
    as_json: bool,
    show: str,
    **words: Any,
) -> None:
    """Work out a stud's preload and what all studs hold the head down with.

    Give one of --torque, --angle and --stretch.  With --studs, --bore and --pressure the clamp is
    set beside the gas force; with --ring as a load along the ring.  Information, never a pass.
    """
    check_needs()
    asked = _Words(**words)
    thread = _thread(diameter_mm, pitch_mm=pitch_mm, per_inch_count=per_inch_count)
    most_n = None
    if yield_mpa is not None:
        most_n = most_preload_n(
            thread=thread,
            yield_mpa=yield_mpa,
            thread_friction_ratio=asked.friction.thread_ratio,
        )
    preload = _preload(asked, thread=thread)
    told = _Told(
        thread=thread,
        preload=preload,
        most_n=most_n,
        clamp=_clamp(asked, preload=preload),
        show=Show(length=show),
    )
    if as_json:
        click.echo(json.dumps(_answer(told), indent=2, ensure_ascii=False))
    else:
        _print(told)


def _thread(diameter_mm: float, *, pitch_mm: float | None, per_inch_count: float | None) -> Thread:
    if pitch_mm is not None and per_inch_count is None:
        return thread_of(diameter_mm=diameter_mm, pitch_mm=pitch_mm)
    if per_inch_count is not None and pitch_mm is None:
        return thread_of(diameter_mm=diameter_mm, pitch_mm=25.4 / per_inch_count, form=Form.UNIFIED)
    raise click.UsageError("Give one of --pitch (metric) and --tpi (unified).")


def _preload(asked: _Words, *, thread: Thread) -> Preload:
    ways = (asked.torque_n_m, asked.angle_deg, asked.stretch_mm)
    if sum(each is not None for each in ways) != 1:
        raise click.UsageError("Give one of --torque, --angle and --stretch.")
    if asked.torque_n_m is not None and asked.factor_ratio is not None:
        return preload_from_factor(
            asked.torque_n_m,
            diameter_mm=thread.diameter_mm,
            factor_ratio=asked.factor_ratio,
            scatter_ratio=asked.scatter_ratio,
        )
    if asked.torque_n_m is not None:
        return preload_from_torque(
            asked.torque_n_m,
            thread=thread,
            friction=asked.friction,
            scatter_ratio=asked.scatter_ratio,
        )
    rate = _rate_n_per_mm(asked, thread=thread)
    if asked.angle_deg is not None:
        return preload_from_angle(
            asked.angle_deg,
            thread=thread,
            stud_n_per_mm=rate,
            joint_n_per_mm=asked.joint_n_per_mm,
            snug_n=asked.snug_n,
            scatter_ratio=asked.scatter_ratio,
        )
    return preload_from_stretch(
        asked.stretch_mm or 0.0, stud_n_per_mm=rate, scatter_ratio=asked.scatter_ratio
    )


def _rate_n_per_mm(asked: _Words, *, thread: Thread) -> float:
    if asked.length_mm is None:
        raise click.UsageError("Give --length, the length of the stud that stretches.")
    shank_mm = thread.stress_diameter_mm if asked.shank_mm is None else asked.shank_mm
    return stud_rate_n_per_mm(
        lengths_mm=(asked.length_mm,),
        areas_mm2=(pi / 4.0 * shank_mm**2,),
        modulus_mpa=asked.modulus_mpa,
    )


def _clamp(asked: _Words, *, preload: Preload) -> Clamp | None:
    needed = (asked.studs_count, asked.bore_mm, asked.pressure_mpa)
    if all(each is None for each in needed) and asked.ring_mm is None:
        return None
    if asked.studs_count is None or asked.bore_mm is None or asked.pressure_mpa is None:
        raise click.UsageError("The clamp needs --studs, --bore and --pressure together.")
    return clamp_over_gas(
        preload,
        studs_count=asked.studs_count,
        cylinders_count=asked.cylinders_count,
        bore_mm=asked.bore_mm,
        pressure_mpa=asked.pressure_mpa,
        ring_diameter_mm=asked.ring_mm,
    )


def _answer(told: _Told) -> dict[str, Any]:
    preload, thread, clamp = told.preload, told.thread, told.clamp
    answer: dict[str, Any] = {
        "method": preload.method.value,
        "preload_n": preload.preload_n,
        "preload_interval_n": list(preload.interval_n),
        "scatter_ratio": preload.scatter_ratio,
        "most_preload_n": told.most_n,
        "thread": {
            "diameter_mm": thread.diameter_mm,
            "pitch_mm": thread.pitch_mm,
            "pitch_diameter_mm": thread.pitch_diameter_mm,
            "root_diameter_mm": thread.root_diameter_mm,
            "stress_area_mm2": thread.stress_area_mm2,
        },
        "clamp": None,
        "cautions": list(told.cautions),
    }
    if clamp is not None:
        answer["clamp"] = {
            "total_n": clamp.total_n,
            "total_interval_n": list(clamp.total_interval_n),
            "cylinder_n": clamp.cylinder_n,
            "cylinder_interval_n": list(clamp.cylinder_interval_n),
            "gas_n": clamp.gas_n,
            "over_gas_ratio": clamp.over_gas_ratio,
            "over_gas_interval_ratio": list(clamp.over_gas_interval_ratio),
            "ring_n_per_mm": clamp.ring_n_per_mm,
            "ring_interval_n_per_mm": _listed(clamp.ring_interval_n_per_mm),
            "ring_firing_n_per_mm": clamp.ring_firing_n_per_mm,
            "ring_firing_interval_n_per_mm": _listed(clamp.ring_firing_interval_n_per_mm),
        }
    return answer


def _listed(interval: tuple[float, float] | None) -> list[float] | None:
    return None if interval is None else list(interval)


_WAYS = {
    Method.TORQUE: "by torque",
    Method.ANGLE: "by angle",
    Method.STRETCH: "by stretch",
}


def _print(told: _Told) -> None:
    out, show, preload, clamp = page(), told.show, told.preload, told.clamp
    value = show.value(preload.preload_n, suffix="n", digits=0)
    low, high = (show.number(each, suffix="n", digits=0) for each in preload.interval_n)
    out.print(
        Text(f"Preload {value} a stud {_WAYS[preload.method]}, {low} to {high}.", style="bold")
    )
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    area = show.value(told.thread.stress_area_mm2, suffix="mm2", digits=1 if show.metric else 4)
    stress = preload.preload_n / told.thread.stress_area_mm2
    table.add_row("Stress area", area, f"{stress:.0f} MPa over it")
    if told.most_n is not None:
        most = show.value(told.most_n, suffix="n", digits=0)
        table.add_row(f"At {YIELD_SHARE:.0%} of yield", most, "with the twist of tightening")
    if clamp is not None:
        _add_clamp(table, clamp, show=show)
    out.print(table)
    bullets(out, "Mind", told.cautions)


def _add_clamp(table: Table, clamp: Clamp, *, show: Show) -> None:
    for name, newtons, ends in (
        ("All studs", clamp.total_n, clamp.total_interval_n),
        ("For one cylinder", clamp.cylinder_n, clamp.cylinder_interval_n),
    ):
        low, high = (show.number(each, suffix="n", digits=0) for each in ends)
        table.add_row(name, show.value(newtons, suffix="n", digits=0), f"{low} to {high}")
    table.add_row("Gas force", show.value(clamp.gas_n, suffix="n", digits=0), "at peak pressure")
    least, most = clamp.over_gas_interval_ratio
    table.add_row("Clamp over gas", f"{clamp.over_gas_ratio:.2f}", f"{least:.2f} to {most:.2f}")
    for name, load, span in (
        ("Along the ring", clamp.ring_n_per_mm, clamp.ring_interval_n_per_mm),
        ("  at peak pressure", clamp.ring_firing_n_per_mm, clamp.ring_firing_interval_n_per_mm),
    ):
        if load is not None and span is not None:
            low_load, high_load = (show.number(each, suffix="n_per_mm") for each in span)
            shown = show.value(load, suffix="n_per_mm")
            table.add_row(name, shown, f"{low_load} to {high_load}")
