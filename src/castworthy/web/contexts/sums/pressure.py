"""A pressure test with its temperature taken out."""

from collections.abc import Mapping
from dataclasses import replace
from math import log10

from castworthy.calc.errors import InputError
from castworthy.calc.leak.pressure import PRACTICES, PressureDecay, bare_rise, pressure_decay
from castworthy.calc.leak.proof import (
    ATMOSPHERE_KPA,
    PRESSURE_SHARE_RATIO,
    Medium,
    pressure_left_ratio,
    stored_energy_n_m,
)
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Site
from castworthy.records.cautions import UNDER_PRESSURE
from castworthy.records.kept_sums import Row
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.proof_words import pressure_words
from castworthy.units import Show
from castworthy.web.contexts.sums.form import Answer, Field, Given, Part, Sum, SumFault, Usual
from castworthy.web.contexts.sums.vacuum import AIR


def _pressure(given: Given) -> Answer:
    show = given.show
    medium = Medium(given.word("medium"))
    start, held = given.number("start"), given.number("held")
    air_kpa = given.maybe("atmosphere") or ATMOSPHERE_KPA
    stored = stored_energy_n_m(
        pressure_kpa=start,
        volume_cm3=given.number("volume"),
        medium=medium,
        atmosphere_kpa=air_kpa,
    )
    decay = (
        bare_rise(start_kpa=start, held_kpa=held, show=show)
        if medium is Medium.WATER
        else _decay(given)
    )
    if isinstance(decay, Refused):
        return Answer(
            headline=decay.sentence, tone="missing", rows=(_energy_row(stored, medium=medium),)
        )
    share = pressure_left_ratio(
        start_kpa=start,
        held_kpa=held,
        start_degc=None if decay is None else given.number("start_at"),
        end_degc=None if decay is None else given.number("end_at"),
        atmosphere_kpa=air_kpa,
    )
    return Answer(
        headline=_share_words(share)
        if decay is None
        else f"{decay.sentence} {_share_words(share)}",
        tone="inside" if share >= PRESSURE_SHARE_RATIO else "outside",
        rows=(
            Row(label="The gauge lost", value=pressure_words(start - held, show=show)),
            *(() if decay is None else _decay_rows(decay, show=show)),
            Row(
                label="Left of the test pressure",
                value=f"{100.0 * share:.1f} %",
                note=f"{100.0 * PRESSURE_SHARE_RATIO:.0f} % is usual where no limit is given",
            ),
            _energy_row(stored, medium=medium),
        ),
        cautions=() if decay is None else decay.cautions,
    )


def _decay(given: Given) -> PressureDecay | Refused:
    try:
        return pressure_decay(
            start_kpa=given.number("start"),
            held_kpa=given.number("held"),
            start_degc=given.number("start_at"),
            end_degc=given.number("end_at"),
            hold_s=given.number("hold"),
            volume_cm3=given.number("volume"),
            atmosphere_kpa=given.maybe("atmosphere") or ATMOSPHERE_KPA,
            show=given.show,
        )
    except InputError as fault:
        raise SumFault(str(fault), field="held") from fault


def _share_words(share: float) -> str:
    return f"{100.0 * share:.1f} % of the test pressure is left."


def _decay_rows(decay: PressureDecay, *, show: Show) -> tuple[Row, ...]:
    warmth = "cooling" if decay.by_temperature_kpa >= 0.0 else "warming"
    rows = [
        Row(
            label=f"by {warmth}",
            inset=True,
            value=pressure_words(decay.by_temperature_kpa, show=show),
        ),
        Row(
            label="by a leak",
            inset=True,
            value=pressure_words(decay.leak_loss_kpa, show=show),
            note=f"standard uncertainty {pressure_words(decay.u_leak_loss_kpa, show=show)}",
        ),
    ]
    if decay.seen:
        rows += [
            Row(label="Leak rate", value=f"{decay.leak_std_cm3_per_min:.3g} std cm³/min"),
            Row(
                label="One round hole of",
                value=show.value(decay.hole_um / 1e3, suffix="mm", difference=True),
            ),
        ]
    return tuple(rows)


def _energy_row(stored_n_m: float, *, medium: Medium) -> Row:
    if stored_n_m >= 1000.0:
        value = f"{stored_n_m / 1000.0:.1f} kJ"
    else:
        value = f"{stored_n_m:.{max(0, 1 - int(log10(max(stored_n_m, 1e-2))))}f} J"
    meant = f"as a kilogram dropped from {stored_n_m / 9.80665:.0f} m" if stored_n_m >= 10 else ""
    return Row(label=f"Energy stored in the {medium.value}", value=value, note=meant)


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    """What the last pressure test on record was done with; else how long one is held."""
    told = head.pressure_test
    found: dict[str, Usual | None] = {
        "hold": told.get("hold_s", head.sheet.work.pressure_hold_s),
        "medium": told.get("medium"),
    }
    names = ("volume_cm3", "start_kpa", "held_kpa", "start_degc", "end_degc", "atmosphere_kpa")
    fields = ("volume", "start", "held", "start_at", "end_at", "atmosphere")
    return found | {field: told.get(name) for field, name in zip(fields, names, strict=True)}


PRESSURE = Sum(
    name="pressure",
    title="Pressure test",
    group="Leak",
    says="What cooling explains of a loss, the leak that is left, and the energy the test stores.",
    parts=(
        Part(
            title="The test",
            fields=(
                Field(
                    name="medium", label="Filled with", choices=(("air", "air"), ("water", "water"))
                ),
                Field(
                    name="volume",
                    label="Volume under pressure",
                    suffix="cm3",
                    hint="Passages with the line.",
                ),
                Field(name="start", label="Gauge at the start", suffix="kpa", most=2000.0),
                Field(
                    name="held",
                    label="Gauge at the end",
                    suffix="kpa",
                    most=2000.0,
                    from_least=True,
                ),
                Field(
                    name="hold",
                    label="Time between",
                    suffix="s",
                    usual=1200.0,
                    hint="20 min may be typed.",
                    when=("air",),
                ),
            ),
        ),
        Part(
            title="Temperature of the air inside",
            when=("air",),
            fields=(
                Field(
                    name="start_at",
                    label="At the start",
                    suffix="degc",
                    least=-40.0,
                    most=150.0,
                    when=("air",),
                ),
                Field(
                    name="end_at",
                    label="At the end",
                    suffix="degc",
                    least=-40.0,
                    most=150.0,
                    when=("air",),
                ),
                replace(AIR, when=("air",)),
            ),
        ),
    ),
    work=_pressure,
    example={
        "medium": "air",
        "volume": 5000.0,
        "start": ("40", "275"),
        "held": ("39", "268"),
        "start_at": ("72", "22"),
        "end_at": ("64", "18"),
    },
    practices=PRACTICES,
    cautions=(UNDER_PRESSURE,),
    prefill=_prefill,
    steps=("prove",),
    site=Site.HEAD,
)
