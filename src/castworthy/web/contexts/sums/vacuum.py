"""A port's vacuum against time: its leak and its loss in the hold."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

import numpy as np
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.head import Gauge
from castworthy.calc.leak.decay import Decay, PressureLog, fit_decay, fitted_kpa
from castworthy.calc.leak.flow import Port
from castworthy.calc.leak.proof import (
    ATMOSPHERE_KPA,
)
from castworthy.calc.leak.verdict import LeakJudgement, judge_decay
from castworthy.calc.leak.words import PRACTICES, log_sentences
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.charts.decay import DecayFigure, decay_chart
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.logs import LogFile, read_pasted
from castworthy.records.cautions import UNDER_VACUUM
from castworthy.records.kept_sums import Row
from castworthy.records.leak_logs import KeptLog
from castworthy.records.lookups.sums import SumsHead
from castworthy.records.proof_words import vacuum_unit, vacuum_words
from castworthy.units import Show
from castworthy.units.retell import retell
from castworthy.web.contexts.sums.form import (
    ONE_READING,
    Answer,
    Field,
    Given,
    Part,
    Sum,
    SumFault,
    Usual,
    in_both,
    uncertainty,
)
from castworthy.web.contexts.sums.verdicts import TONES

_ANY_VOLUME_CM3 = 100.0
_CURVE_COUNT = 80
_MOST_READINGS = 2_000
AIR = Field(
    name="atmosphere",
    label="Air at the bench",
    suffix="kpa",
    optional=True,
    least=40.0,
    most=110.0,
    vacuum=True,
    usual=("29.92", "101.325"),
    hint="Its own pressure, not sea level's.",
)


def _leak(given: Given) -> Answer:
    port, read = _port(given), _readings(given)
    try:
        log = read.log(atmosphere_kpa=port.atmosphere_kpa)
        decay = fit_decay(log, port=port, hold_s=given.number("hold"), gauge=_gauge(given))
    except (InstrumentError, InputError) as fault:
        raise SumFault(retell(str(fault), show=given.show.of_vacuum()), field="readings") from fault
    figure = _figure(log, port=port, given=given)
    if isinstance(decay, Refused):
        return Answer(
            headline=decay.sentence,
            tone="missing",
            cautions=read.notes,
            svg=_chart(figure),
            svg_phone=_chart(figure, phone=True),
        )
    judged = _judged(given, decay=decay)
    verdict = Verdict.MISSING if judged is None else judged.verdict
    fitted = _fitted(figure, decay=decay, verdict=verdict)
    first, *more = _told(given, decay=decay, judged=judged)
    return Answer(
        headline=first,
        tone=TONES[verdict],
        rows=() if given.maybe("volume") is None else _leak_rows(decay, show=given.show),
        sentences=tuple(more),
        cautions=(*decay.cautions, *read.notes),
        svg=_chart(fitted),
        svg_phone=_chart(fitted, phone=True),
    )


def _port(given: Given) -> Port:
    return Port(
        volume_cm3=given.maybe("volume") or _ANY_VOLUME_CM3,
        u_volume_cm3=_u_volume_cm3(given),
        atmosphere_kpa=given.maybe("atmosphere") or ATMOSPHERE_KPA,
        temperature_degc=20.0 if given.maybe("air") is None else given.number("air"),
    )


def _told(given: Given, *, decay: Decay, judged: LeakJudgement | None) -> tuple[str, ...]:
    """Verdict, leak and loss in words; without a volume there is no leak to tell."""
    show, known = given.show, given.maybe("volume") is not None
    told = log_sentences(decay, show=show, judgement=judged, volume_known=known)
    ask = () if known else ("Type the volume of port and line to see how much it leaks.",)
    return (*told, *ask)


def _u_volume_cm3(given: Given) -> float:
    volume, u = given.maybe("volume"), given.maybe("u_volume") or 0.0
    if volume is None:
        return 0.0
    if u >= volume:
        raise SumFault("It must be less than the volume itself; check both.", field="u_volume")
    return u


def _gauge(given: Given) -> Gauge | None:
    u = given.maybe("u_gauge")
    return None if not u else Gauge(name="the gauge", suffix="kpa", u=u)


def _readings(given: Given) -> LogFile:
    columns = f"t_s,vacuum_{vacuum_unit(given.show)}"
    try:
        read = read_pasted(given.word("readings"), columns=columns, file="The readings")
    except InstrumentError as fault:
        raise SumFault(str(fault), field="readings") from fault
    if len(read.time_s) > _MOST_READINGS:
        raise SumFault(
            f"Up to {_MOST_READINGS} readings are worked out (got {len(read.time_s)}).",
            field="readings",
        )
    return read


def _judged(given: Given, *, decay: Decay) -> LeakJudgement | None:
    loss, held = given.maybe("most_loss"), given.maybe("least_held")
    if loss is None and held is None:
        return None
    return judge_decay(decay, most_loss_kpa=loss, least_held_kpa=held)


def _leak_rows(decay: Decay, *, show: Show) -> tuple[Row, ...]:
    low, high = decay.leak_interval_pa_m3_per_s
    return (
        Row(
            label="Leak rate",
            value=f"{decay.leak_pa_m3_per_s:.3g} Pa m³/s",
            note=f"{low:.3g} to {high:.3g}, 95 % interval",
        ),
        Row(
            label="Vacuum at the start",
            value=vacuum_words(decay.port.atmosphere_kpa - decay.start_kpa, show=show),
        ),
        Row(label="Held at the end", value=vacuum_words(decay.held_kpa, show=show)),
        Row(label="Readings", value=str(decay.points_count)),
    )


def _figure(log: PressureLog, *, port: Port, given: Given) -> DecayFigure:
    return DecayFigure(
        time_s=(log.time_s - log.time_s[0]).tolist(),
        vacuum_kpa=(port.atmosphere_kpa - log.pressure_kpa).tolist(),
        hold_s=given.number("hold"),
        show=given.show,
        least_kpa=given.maybe("least_held"),
        pump_kpa=given.maybe("pump"),
        title="Vacuum against time: readings and fitted curve",
    )


def _fitted(figure: DecayFigure, *, decay: Decay, verdict: Verdict) -> DecayFigure:
    times = np.linspace(0.0, figure.last_s, _CURVE_COUNT)
    curve = decay.port.atmosphere_kpa - fitted_kpa(decay.start_s + times, decay=decay)
    return replace(
        figure,
        strays_s=[each - decay.start_s for each in decay.strays_s],
        curve_s=times.tolist(),
        curve_kpa=curve.tolist(),
        held_kpa=decay.held_kpa,
        u_held_kpa=decay.u_held_kpa,
        verdict=verdict,
    )


def _chart(figure: DecayFigure, *, phone: bool = False) -> SafeString:
    width, height = (340.0, 240.0) if phone else (640.0, 270.0)
    drawn = decay_chart(figure, width_px=width, height_px=height)
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts


def _prefill(head: SumsHead) -> Mapping[str, Usual | None]:
    """What the sheet asks of the port, and the log that is kept of it."""
    limit = None
    if head.valve is not None:
        limit = head.sheet.limit_for(Quantity.VACUUM_HOLD, place=head.valve.name)
    asked: dict[str, Usual | None] = {
        "hold": head.sheet.work.vacuum_hold_s,
        "least_held": None if limit is None else limit.low,
    }
    log = head.log
    if log is None:
        return asked
    return asked | {
        "readings": in_both(partial(_log_lines, log=log)),
        "volume": log.volume_cm3,
        "u_volume": log.u_volume_cm3 or None,
        "pump": log.dead_head_kpa,
        "atmosphere": log.atmosphere_kpa,
    }


def _log_lines(show: Show, *, log: KeptLog) -> str:
    vacuum = show.of_vacuum()
    return "\n".join(
        f"{t:g} {vacuum.number(log.atmosphere_kpa - p, suffix='kpa', digits=2)}"
        for t, p in zip(log.time_s, log.pressure_kpa, strict=True)
    )


LEAK = Sum(
    name="leak",
    title="Vacuum against time",
    group="Leak",
    says="How much a port leaks and loses in the hold, from readings after the pump is off.",
    parts=(
        Part(
            title="Readings",
            fields=(
                Field(
                    name="readings",
                    label="Seconds and vacuum",
                    lines=8,
                    hint="A line each, pump off; or a first line such as t_s,p_kpa (absolute).",
                ),
            ),
        ),
        Part(
            title="Port and day",
            fields=(
                Field(
                    name="volume",
                    label="Port and line",
                    suffix="cm3",
                    optional=True,
                    least=0.1,
                    from_least=True,
                    hint="Fill them with water once.",
                ),
                uncertainty("u_volume", "the volume", suffix="cm3", most=None, hint="Standard."),
                replace(
                    uncertainty("u_gauge", "the gauge", suffix="kpa", most=20.0, hint=ONE_READING),
                    vacuum=True,
                ),
                Field(name="hold", label="Judged after", suffix="s", usual=30.0),
                Field(
                    name="pump",
                    label="Pump with line shut",
                    suffix="kpa",
                    vacuum=True,
                    optional=True,
                    most=110.0,
                ),
                AIR,
                Field(
                    name="air",
                    label="Air in the port",
                    suffix="degc",
                    optional=True,
                    usual=20.0,
                    least=-40.0,
                    most=150.0,
                ),
            ),
        ),
        Part(
            title="What is asked",
            fields=(
                Field(
                    name="least_held",
                    label="Least held then",
                    suffix="kpa",
                    vacuum=True,
                    optional=True,
                    most=110.0,
                ),
                Field(
                    name="most_loss",
                    label="Most lost by then",
                    suffix="kpa",
                    vacuum=True,
                    optional=True,
                    most=110.0,
                ),
            ),
        ),
    ),
    work=_leak,
    example={
        "readings": (
            "0 25.0\n5 24.6\n10 24.3\n15 23.9\n20 23.6\n25 23.2\n30 22.9",
            "0 84.7\n5 83.3\n10 82.3\n15 80.9\n20 79.9\n25 78.6\n30 77.5",
        ),
        "volume": 250.0,
        "u_volume": 10.0,
        "u_gauge": ("0.2", "0.7"),
        "pump": ("26", "88"),
        "least_held": ("22", "74.5"),
    },
    practices=PRACTICES,
    cautions=(UNDER_VACUUM,),
    prefill=_prefill,
    steps=("prove",),
)
