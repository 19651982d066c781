"""The head gasket's grade, where the engine has several."""

import re
from collections.abc import Mapping

from castworthy.calc.chamber.grades import GasketGrade, GradeChoice, GradeLimits, choose_grade
from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.records.kept_sums import Table
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.sums.form import Answer, Field, Given, Part, Sum, SumFault, Usual, size
from castworthy.web.contexts.sums.lines import lines_of, refuse_twice
from castworthy.web.contexts.sums.ratio import CYLINDER, GASKET_BORE, SIDES, engine_of, room_of

_MOST_GRADES = 12


def _grade(given: Given) -> Answer:
    show = given.show
    decks = given.several("decks")
    rooms = [
        room_of(given, gasket_mm=1.0, deck_mm=deck, name=str(at))
        for at, deck in enumerate(decks, start=1)
    ]
    try:
        found = choose_grade(rooms, grades=_grades(given), limits=_limits(given))
    except InputError as fault:
        raise SumFault(str(fault), field="grades") from fault
    if isinstance(found, Refused):
        return Answer(headline=found.sentence, tone="outside")
    chosen = found.chosen
    tight = size(chosen.smallest_gap_mm, show)
    return Answer(
        headline=f"Fit grade {chosen.grade.name}, {size(chosen.grade.thickness_mm, show)} as "
        f"clamped: the tightest cylinder keeps {tight} between piston and head.",
        tone="inside",
        table=_grade_table(found, show=show),
        sentences=("One gasket serves all cylinders, so the one nearest its limit decides.",),
    )


def _limits(given: Given) -> GradeLimits:
    by_gap = given.word("by") == "gap"
    low, high, aim = (given.maybe(f"{end}_{given.word('by')}") for end in ("low", "high", "aim"))
    if by_gap:
        return GradeLimits(low_gap_mm=low, high_gap_mm=high, aim_gap_mm=aim)
    return GradeLimits(low_ratio=low, high_ratio=high, aim_ratio=aim)


def _grade_table(found: GradeChoice, *, show: Show) -> Table:
    return Table(
        heads=("Grade", "Clamped", "Piston to head", "Ratio", ""),
        rows=tuple(
            (
                each.grade.name,
                size(each.grade.thickness_mm, show),
                f"{show.number(each.smallest_gap_mm, suffix='mm')} to "
                f"{size(each.largest_gap_mm, show)}",
                f"{each.lowest_ratio:.2f} to {each.highest_ratio:.2f}",
                "outside" if each.broken else "inside",
            )
            for each in found.options
        ),
        chosen=found.options.index(found.chosen),
    )


def _grades(given: Given) -> list[GasketGrade]:
    lines = lines_of(given.word("grades"), most=_MOST_GRADES, field="grades", what="grades")
    unit, found = given.show.unit("mm"), []
    for number, line in enumerate(lines, start=1):
        name, _, thick = re.sub(r"[;\t]", " ", line).partition(" ")
        try:
            value = read_value(thick.strip(), suffix="mm", bare_unit=unit).value
        except UnitError as fault:
            raise SumFault(
                f"Line {number}: write a name, then the thickness as clamped (got {line[:40]!r}).",
                field="grades",
            ) from fault
        if not 0.0 < value <= 10.0:
            raise SumFault(
                f"Line {number}: no gasket is {thick.strip()} thick; a bare number counts in "
                f"{unit}.",
                field="grades",
            )
        found.append(GasketGrade(name=name, thickness_mm=value))
    refuse_twice((each.name for each in found), field="grades")
    return found


def _grade_prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    found = {
        name: value for name, value in engine_of(head).items() if name not in {"gasket", "deck"}
    }
    engine = head.sheet.engine
    if engine is not None and (engine.ratio_low or engine.ratio_high):
        found |= {"by": "ratio", "low_ratio": engine.ratio_low, "high_ratio": engine.ratio_high}
    return found


GRADE = Sum(
    name="grade",
    title="Gasket grade",
    group="Chamber",
    says="Which thickness of head gasket to fit, where the engine has several.",
    parts=(
        Part(
            title="Pistons",
            fields=(
                Field(name="side", label="They stand", choices=(SIDES[1], SIDES[0])),
                Field(
                    name="decks",
                    label="How far at each cylinder",
                    suffix="mm",
                    several=True,
                    most=50.0,
                    from_least=True,
                    hint="A space between them.",
                ),
            ),
        ),
        Part(
            title="Grades",
            fields=(
                Field(
                    name="grades",
                    label="The engine's range",
                    lines=4,
                    hint="A line each: name, thickness as clamped.",
                ),
            ),
        ),
        Part(title="Cylinder", fields=(*CYLINDER, GASKET_BORE)),
        Part(
            title="What is asked",
            fields=(
                Field(
                    name="by",
                    label="Chosen by",
                    choices=(("gap", "piston to head"), ("ratio", "ratio")),
                ),
                *(
                    Field(
                        name=f"{end}_gap",
                        label=label,
                        suffix="mm",
                        optional=True,
                        most=10.0,
                        from_least=True,
                        when=("gap",),
                    )
                    for end, label in (
                        ("low", "Least gap"),
                        ("high", "Most gap"),
                        ("aim", "Gap aimed at"),
                    )
                ),
                *(
                    Field(
                        name=f"{end}_ratio",
                        label=label,
                        suffix="ratio",
                        optional=True,
                        least=1.0,
                        when=("ratio",),
                    )
                    for end, label in (
                        ("low", "Least ratio"),
                        ("high", "Most ratio"),
                        ("aim", "Ratio aimed at"),
                    )
                ),
            ),
        ),
    ),
    work=_grade,
    example={
        "side": "proud",
        "decks": ("0.0155 0.0145 0.0150 0.0160", "0.39 0.37 0.38 0.40"),
        "grades": ("A 0.0490\nB 0.0530\nC 0.0570", "A 1.25\nB 1.35\nC 1.45"),
        "bore": ("4.213", "107"),
        "stroke": ("4.882", "124"),
        "chamber": 8.2,
        "bowl": 52.0,
        "low_gap": ("0.0350", "0.9"),
        "high_gap": ("0.0430", "1.1"),
    },
    prefill=_grade_prefill,
    practices=("Read how far a piston stands on the line of its pin, so that its rock is out.",),
)
