"""``castworthy spring``: a spring's law, its loads in place, shims, sag, and matched sets."""

import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.coil import (
    SHEAR_MODULUS_MPA,
    Coil,
    law_from_wire,
    solid_height_mm,
    wire_stress_mpa,
)
from castworthy.calc.valvetrain.matching import BestBy
from castworthy.calc.valvetrain.sag import LARGEST_LEAN_DEG, Sag, lean_deg, sag
from castworthy.calc.valvetrain.shims import Shim, ShimChoice, shims_for_height, shims_for_load
from castworthy.calc.valvetrain.spring import (
    LEAST_COIL_BIND_MM,
    LoadReading,
    SpringLaw,
    SpringWork,
    at_work,
    law_from_loads,
)
from castworthy.cli.answers import refused_answer
from castworthy.cli.needs import check_needs
from castworthy.cli.outcome import REFUSED, InputRefusedError
from castworthy.cli.page import bullets, page
from castworthy.cli.spring_set import ToldSet, matched_set, print_set, set_answer
from castworthy.cli.typed import Typed, answer_options
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)
_FORCE = Typed("n", least=0.0)
_FILE = click.Path(path_type=Path, dir_okay=False)

LEANS = f"The spring leans more than {LARGEST_LEAN_DEG:g} degrees: it wears its guide. Renew it."
_BEST = {"worst": BestBy.WORST, "squares": BestBy.SQUARES}

Answer = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    """The command's words, by their names."""

    loads_n: tuple[float, ...]
    heights_mm: tuple[float, ...]
    rate_n_per_mm: float | None
    free_mm: float | None
    wire_mm: float | None
    mean_mm: float | None
    active_count: float | None
    modulus_mpa: float
    total_count: float | None
    solid_mm: float | None
    installed_mm: float | None
    lift_mm: float
    u_load_n: float | None
    u_height_mm: float | None
    shims_mm: tuple[float, ...]
    hardened_mm: tuple[float, ...]
    seat_n: tuple[float, float] | None
    seat_aim_n: float | None
    height_mm: tuple[float, float] | None
    most_count: int
    least_bind_mm: float
    new_load_n: float | None
    new_at_mm: float | None
    gap_mm: float | None

    @property
    def shims(self) -> tuple[Shim, ...]:
        """The shop's set, plain and hardened."""
        return (
            *(Shim(thickness_mm=each) for each in self.shims_mm),
            *(Shim(thickness_mm=each, hardened=True) for each in self.hardened_mm),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say of one spring; what was not asked for is ``None``."""

    law: SpringLaw
    work: SpringWork | None
    stress_mpa: float | None
    shims: ShimChoice | None
    sag: Sag | None
    lean_deg: float | None
    cautions: tuple[str, ...]


@click.command("spring")
@click.option(
    "--load", "loads_n", type=_FORCE, multiple=True, help="A load, as 80lbf; twice, with --at."
)
@click.option(
    "--at", "heights_mm", type=_LENGTH, multiple=True, help="The height it was read at, as 1.8in."
)
@click.option(
    "--rate", "rate_n_per_mm", type=Typed("n_per_mm"), help="In their place the rate, as 30N/mm."
)
@click.option("--free", "free_mm", type=_LENGTH, help="Free height, with --rate or --wire.")
@click.option("--wire", "wire_mm", type=_LENGTH, help="In their place the wire, as 4mm.")
@click.option("--coil", "mean_mm", type=_LENGTH, help="Mean diameter of the coil, wire to wire.")
@click.option("--active", "active_count", type=float, help="Coils that work.")
@click.option(
    "--modulus",
    "modulus_mpa",
    type=Typed("mpa"),
    default=SHEAR_MODULUS_MPA,
    help="Shear modulus of the wire; else steel's 79300MPa.",
)
@click.option("--total", "total_count", type=float, help="Coils in all, for the solid height.")
@click.option("--solid", "solid_mm", type=_LENGTH, help="Height with all coils touching.")
@click.option("--installed", "installed_mm", type=_LENGTH, help="Installed height, as 1.75in.")
@click.option("--lift", "lift_mm", type=_LENGTH, default=0.0, help="Lift of the valve, as 0.42in.")
@click.option("--u-load", "u_load_n", type=_FORCE, help="Standard uncertainty of a load.")
@click.option("--u-height", "u_height_mm", type=_LENGTH, help="Standard uncertainty of a height.")
@click.option(
    "--shim", "shims_mm", type=_LENGTH, multiple=True, help="A shim of the shop's set; again."
)
@click.option(
    "--hardened-shim", "hardened_mm", type=_LENGTH, multiple=True, help="A hardened one; again."
)
@click.option(
    "--seat-load", "seat_n", type=_FORCE, nargs=2, help="Limits of the seat load, low and high."
)
@click.option("--seat-aim", "seat_aim_n", type=_FORCE, help="Seat load aimed at; else the middle.")
@click.option(
    "--height", "height_mm", type=_LENGTH, nargs=2, help="In their place those of the height."
)
@click.option(
    "--most", "most_count", type=click.IntRange(0, 6), default=3, show_default=True, help="Shims."
)
@click.option(
    "--least-bind",
    "least_bind_mm",
    type=_LENGTH,
    default=LEAST_COIL_BIND_MM,
    help="Least travel left before the coils touch; else 0.060in.",
)
@click.option("--new-load", "new_load_n", type=_FORCE, help="Load of a new spring, for sag.")
@click.option("--new-at", "new_at_mm", type=_LENGTH, help="The height of that load.")
@click.option(
    "--out-of-square",
    "gap_mm",
    type=_LENGTH,
    help="Gap between a square and the spring's top as it stands on a plate, as 1.2mm.",
)
@click.option(
    "--springs",
    type=_FILE,
    help="To match a set: its springs (CSV: name,load_1,height_1,load_2,height_2 or "
    "name,rate,free).",
)
@click.option("--valves", type=_FILE, help="With it the valves (CSV: name,installed,wanted).")
@click.option(
    "--best",
    type=click.Choice(list(_BEST)),
    default="worst",
    show_default=True,
    help="What the set is best at: its worst load, or the sum of squares.",
)
@answer_options()
def spring_command(
    *,
    springs: Path | None,
    valves: Path | None,
    best: str,
    as_json: bool,
    show: str,
    **words: Any,
) -> None:
    """Work out a spring's rate and loads, its shims and its sag, or match a set to its valves.

    The spring is told by two loads (--load 80lbf --at 1.8in --load 240lbf --at 1.4in), by --rate
    and --free, or by --wire, --coil, --active and --free.  Values in the files carry their units.
    """
    check_needs()
    asked = _Words(**words)
    units = Show(length=show)
    told: _Told | ToldSet | Refused
    if (springs is None) != (valves is None):
        raise click.UsageError("Give --springs and --valves together.")
    if springs is not None and valves is not None:
        told = matched_set(springs, valves=valves, best=_BEST[best], shims_mm=asked.shims_mm)
    else:
        told = _told(asked, show=units)
    if as_json:
        click.echo(json.dumps(_answer(told), indent=2, ensure_ascii=False))
    if isinstance(told, Refused):
        raise InputRefusedError(told.sentence, code=REFUSED)
    if not as_json:
        _print(told, show=units)


def _told(asked: _Words, *, show: Show) -> _Told | Refused:
    law = _law(asked)
    work = None
    if asked.installed_mm is not None:
        work = at_work(
            law,
            installed_mm=asked.installed_mm,
            lift_mm=asked.lift_mm,
            u_installed_mm=asked.u_height_mm,
        )
    shims = _shims(asked, law=law)
    if isinstance(shims, Refused):
        return shims
    lost = _sag(asked, law=law)
    lean = None if asked.gap_mm is None else lean_deg(asked.gap_mm, free_mm=law.free_mm)
    stress = None
    if work is not None and asked.wire_mm is not None and asked.mean_mm is not None:
        stress = wire_stress_mpa(
            load_n=work.open_load_n, wire_mm=asked.wire_mm, mean_mm=asked.mean_mm
        )
    return _Told(
        law=law,
        work=work,
        stress_mpa=stress,
        shims=shims,
        sag=lost,
        lean_deg=lean,
        cautions=(
            *_cautions(asked, law=law, work=work, lost=lost, show=show),
            *(() if lean is None or lean <= LARGEST_LEAN_DEG else (LEANS,)),
        ),
    )


def _law(asked: _Words) -> SpringLaw:
    solid = asked.solid_mm
    if solid is None and asked.total_count is not None and asked.wire_mm is not None:
        solid = solid_height_mm(wire_mm=asked.wire_mm, total_count=asked.total_count)
    if asked.loads_n or asked.heights_mm:
        if not len(asked.loads_n) == len(asked.heights_mm) == 2:
            raise click.UsageError("Give --load and --at twice, one height for each load.")
        readings = [
            LoadReading(load_n=load, height_mm=height)
            for load, height in zip(asked.loads_n, asked.heights_mm, strict=True)
        ]
        return law_from_loads(
            readings[0],
            second=readings[1],
            solid_mm=solid,
            u_load_n=asked.u_load_n,
            u_height_mm=asked.u_height_mm,
        )
    if asked.free_mm is None:
        raise click.UsageError("Tell the spring by two loads, or by --free with --rate or --wire.")
    if asked.rate_n_per_mm is not None:
        return SpringLaw(
            rate_n_per_mm=asked.rate_n_per_mm,
            free_mm=asked.free_mm,
            solid_mm=solid,
            u_free_mm=asked.u_height_mm,
        )
    if asked.wire_mm is None or asked.mean_mm is None or asked.active_count is None:
        raise click.UsageError("Give --rate, or --wire, --coil and --active together.")
    coil = Coil(
        wire_mm=asked.wire_mm,
        mean_mm=asked.mean_mm,
        active_count=asked.active_count,
        shear_modulus_mpa=asked.modulus_mpa,
    )
    return law_from_wire(coil, free_mm=asked.free_mm, solid_mm=solid, u_free_mm=asked.u_height_mm)


def _shims(asked: _Words, *, law: SpringLaw) -> ShimChoice | Refused | None:
    if asked.seat_n is None and asked.height_mm is None:
        return None
    if asked.installed_mm is None or (asked.seat_n is not None and asked.height_mm is not None):
        raise click.UsageError("Shims need --installed and one of --seat-load and --height.")
    if asked.height_mm is not None:
        return shims_for_height(
            asked.installed_mm,
            shims=asked.shims,
            low_mm=asked.height_mm[0],
            high_mm=asked.height_mm[1],
            u_installed_mm=asked.u_height_mm,
            most_count=asked.most_count,
        )
    low, high = asked.seat_n or (0.0, 0.0)
    return shims_for_load(
        law,
        installed_mm=asked.installed_mm,
        shims=asked.shims,
        low_n=low,
        high_n=high,
        aim_n=asked.seat_aim_n,
        lift_mm=asked.lift_mm,
        least_coil_bind_mm=None if law.solid_mm is None else asked.least_bind_mm,
        u_installed_mm=asked.u_height_mm,
        most_count=asked.most_count,
    )


def _sag(asked: _Words, *, law: SpringLaw) -> Sag | None:
    if asked.new_load_n is None and asked.new_at_mm is None:
        return None
    if asked.new_load_n is None or asked.new_at_mm is None:
        raise click.UsageError("Give --new-load and --new-at together.")
    return sag(
        law.load_n(asked.new_at_mm),
        new_load_n=asked.new_load_n,
        u_load_n=law.u_load_n(asked.new_at_mm),
    )


def _cautions(
    asked: _Words, *, law: SpringLaw, work: SpringWork | None, lost: Sag | None, show: Show
) -> tuple[str, ...]:
    said = []
    if work is not None and work.coil_bind_mm is not None:
        left = show.value(work.coil_bind_mm, suffix="mm", difference=True)
        if work.coil_bind_mm < asked.least_bind_mm:
            said.append(f"Only {left} is left before the coils touch at full lift.")
    if asked.installed_mm is not None and asked.installed_mm >= law.free_mm:
        said.append("The installed height is not below the free height: the spring is loose.")
    if lost is not None and not lost.inside:
        said.append("The spring is tired: renew it. Shims do not mend it.")
    return tuple(said)


def _answer(told: _Told | ToldSet | Refused) -> Answer:
    if isinstance(told, Refused):
        return refused_answer(told)
    if isinstance(told, ToldSet):
        return set_answer(told)
    answer: Answer = asdict(told.law)
    if told.work is not None:
        answer |= asdict(told.work)
    answer["stress_mpa"] = told.stress_mpa
    answer["shims"] = None
    if told.shims is not None:
        answer["shims"] = {
            "shims_mm": [each.thickness_mm for each in told.shims.stack.shims],
            "hardened": [each.hardened for each in told.shims.stack.shims],
            "thickness_mm": told.shims.stack.thickness_mm,
            "height_mm": told.shims.height_mm,
            "load_n": told.shims.load_n,
            "u_load_n": told.shims.u_load_n,
            "probability": told.shims.probability,
        }
    answer["sag"] = None if told.sag is None else asdict(told.sag)
    answer["lean_deg"] = told.lean_deg
    answer["cautions"] = list(told.cautions)
    return answer


def _print(told: _Told | ToldSet, *, show: Show) -> None:
    if isinstance(told, ToldSet):
        print_set(told, show=show)
        return
    out, law = page(), told.law
    rate = show.value(law.rate_n_per_mm, suffix="n_per_mm")
    free = show.value(law.free_mm, suffix="mm")
    out.print(Text(f"Rate {rate}, free height {free}.", style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    if told.work is not None:
        _add_work(table, told.work, show=show)
    if told.stress_mpa is not None:
        table.add_row("Stress of the wire, open", f"{told.stress_mpa:.0f} MPa")
    if told.shims is not None:
        _add_shims(table, told.shims, show=show)
    if told.sag is not None:
        lost = show.value(told.sag.lost_n, suffix="n")
        table.add_row("Against a new one", f"{told.sag.share_ratio:.1%}", f"{lost} lost")
    if told.lean_deg is not None:
        table.add_row("Leans", f"{told.lean_deg:.1f}°")
    out.print(table)
    bullets(out, "Mind", told.cautions)


def _add_work(table: Table, work: SpringWork, *, show: Show) -> None:
    for name, load, u in (
        ("Seat load", work.seat_load_n, work.u_seat_load_n),
        ("Open load", work.open_load_n, work.u_open_load_n),
    ):
        known = "" if u is None else f"standard uncertainty {show.value(u, suffix='n')}"
        table.add_row(name, show.value(load, suffix="n"), known)
    if work.coil_bind_mm is not None:
        left = show.value(work.coil_bind_mm, suffix="mm", difference=True)
        table.add_row("Left before coil bind", left)


def _add_shims(table: Table, choice: ShimChoice, *, show: Show) -> None:
    said = ", ".join(
        show.value(each.thickness_mm, suffix="mm", difference=True)
        + (" hardened" if each.hardened else "")
        for each in choice.stack.shims
    )
    table.add_row("Shims", said or "none", "the last beside the spring" if said else "")
    table.add_row("Height then", show.value(choice.height_mm, suffix="mm"))
    if choice.load_n is not None:
        table.add_row("Seat load then", show.value(choice.load_n, suffix="n"))
