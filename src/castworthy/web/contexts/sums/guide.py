"""A stem in its guide."""

import re
from collections.abc import Mapping

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.valvetrain.guide import PRACTICES, Across, StemClearance, stem_clearance
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.sums.form import (
    ONE_READING,
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    cut,
    uncertainty,
)
from castworthy.web.contexts.sums.lines import lines_of
from castworthy.web.contexts.sums.verdicts import TONES

_DEPTHS_COUNT = 6
_BETWEEN = re.compile(r"[;\t]|,\s|\s+(?=[\d.])")


def _guide(given: Given) -> Answer:
    found, show = _clearance(given), given.show
    return Answer(
        headline=_guide_words(found, given=given),
        tone=_guide_tone(found),
        rows=(
            Row(
                label="Largest",
                value=cut(found.largest_mm, show),
                note="widest of the guide, thinnest of the stem",
            ),
            Row(label="Smallest", value=cut(found.smallest_mm, show)),
            Row(label="Mean", value=cut(found.mean_mm, show)),
            Row(
                label="Guide tapers",
                value=cut(found.bore_taper_mm, show),
                note=f"bell mouth {cut(found.bell_mouth_mm, show)}",
            ),
            Row(label="Guide out of round", value=cut(found.bore_out_of_round_mm, show)),
            Row(label="Stem tapers", value=cut(found.stem_taper_mm, show)),
            Row(label="Stem out of round", value=cut(found.stem_out_of_round_mm, show)),
        ),
        sentences=_sure_words(found),
        cautions=("The stem is larger than the guide somewhere: it binds. Measure both again.",)
        if found.smallest_mm < 0.0
        else (),
    )


def _clearance(given: Given) -> StemClearance:
    return stem_clearance(
        _readings(given, "bores"),
        stems=_readings(given, "stems"),
        low_mm=given.maybe("low"),
        high_mm=given.maybe("high"),
        u_bore_mm=given.maybe("u_bore"),
        u_stem_mm=given.maybe("u_stem"),
    )


def _taken_in(given: Given) -> Mapping[Quantity, float]:
    """The clearance that decides: the largest, wear opens it; the smallest where that is less
    than the least asked; none where the stem binds.
    """
    found, least = _clearance(given), given.maybe("low")
    if found.smallest_mm <= 0.0:
        return {}
    tight = least is not None and found.smallest_mm < least
    return {Quantity.GUIDE_CLEARANCE: found.smallest_mm if tight else found.largest_mm}


def _guide_words(found: StemClearance, *, given: Given) -> str:
    show = given.show
    if abs(found.largest_mm - found.smallest_mm) < 1e-9:
        said = f"The stem has {cut(found.mean_mm, show)} of clearance"
    else:
        low = show.number(found.smallest_mm, suffix="mm", difference=True)
        said = f"The stem has {low} to {cut(found.largest_mm, show)} of clearance"
    high, least = given.maybe("high"), given.maybe("low")
    if found.verdict is None:
        return f"{said}."
    if found.verdict is Verdict.CLOSE:
        return f"{said}, too close to its limits to call."
    if found.inside:
        return f"{said}, inside its limits."
    if high is not None and found.largest_mm > high:
        return f"{said}, {cut(found.largest_mm - high, show)} too much."
    return f"{said}, {cut((least or 0.0) - found.smallest_mm, show)} too little."


def _guide_tone(found: StemClearance) -> str:
    if found.verdict is None:
        return "outside" if found.smallest_mm < 0.0 else "plain"
    return TONES[found.verdict]


def _sure_words(found: StemClearance) -> tuple[str, ...]:
    if found.probability is None:
        return ()
    return (f"It lies inside with a probability of at least {100.0 * found.probability:.0f} %.",)


def _readings(given: Given, name: str) -> tuple[Across, ...]:
    """One depth a line, one or two readings each."""
    lines = lines_of(given.word(name), most=_DEPTHS_COUNT, field=name, what="depths")
    return tuple(_across(line, name=name, show=given.show) for line in lines)


def _across(line: str, *, name: str, show: Show) -> Across:
    parts = [part.strip() for part in _BETWEEN.split(line) if part.strip()]
    if len(parts) > 2:
        raise SumFault(
            f"{line[:40]!r} holds {len(parts)} readings; write one depth a line, read once or "
            "twice across.",
            field=name,
        )
    try:
        values = [read_value(part, suffix="mm", bare_unit=show.unit("mm")).value for part in parts]
    except UnitError as fault:
        raise SumFault(str(fault), field=name) from fault
    if not all(0.0 < value <= 100.0 for value in values):
        raise SumFault(
            f"{line[:40]!r} is no guide or stem; a bare number counts in {show.unit('mm')}.",
            field=name,
        )
    try:
        return Across(first_mm=values[0], second_mm=values[-1])
    except InputError as fault:
        raise SumFault(str(fault), field=name) from fault


def _guide_prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    if head.valve is None:
        return {}
    limit = head.sheet.limit_for(Quantity.GUIDE_CLEARANCE, place=head.valve.name)
    return {} if limit is None else {"low": limit.low, "high": limit.high}


GUIDE = Sum(
    name="guide",
    title="Stem in its guide",
    group="Seats and valves",
    says="Clearance, wear, bell mouth and out of round, from readings at several depths.",
    parts=(
        Part(
            title="Readings",
            hint="One depth a line; two readings across, square to each other, show out of round.",
            fields=(
                Field(name="bores", label="Guide", lines=3, hint="From one end to the other."),
                Field(name="stems", label="Stem", lines=3, hint="Where it runs in the guide."),
            ),
        ),
        Part(
            title="Limits",
            fields=(
                Field(
                    name="low",
                    label="Least clearance",
                    suffix="mm",
                    optional=True,
                    most=2.0,
                    from_least=True,
                ),
                Field(name="high", label="Most clearance", suffix="mm", optional=True, most=2.0),
                uncertainty("u_bore", "the guide", hint=ONE_READING),
                uncertainty("u_stem", "the stem"),
            ),
        ),
    ),
    work=_guide,
    example={
        "bores": (
            "0.3148 0.3146\n0.3142 0.3142\n0.3145 0.3144",
            "7.995 7.990\n7.980 7.980\n7.988 7.985",
        ),
        "stems": ("0.3112 0.3111\n0.3107 0.3108", "7.905 7.902\n7.892 7.894"),
        "low": ("0.0010", "0.025"),
        "high": ("0.0040", "0.100"),
    },
    prefill=_guide_prefill,
    practices=PRACTICES,
    steps=("plan", "machine"),
    operations=(OperationKind.GUIDE,),
    measured=(Quantity.GUIDE_CLEARANCE,),
    readings=_taken_in,
    readings_say="Guide and stem were both read; the clearance is the one less the other.",
)
