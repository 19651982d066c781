"""Which spring goes to which valve."""

import re
from collections.abc import Mapping

from castworthy.calc.errors import InputError
from castworthy.calc.head import Limit
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity, Site
from castworthy.calc.valvetrain.matching import (
    BestBy,
    MatchedSet,
    NamedSpring,
    SpringPlace,
    as_given,
    match_springs,
)
from castworthy.calc.valvetrain.spring import LoadReading, SpringLaw, law_from_loads
from castworthy.records.cautions import SPRING_FORCE
from castworthy.records.kept_sums import Row, Table
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.practices import KEEPERS, SPRING_DOWN
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.sums.form import (
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    cut,
    force,
    in_both,
    size,
)
from castworthy.web.contexts.sums.lines import lines_of

_MOST_LINES = 64
_APART = re.compile(r"[;\t]\s*|,\s+|\s+(?=[\d.])")
_LOADS = ("n", "mm", "n", "mm")
_RATE = ("n_per_mm", "mm")
_PLACE = ("mm", "n")


def _work(given: Given) -> Answer:
    show = given.show
    springs = [_spring(name, values) for name, values in _lines(given, "springs")]
    places = [
        SpringPlace(name=name, installed_mm=values[0], wanted_n=values[1])
        for name, values in _lines(given, "valves")
    ]
    try:
        found = match_springs(
            springs,
            places=places,
            best_by=BestBy.WORST if given.word("best") == "worst" else BestBy.SQUARES,
            shims_mm=given.several("shims"),
        )
    except InputError as fault:
        raise SumFault(str(fault), field="springs") from fault
    if isinstance(found, Refused):
        return Answer(headline=found.sentence, tone="outside")
    before = as_given(springs, places=places)
    return Answer(
        headline=_headline(found, before=before, show=show),
        tone="inside",
        rows=(
            Row(
                label="Worst load is off by",
                value=force(found.worst_error_n, show),
                note=f"{force(before.worst_error_n, show)} in the order given",
            ),
            Row(
                label="Loads spread over",
                value=force(found.spread_n, show),
                note=f"{force(before.spread_n, show)} in the order given",
            ),
        ),
        table=_table(found, show=show),
        sentences=(f"Left over: {', '.join(found.left_over)}.",) if found.left_over else (),
    )


def _headline(found: MatchedSet, *, before: MatchedSet, show: Show) -> str:
    pairs = ", ".join(f"{each.spring} to {each.valve}" for each in found.pairs[:3])
    more = "" if len(found.pairs) <= 3 else f" and {len(found.pairs) - 3} more"
    return (
        f"{pairs}{more}: the worst seat load is then {force(found.worst_error_n, show)} off; in "
        f"the order given it was {force(before.worst_error_n, show)}."
    )


def _table(found: MatchedSet, *, show: Show) -> Table:
    return Table(
        heads=("Valve", "Spring", "Shim", "Height", "Seat load", "Off by"),
        rows=tuple(
            (
                each.valve,
                each.spring,
                cut(each.shim_mm, show) if each.shim_mm else "none",
                size(each.height_mm, show),
                force(each.load_n, show),
                force(each.error_n, show),
            )
            for each in found.pairs
        ),
    )


def _spring(name: str, values: list[float]) -> NamedSpring:
    try:
        if len(values) == len(_RATE):
            law = SpringLaw(rate_n_per_mm=values[0], free_mm=values[1])
        else:
            law = law_from_loads(
                LoadReading(load_n=values[0], height_mm=values[1]),
                second=LoadReading(load_n=values[2], height_mm=values[3]),
            )
    except InputError as fault:
        raise SumFault(f"Spring {name}: {fault}", field="springs") from fault
    return NamedSpring(name=name, law=law)


def _lines(given: Given, field: str) -> list[tuple[str, list[float]]]:
    """Name and values of every line."""
    lines = lines_of(given.word(field), most=_MOST_LINES, field=field)
    return [
        _line(line, number=number, field=field, show=given.show)
        for number, line in enumerate(lines, start=1)
    ]


def _line(line: str, *, number: int, field: str, show: Show) -> tuple[str, list[float]]:
    name, *parts = [part for part in _APART.split(line) if part]
    ways = (_LOADS, _RATE) if field == "springs" else (_PLACE,)
    suffixes = next((way for way in ways if len(way) == len(parts)), None)
    if suffixes is None:
        wanted = (
            "a name, then load, height, load, height, or rate and free height"
            if field == "springs"
            else "a name, then installed height and seat load wanted"
        )
        raise SumFault(f"Line {number}: write {wanted} (got {line[:40]!r}).", field=field)
    try:
        values = [
            read_value(part, suffix=suffix, bare_unit=show.unit(suffix)).value
            for part, suffix in zip(parts, suffixes, strict=True)
        ]
    except UnitError as fault:
        raise SumFault(f"Line {number}: {fault}", field=field) from fault
    if not all(0.0 < value <= 1e5 for value in values):
        raise SumFault(
            f"Line {number}: loads and heights are above 0 (got {line[:40]!r}).", field=field
        )
    return name, values


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    """Every valve whose installed height is known, with the load the sheet wants of it."""
    known = [
        (valve.name, height_mm, wanted_n)
        for valve in head.sheet.valves
        if (height_mm := head.after(Quantity.SPRING_HEIGHT, place=valve.name)) is not None
        and (wanted_n := _wanted_n(head, valve=valve.name)) is not None
    ]

    def lines(show: Show) -> str:
        return "\n".join(
            f"{name} {show.number(height, suffix='mm')} {show.number(load, suffix='n', digits=1)}"
            for name, height, load in known
        )

    return {"valves": in_both(lines) if known else None}


def _wanted_n(head: SumsHead, *, valve: str) -> float | None:
    """The seat load aimed at: the sheet's own, else its spring's at the height it aims at."""
    if (load_n := _aim(head.sheet.limit_for(Quantity.SEAT_LOAD, place=valve))) is not None:
        return load_n
    spring = head.sheet.spring_for(valve)
    height_mm = _aim(head.sheet.limit_for(Quantity.SPRING_HEIGHT, place=valve))
    if spring is None or height_mm is None:
        return None
    return SpringLaw(rate_n_per_mm=spring.rate_n_per_mm, free_mm=spring.free_mm).load_n(height_mm)


def _aim(limit: Limit | None) -> float | None:
    """What a limit aims at, else its middle; ``None`` where it has neither."""
    if limit is None or limit.aim is not None:
        return None if limit is None else limit.aim
    ends = (limit.low, limit.high)
    return None if None in ends else sum(each for each in ends if each is not None) / 2.0


MATCHING = Sum(
    name="matching",
    title="Matched springs",
    group="Springs",
    says="Which spring to which valve, so that the seat loads come out most alike.",
    parts=(
        Part(
            title="Springs at hand",
            fields=(
                Field(
                    name="springs",
                    label="Springs",
                    lines=6,
                    hint="A line each: name, load, height, load, height; or name, rate, free "
                    "height.",
                ),
            ),
        ),
        Part(
            title="Valves",
            fields=(
                Field(
                    name="valves",
                    label="Valves",
                    lines=6,
                    hint="A line each: name, installed height, seat load wanted.",
                ),
                Field(
                    name="best",
                    label="Best by",
                    choices=(("worst", "the worst load"), ("squares", "all loads together")),
                ),
                Field(
                    name="shims",
                    label="Shims to allow",
                    suffix="mm",
                    several=True,
                    optional=True,
                    most=10.0,
                    hint="At most one under each spring.",
                ),
            ),
        ),
    ),
    work=_work,
    example={
        "springs": (
            "a 80 1.80 240 1.40\nb 86 1.80 246 1.40\nc 83 1.80 243 1.40",
            "a 356 45.7 1068 35.6\nb 383 45.7 1095 35.6\nc 369 45.7 1081 35.6",
        ),
        "valves": (
            "1A 1.807 83\n1B 1.793 83\n2A 1.800 83",
            "1A 45.9 369\n1B 45.5 369\n2A 45.7 369",
        ),
    },
    practices=(
        "Mark valve, spring and place once they are matched: stem heights differ, so they belong "
        "together.",
        SPRING_DOWN,
        KEEPERS,
    ),
    cautions=(SPRING_FORCE,),
    prefill=_prefill,
    steps=("assemble",),
    site=Site.HEAD,
)
