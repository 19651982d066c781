"""Shims: the fewest of the shop's set for a seat load or a height."""

from collections.abc import Mapping

from castworthy.calc.errors import InputError
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.valvetrain.shims import Shim, ShimChoice, shims_for_height, shims_for_load
from castworthy.calc.valvetrain.spring import (
    LEAST_COIL_BIND_MM,
    SpringLaw,
    at_work,
)
from castworthy.records.cautions import SPRING_FORCE
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.units.phrase import listed
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
    size,
    typed_lengths,
)
from castworthy.web.contexts.sums.springs import LOADS, PRACTICES, RATE, law_of, spring_prefill


def _shims(given: Given) -> Answer:
    law = None if given.word("aim") == "height" else law_of(given)
    choice = _choice(given, law=law)
    show = given.show
    if isinstance(choice, Refused):
        return Answer(headline=choice.sentence, tone="outside")
    stack = [_shim_words(each, show) for each in choice.stack.shims]
    what = f"Fit {listed(stack)}" if stack else "No shim is needed"
    then = f"{size(choice.height_mm, show)} high"
    if choice.load_n is not None:
        then += f" with {force(choice.load_n, show)} on the seat"
    rows = [
        Row(
            label="Shims together",
            value=cut(choice.stack.thickness_mm, show),
            note="the last beside the spring" if len(stack) > 1 else "",
        ),
        Row(label="Height then", value=size(choice.height_mm, show)),
    ]
    if choice.load_n is not None:
        rows.append(Row(label="Seat load then", value=force(choice.load_n, show)))
    return Answer(
        headline=f"{what}: the spring is then {then}.",
        tone="inside",
        rows=(*rows, *_after_rows(given, law=law, choice=choice)),
    )


def _after_rows(given: Given, *, law: SpringLaw | None, choice: ShimChoice) -> tuple[Row, ...]:
    lift = given.maybe("lift")
    if law is None or lift is None:
        return ()
    work = at_work(law, installed_mm=choice.height_mm, lift_mm=lift)
    rows = [Row(label="Load at full lift", value=force(work.open_load_n, given.show))]
    if work.coil_bind_mm is not None:
        rows.append(
            Row(label="Left before the coils touch", value=cut(work.coil_bind_mm, given.show))
        )
    return tuple(rows)


def _shim_words(shim: Shim, show: Show) -> str:
    hard = " hardened" if shim.hardened else ""
    return f"{cut(shim.thickness_mm, show)}{hard}"


def _choice(given: Given, *, law: SpringLaw | None) -> ShimChoice | Refused:
    shims = (
        *(Shim(thickness_mm=each) for each in given.several("shims")),
        *(Shim(thickness_mm=each, hardened=True) for each in given.several("hardened")),
    )
    try:
        if law is None:
            return shims_for_height(
                given.number("installed"),
                shims=shims,
                low_mm=given.number("low_height"),
                high_mm=given.number("high_height"),
            )
        return shims_for_load(
            law,
            installed_mm=given.number("installed"),
            shims=shims,
            low_n=given.number("low_load"),
            high_n=given.number("high_load"),
            lift_mm=given.maybe("lift") or 0.0,
            least_coil_bind_mm=None if law.solid_mm is None else LEAST_COIL_BIND_MM,
        )
    except InputError as fault:
        raise SumFault(str(fault)) from fault


def _shims_prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    found: dict[str, Usual | None] = dict(spring_prefill(head))
    shims = head.sheet.work.shims_mm
    found["shims"] = typed_lengths(shims)
    place = "" if head.valve is None else head.valve.name
    if place:
        load = head.sheet.limit_for(Quantity.SEAT_LOAD, place=place)
        height = head.sheet.limit_for(Quantity.SPRING_HEIGHT, place=place)
        if load is not None:
            found |= {"low_load": load.low, "high_load": load.high}
        if height is not None:
            found |= {"low_height": height.low, "high_height": height.high}
        found["aim"] = "height" if load is None else "load"
    return found


_FOR_LOAD = tuple(
    Field(name=f.name, label=f.label, suffix=f.suffix, most=f.most, when=(*f.when, "load"))
    for f in (*LOADS, RATE)
)

SHIMS = Sum(
    name="shims",
    title="Shims",
    group="Springs",
    says="The fewest shims of the shop's set that bring a seat load or a height inside.",
    parts=(
        Part(
            title="What is wanted",
            fields=(
                Field(
                    name="aim",
                    label="Bring in",
                    choices=(("load", "seat load"), ("height", "height")),
                ),
                Field(name="low_load", label="Least seat load", suffix="n", when=("load",)),
                Field(name="high_load", label="Most seat load", suffix="n", when=("load",)),
                Field(
                    name="low_height",
                    label="Least height",
                    suffix="mm",
                    most=500.0,
                    when=("height",),
                ),
                Field(
                    name="high_height",
                    label="Most height",
                    suffix="mm",
                    most=500.0,
                    when=("height",),
                ),
                Field(
                    name="installed",
                    label="Height now",
                    suffix="mm",
                    most=500.0,
                    hint="Without these shims.",
                ),
                Field(
                    name="lift",
                    label="Lift of the valve",
                    suffix="mm",
                    most=50.0,
                    optional=True,
                    from_least=True,
                    when=("load",),
                ),
            ),
        ),
        Part(
            title="The spring",
            when=("load",),
            fields=(
                Field(
                    name="way",
                    label="Known by",
                    when=("load",),
                    choices=(("loads", "two loads"), ("rate", "its rate")),
                ),
                *_FOR_LOAD,
                Field(
                    name="free", label="Free height", suffix="mm", most=500.0, when=("rate", "load")
                ),
                Field(
                    name="solid",
                    label="Solid height",
                    suffix="mm",
                    most=500.0,
                    optional=True,
                    when=("load",),
                    hint="Keeps the coils apart.",
                ),
            ),
        ),
        Part(
            title="The shop's set",
            fields=(
                Field(
                    name="shims",
                    label="Shims",
                    suffix="mm",
                    several=True,
                    most=10.0,
                    usual=("0.015 0.030 0.060", "0.4 0.8 1.6"),
                    hint="A space between them.",
                ),
                Field(
                    name="hardened",
                    label="Hardened ones",
                    suffix="mm",
                    several=True,
                    most=10.0,
                    optional=True,
                    usual=("0.015 0.030 0.060", "0.4 0.8 1.6"),
                    hint="Beside the spring, above about 80 lbf (356 N).",
                ),
            ),
        ),
    ),
    work=_shims,
    example={
        "low_load": ("85", "378"),
        "high_load": ("95", "423"),
        "installed": ("1.820", "46.2"),
        "lift": ("0.420", "10.7"),
        "load_1": ("80", "356"),
        "height_1": ("1.800", "45.7"),
        "load_2": ("240", "1068"),
        "height_2": ("1.400", "35.6"),
        "solid": ("1.150", "29.2"),
    },
    prefill=_shims_prefill,
    practices=(
        *PRACTICES,
        "Shims restore height that seat work took; they do not mend a tired spring.",
    ),
    cautions=(SPRING_FORCE,),
    steps=("assemble",),
    operations=(OperationKind.SHIM,),
    measured=(Quantity.SPRING_HEIGHT,),
)
