"""``castworthy ratio``: compression ratio, what cuts do to it, gasket grades, and clearances."""

from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import click
from rich.table import Table
from rich.text import Text

from castworthy.calc.chamber.cut import (
    RatioChange,
    RoomCut,
    ValveSink,
    deck_cut_for_chamber_mm,
    ratio_change,
    room_after,
)
from castworthy.calc.chamber.grades import GasketGrade, GradeChoice, GradeLimits, choose_grade
from castworthy.calc.chamber.injector import InjectorStand, injector_stand
from castworthy.calc.chamber.piston import ValveOverPiston
from castworthy.calc.chamber.room import (
    CompressionRatio,
    CylinderRoom,
    Spread,
    chamber_for_ratio_cm3,
    compression_ratio,
    spread_of,
)
from castworthy.calc.outcome import Refused
from castworthy.cli.answers import tell
from castworthy.cli.needs import check_needs
from castworthy.cli.page import bullets, page
from castworthy.cli.rows import read_rows
from castworthy.cli.typed import Typed, answer_options, uncertainty
from castworthy.units import Show

_LENGTH = Typed("mm", least=0.0)
_SIGNED = Typed("mm")
_VOLUME = Typed("cm3", least=0.0)
_CYLINDERS = "name,chamber,bowl,deck"

Answer = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    """The command's words beside the cylinder itself, by their names."""

    cylinders: Path | None
    deck_cut_mm: float
    u_deck_cut_mm: float | None
    area_mm2: float | None
    valves_mm: tuple[tuple[float, float], ...]
    wanted_ratio: float | None
    grades: tuple[tuple[str, float], ...]
    low_ratio: float | None
    high_ratio: float | None
    aim_ratio: float | None
    low_gap_mm: float | None
    high_gap_mm: float | None
    aim_gap_mm: float | None
    recession_mm: float | None
    pocket_mm: float
    lift_mm: float
    stand_mm: float | None
    stand_limits_mm: tuple[float, float] | None
    washers_mm: tuple[float, ...]

    @property
    def limits(self) -> GradeLimits:
        """What a gasket grade is chosen by."""
        return GradeLimits(
            low_ratio=self.low_ratio,
            high_ratio=self.high_ratio,
            aim_ratio=self.aim_ratio,
            low_gap_mm=self.low_gap_mm,
            high_gap_mm=self.high_gap_mm,
            aim_gap_mm=self.aim_gap_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """All there is to say; what was not asked for is ``None`` or empty."""

    now: CompressionRatio
    piston_to_head_mm: float
    change: RatioChange | None
    wanted_chamber_cm3: float | None
    wanted_deck_cut_mm: float | None
    cylinders: tuple[CompressionRatio, ...]
    spread: Spread | None
    grade: GradeChoice | None
    valve_gap_mm: float | None
    injector: InjectorStand | None


@click.command("ratio")
@click.option("--bore", "bore_mm", type=_LENGTH, required=True, help="Bore, as 107mm.")
@click.option("--stroke", "stroke_mm", type=_LENGTH, required=True, help="Stroke, as 124mm.")
@click.option(
    "--chamber",
    "chamber_cm3",
    type=_VOLUME,
    required=True,
    help="The head's chamber up to the deck, valves in place, as 8.2cc.",
)
@click.option("--gasket", "gasket_mm", type=_LENGTH, required=True, help="Gasket as clamped.")
@click.option(
    "--gasket-bore", "gasket_bore_mm", type=_LENGTH, help="Hole of the gasket; else the bore."
)
@click.option("--bowl", "bowl_cm3", type=_VOLUME, default=0.0, help="The piston's bowl, as 48cc.")
@click.option(
    "--deck",
    "deck_clearance_mm",
    type=_SIGNED,
    default=0.0,
    help="Piston below the block's face at top dead centre; -0.35mm where it stands proud.",
)
@uncertainty("--u-chamber", "u_chamber_cm3", kind=_VOLUME, of="the chamber")
@uncertainty("--u-gasket", "u_gasket_mm", kind=_LENGTH, of="the gasket")
@uncertainty("--u-bowl", "u_bowl_cm3", kind=_VOLUME, of="the bowl")
@uncertainty("--u-deck", "u_deck_clearance_mm", kind=_LENGTH, of="the piston")
@click.option(
    "--cylinders",
    type=click.Path(path_type=Path, dir_okay=False),
    help=f"Every cylinder's own figures (CSV: {_CYLINDERS}; all but name may be left out).",
)
@click.option(
    "--deck-cut", "deck_cut_mm", type=_LENGTH, default=0.0, help="Cut off the deck, as 4thou."
)
@uncertainty("--u-deck-cut", "u_deck_cut_mm", kind=_LENGTH, of="the cut")
@click.option(
    "--area", "area_mm2", type=Typed("mm2"), help="The chamber's opening in the deck, as 22cm2."
)
@click.option(
    "--valve",
    "valves_mm",
    type=_LENGTH,
    nargs=2,
    multiple=True,
    help="A valve of the cylinder: its diameter and how far it sinks, as 37mm 0.3mm; again.",
)
@click.option(
    "--wanted",
    "wanted_ratio",
    type=float,
    help="Ratio wanted: tells the chamber, and with --area the deck cut for it.",
)
@click.option(
    "--grade",
    "grades",
    type=(str, _LENGTH),
    multiple=True,
    help="A gasket grade and its thickness as clamped, as B 1.40mm; again.",
)
@click.option("--low", "low_ratio", type=float, help="Lowest ratio, for the grade.")
@click.option("--high", "high_ratio", type=float, help="Highest ratio, for the grade.")
@click.option("--aim", "aim_ratio", type=float, help="Ratio aimed at, for the grade.")
@click.option("--low-gap", "low_gap_mm", type=_LENGTH, help="Least gap of piston and head.")
@click.option("--high-gap", "high_gap_mm", type=_LENGTH, help="Largest gap of piston and head.")
@click.option("--aim-gap", "aim_gap_mm", type=_LENGTH, help="Gap aimed at, for the grade.")
@click.option(
    "--recession",
    "recession_mm",
    type=_SIGNED,
    help="A valve below the deck after the work, for its gap to the piston.",
)
@click.option("--pocket", "pocket_mm", type=_LENGTH, default=0.0, help="Piston's valve pocket.")
@click.option(
    "--lift", "lift_mm", type=_LENGTH, default=0.0, help="Lift of that valve at top dead centre."
)
@click.option(
    "--injector", "stand_mm", type=_SIGNED, help="Injector out of the deck now, as 0.9mm."
)
@click.option(
    "--injector-limits", "stand_limits_mm", type=_SIGNED, nargs=2, help="Its limits, low and high."
)
@click.option("--washer", "washers_mm", type=_LENGTH, multiple=True, help="A washer for it; again.")
@answer_options()
def ratio_command(
    *,
    bore_mm: float,
    stroke_mm: float,
    chamber_cm3: float,
    gasket_mm: float,
    gasket_bore_mm: float | None,
    bowl_cm3: float,
    deck_clearance_mm: float,
    u_chamber_cm3: float | None,
    u_gasket_mm: float | None,
    u_bowl_cm3: float | None,
    u_deck_clearance_mm: float | None,
    as_json: bool,
    show: str,
    **words: Any,
) -> None:
    """Work out a compression ratio, before and after cuts, and what goes with it.

    With --deck-cut and --area, and --valve for each that sinks, the ratio after the work is told.
    With --grade again and again the head gasket is chosen, over all --cylinders after that work.
    """
    check_needs()
    room = CylinderRoom(
        name="",
        bore_mm=bore_mm,
        stroke_mm=stroke_mm,
        chamber_cm3=chamber_cm3,
        gasket_bore_mm=bore_mm if gasket_bore_mm is None else gasket_bore_mm,
        gasket_mm=gasket_mm,
        bowl_cm3=bowl_cm3,
        deck_clearance_mm=deck_clearance_mm,
        u_chamber_cm3=u_chamber_cm3,
        u_gasket_mm=u_gasket_mm,
        u_bowl_cm3=u_bowl_cm3,
        u_deck_clearance_mm=u_deck_clearance_mm,
    )
    told = _told(room, asked=_Words(**words))
    tell(told, as_json=as_json, answer=_answer, show=partial(_print, show=Show(length=show)))


def _told(room: CylinderRoom, *, asked: _Words) -> _Told | Refused:
    cut = _cut(asked)
    rooms = _rooms(room, asked=asked)
    after = [each if cut is None else room_after(each, cut=cut) for each in rooms or (room,)]
    grade, injector = _grade(after, asked=asked), _injector(asked)
    if isinstance(grade, Refused):
        return grade
    if isinstance(injector, Refused):
        return injector
    wanted = None
    if asked.wanted_ratio is not None:
        wanted = chamber_for_ratio_cm3(room, wanted_ratio=asked.wanted_ratio)
    return _Told(
        now=compression_ratio(room),
        piston_to_head_mm=room.piston_to_head_mm,
        change=None if cut is None else ratio_change(room, cut=cut),
        wanted_chamber_cm3=wanted,
        wanted_deck_cut_mm=_wanted_cut(room, wanted_chamber_cm3=wanted, asked=asked),
        cylinders=tuple(compression_ratio(each) for each in after) if rooms else (),
        spread=spread_of(after) if len(rooms) > 1 else None,
        grade=grade,
        valve_gap_mm=_valve_gap(room, asked=asked),
        injector=injector,
    )


def _grade(rooms: list[CylinderRoom], *, asked: _Words) -> GradeChoice | Refused | None:
    if not asked.grades:
        return None
    grades = [GasketGrade(name=name, thickness_mm=size) for name, size in asked.grades]
    return choose_grade(rooms, grades=grades, limits=asked.limits)


def _cut(asked: _Words) -> RoomCut | None:
    if not asked.deck_cut_mm and not asked.valves_mm:
        return None
    if asked.area_mm2 is None and asked.deck_cut_mm:
        raise click.UsageError("A deck cut needs --area, the chamber's opening in the deck.")
    return RoomCut(
        deck_cut_mm=asked.deck_cut_mm,
        area_mm2=asked.area_mm2 or 0.0,
        valves=tuple(ValveSink(diameter_mm=d, sink_mm=s) for d, s in asked.valves_mm),
        u_deck_cut_mm=asked.u_deck_cut_mm if asked.deck_cut_mm else None,
    )


def _wanted_cut(
    room: CylinderRoom, *, wanted_chamber_cm3: float | None, asked: _Words
) -> float | None:
    """Deck cut that brings the chamber there, the valves sunk as told."""
    if wanted_chamber_cm3 is None or asked.area_mm2 is None:
        return None
    return deck_cut_for_chamber_mm(
        room,
        wanted_chamber_cm3=wanted_chamber_cm3,
        area_mm2=asked.area_mm2,
        valves=[ValveSink(diameter_mm=d, sink_mm=s) for d, s in asked.valves_mm],
    )


def _rooms(room: CylinderRoom, *, asked: _Words) -> tuple[CylinderRoom, ...]:
    if asked.cylinders is None:
        return ()
    return tuple(
        replace(
            room,
            name=row.name,
            chamber_cm3=row.value_or("chamber", suffix="cm3", otherwise=room.chamber_cm3),
            bowl_cm3=row.value_or("bowl", suffix="cm3", otherwise=room.bowl_cm3),
            deck_clearance_mm=row.value_or("deck", suffix="mm", otherwise=room.deck_clearance_mm),
        )
        for row in read_rows(asked.cylinders, wanted=_CYLINDERS)
    )


def _valve_gap(room: CylinderRoom, *, asked: _Words) -> float | None:
    if asked.recession_mm is None:
        return None
    place = ValveOverPiston(
        gasket_mm=room.gasket_mm,
        deck_clearance_mm=room.deck_clearance_mm,
        recession_mm=asked.recession_mm,
        pocket_mm=asked.pocket_mm,
    )
    return place.closed_gap_mm - asked.lift_mm


def _injector(asked: _Words) -> InjectorStand | Refused | None:
    if asked.stand_mm is None and asked.stand_limits_mm is None:
        return None
    if asked.stand_mm is None or asked.stand_limits_mm is None:
        raise click.UsageError("Give --injector and --injector-limits together.")
    low, high = asked.stand_limits_mm
    return injector_stand(
        asked.stand_mm,
        deck_cut_mm=asked.deck_cut_mm,
        low_mm=low,
        high_mm=high,
        washers_mm=asked.washers_mm,
        u_deck_cut_mm=asked.u_deck_cut_mm,
    )


def _answer(told: _Told) -> Answer:
    now = told.now
    answer: Answer = {
        "compression_ratio": now.ratio,
        "u_compression_ratio": now.u_ratio,
        **{key: value for key, value in asdict(now).items() if key.endswith("_cm3")},
        "piston_to_head_mm": told.piston_to_head_mm,
        "after": None,
        "wanted_chamber_cm3": told.wanted_chamber_cm3,
        "wanted_deck_cut_mm": told.wanted_deck_cut_mm,
        "cylinders": [asdict(each) for each in told.cylinders],
        **_spread_answer(told.spread),
        "grade": None,
        "valve_gap_mm": told.valve_gap_mm,
        "injector": None if told.injector is None else asdict(told.injector),
    }
    if told.change is not None:
        answer["after"] = {
            "compression_ratio": told.change.after.ratio,
            "u_compression_ratio": told.change.after.u_ratio,
            "chamber_cm3": told.change.after.chamber_cm3,
            "chamber_change_cm3": told.change.chamber_change_cm3,
            "ratio_change": told.change.ratio_change,
        }
    if told.grade is not None:
        answer["grade"] = {
            "name": told.grade.chosen.grade.name,
            "thickness_mm": told.grade.chosen.grade.thickness_mm,
            "options": [asdict(each) for each in told.grade.options],
        }
    return answer


def _spread_answer(spread: Spread | None) -> Answer:
    """How far the cylinders differ; every key is there where there is none."""
    return {
        "spread_ratio": None if spread is None else spread.spread_ratio,
        "u_spread_ratio": None if spread is None else spread.u_spread_ratio,
        "spread_clearance_cm3": None if spread is None else spread.clearance_spread_cm3,
        "lowest": None if spread is None else spread.lowest.name,
        "highest": None if spread is None else spread.highest.name,
    }


def _print(told: _Told, *, show: Show) -> None:
    out = page()
    out.print(Text(_headline(told), style="bold"))
    out.print()
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    now = told.now
    table.add_row("Swept", show.value(now.swept_cm3, suffix="cm3"))
    for name, volume in (
        ("Above the piston", now.clearance_cm3),
        ("  chamber", now.chamber_cm3),
        ("  gasket", now.gasket_cm3),
        ("  bowl", now.bowl_cm3),
        ("  deck clearance", now.deck_cm3),
    ):
        table.add_row(name, show.value(volume, suffix="cm3"))
    table.add_row("Piston to head", show.value(told.piston_to_head_mm, suffix="mm"))
    _add_asked(table, told, show=show)
    out.print(table)
    bullets(out, "Cylinders", [f"{each.name}: {each.ratio:.2f} to 1" for each in told.cylinders])
    if told.valve_gap_mm is not None and told.valve_gap_mm <= 0.0:
        bullets(out, "Mind", ["The valve meets the piston."])


def _headline(told: _Told) -> str:
    known = "" if told.now.u_ratio is None else f" (standard uncertainty {told.now.u_ratio:.2f})"
    said = f"Compression ratio {told.now.ratio:.2f} to 1{known}"
    if told.change is not None:
        said += f"; after the work {told.change.after.ratio:.2f} to 1"
    return f"{said}."


def _add_asked(table: Table, told: _Told, *, show: Show) -> None:
    if told.change is not None:
        table.add_row(
            "The work changes the chamber", show.value(told.change.chamber_change_cm3, suffix="cm3")
        )
    if told.wanted_chamber_cm3 is not None:
        table.add_row("Chamber for it", show.value(told.wanted_chamber_cm3, suffix="cm3"))
    if told.wanted_deck_cut_mm is not None:
        cut = show.value(told.wanted_deck_cut_mm, suffix="mm", difference=True)
        none = "no cut gives it" if told.wanted_deck_cut_mm < 0.0 else ""
        table.add_row("Deck cut for it", cut, none)
    if told.spread is not None:
        apart = show.value(told.spread.clearance_spread_cm3, suffix="cm3")
        ends = f"{apart}; {told.spread.lowest.name} lowest, {told.spread.highest.name} highest"
        table.add_row("Cylinders differ by", f"{told.spread.spread_ratio:.2f}", ends)
    if told.grade is not None:
        chosen = told.grade.chosen
        ratios = f"ratio {chosen.lowest_ratio:.2f} to {chosen.highest_ratio:.2f}"
        thick = show.value(chosen.grade.thickness_mm, suffix="mm")
        table.add_row("Gasket grade", chosen.grade.name, f"{thick}, {ratios}")
    if told.valve_gap_mm is not None:
        table.add_row("Valve to piston", show.value(told.valve_gap_mm, suffix="mm"))
    if told.injector is not None:
        washers = ", ".join(show.value(each, suffix="mm") for each in told.injector.washers_mm)
        table.add_row(
            "Injector out of the deck",
            show.value(told.injector.stand_mm, suffix="mm"),
            f"with washers {washers}" if washers else "no washer needed",
        )
