"""A set of springs matched to its valves, for ``castworthy spring``."""

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from rich.table import Table
from rich.text import Text

from castworthy.calc.outcome import Refused
from castworthy.calc.valvetrain.matching import (
    BestBy,
    MatchedSet,
    NamedSpring,
    SpringPlace,
    as_given,
    match_springs,
)
from castworthy.calc.valvetrain.spring import LoadReading, SpringLaw, law_from_loads
from castworthy.cli.page import bullets, page
from castworthy.cli.rows import Row, read_rows
from castworthy.units import Show

_SPRINGS = "name,load_1,height_1,load_2,height_2 or name,rate,free"
_VALVES = "name,installed,wanted"


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldSet:
    """The set as matched, and the springs in the order they were given."""

    matched: MatchedSet
    given: MatchedSet


def matched_set(
    springs: Path, *, valves: Path, best: BestBy, shims_mm: tuple[float, ...]
) -> ToldSet | Refused:
    """The springs of one file matched to the valves of another."""
    laws = [
        NamedSpring(name=row.name, law=_law(row)) for row in read_rows(springs, wanted=_SPRINGS)
    ]
    places = [
        SpringPlace(
            name=row.name,
            installed_mm=row.value("installed", suffix="mm"),
            wanted_n=row.value("wanted", suffix="n"),
        )
        for row in read_rows(valves, wanted=_VALVES)
    ]
    found = match_springs(laws, places=places, best_by=best, shims_mm=shims_mm)
    if isinstance(found, Refused):
        return found
    return ToldSet(matched=found, given=as_given(laws, places=places))


def _law(row: Row) -> SpringLaw:
    if row.has("rate"):
        return SpringLaw(
            rate_n_per_mm=row.value("rate", suffix="n_per_mm"),
            free_mm=row.value("free", suffix="mm"),
        )
    first, second = (
        LoadReading(
            load_n=row.value(f"load_{n}", suffix="n"),
            height_mm=row.value(f"height_{n}", suffix="mm"),
        )
        for n in (1, 2)
    )
    return law_from_loads(first, second=second)


def set_answer(told: ToldSet) -> dict[str, Any]:
    """The set as JSON."""
    matched, given = told.matched, told.given
    return {
        "pairs": [asdict(pair) for pair in matched.pairs],
        "worst_error_n": matched.worst_error_n,
        "rms_error_n": matched.rms_error_n,
        "spread_n": matched.spread_n,
        "left_over": list(matched.left_over),
        "as_given": {
            "worst_error_n": given.worst_error_n,
            "rms_error_n": given.rms_error_n,
            "spread_n": given.spread_n,
        },
    }


def print_set(told: ToldSet, *, show: Show) -> None:
    """The set as a person reads it."""
    out, matched, given = page(), told.matched, told.given
    worst, was = (show.value(each.worst_error_n, suffix="n") for each in (matched, given))
    out.print(
        Text(f"Matched, the worst seat load is {worst} off; as given it was {was}.", style="bold")
    )
    out.print()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    table.add_column("valve")
    table.add_column("spring")
    for name in ("shim", "height", "seat load", "off by"):
        table.add_column(name, justify="right")
    for pair in matched.pairs:
        table.add_row(
            pair.valve,
            pair.spring,
            show.value(pair.shim_mm, suffix="mm", difference=True) if pair.shim_mm else "none",
            show.value(pair.height_mm, suffix="mm"),
            show.value(pair.load_n, suffix="n"),
            show.value(pair.error_n, suffix="n"),
        )
    out.print(table)
    bullets(out, "Left over", [", ".join(matched.left_over)] if matched.left_over else [])
