"""A port's vacuum log as it is typed at the bench, worked out: leak, loss in the hold, verdict."""

from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.errors import InputError
from castworthy.calc.head import Gauge, HeadSheet, Rule
from castworthy.calc.leak.decay import Decay, PressureLog, fit_decay
from castworthy.calc.leak.flow import Port
from castworthy.calc.leak.ports import PumpShare, compare_with_pump
from castworthy.calc.leak.proof import VACUUM_SHARE_RATIO
from castworthy.calc.leak.verdict import LeakJudgement, judge_decay
from castworthy.calc.leak.words import log_sentences
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.instruments.errors import InstrumentError
from castworthy.instruments.logs import LogFile, read_log, read_pasted
from castworthy.records.bench_air import bench_air_kpa
from castworthy.records.errors import printable
from castworthy.records.models import Gauge as GaugeRow
from castworthy.records.proof_words import temperature_unit, vacuum_unit, vacuum_words
from castworthy.records.to_calc import fits, gauge_of
from castworthy.units import Show, UnitError, read_number, read_value
from castworthy.units.retell import retell

MOST_KEPT_COUNT = 5_000
USUAL_DEGC = 20.0
_ANY_VOLUME_CM3 = 100.0
_BARE_CONFIDENCE = 0.5 + 1e-9
"""A simple rule asks for the bare value: more likely inside than not."""
_NO_READING = (
    "No reading is there yet; type what the gauge shows, paste the log or choose its file."
)
_NAMES = {
    "volume": "The volume of port and line",
    "u_volume": "How well the volume is known",
    "hold": "The time to hold",
    "dead_head": "The pump's reading of the day",
    "temperature": "The temperature",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LogTyped:
    """A log as it was typed, pasted or sent as a file, and what it was taken with.

    Figures without a unit are in the person's units; ``u_volume``, the volume's standard
    uncertainty, may be a share of it, as 4 %.  ``gauge`` is the name of the one that was read.
    ``file_name`` is empty where no file was sent.
    """

    readings: str = ""
    volume: str = ""
    u_volume: str = ""
    gauge: str = ""
    dead_head: str = ""
    hold: str = ""
    atmosphere: str = ""
    temperature: str = ""
    file_name: str = ""
    content: bytes = b""


class LogFault(ValueError):  # noqa: N818
    """What was typed cannot be worked out: one sentence, and the field it is about."""

    def __init__(self, sentence: str, *, field: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


@dataclass(frozen=True, slots=True, kw_only=True)
class LogTrial:
    """A log worked out.

    ``volume_known`` is false where no volume was typed: vacuum and loss do not rest on it, leak
    and hole do.  ``least_held_kpa`` is ``None`` where neither sheet nor pump says what to hold.
    """

    log: PressureLog
    port: Port
    gauge: Gauge | None
    volume_known: bool
    hold_s: float
    decay: Decay | Refused
    dead_head_kpa: float | None
    least_held_kpa: float | None
    judgement: LeakJudgement | None
    pump: PumpShare | None
    notes: tuple[str, ...]

    @property
    def verdict(self) -> Verdict:
        """The verdict; not measured where there is none."""
        return Verdict.MISSING if self.judgement is None else self.judgement.verdict

    def sentences(self, show: Show) -> tuple[str, ...]:
        """What it says, the verdict first."""
        if isinstance(self.decay, Refused):
            return (self.decay.sentence,)
        told = log_sentences(
            self.decay,
            show=show,
            judgement=self.judgement,
            gauge=self.gauge_name,
            volume_known=self.volume_known,
        )
        return told if self.pump is None else (*told, self.pump.sentence)

    @property
    def gauge_name(self) -> str:
        """The gauge it was read with; empty where none is named."""
        return "" if self.gauge is None else self.gauge.name

    @property
    def cautions(self) -> tuple[str, ...]:
        """What makes the answer less sure."""
        own = () if isinstance(self.decay, Refused) else self.decay.cautions
        return (*own, *(() if self.pump is None else self.pump.cautions), *self.notes)


def log_trial(typed: LogTyped, *, sheet: HeadSheet, place: str, show: Show) -> LogTrial:
    """Work a log out against the sheet of its head.

    Raises
    ------
    LogFault
        If anything typed cannot be read, or cannot be.

    """
    hold_s = _figure(typed.hold, "hold", suffix="s", bare="s") or sheet.work.vacuum_hold_s
    dead_head_kpa = _figure(typed.dead_head, "dead_head", suffix="kpa", bare=vacuum_unit(show))
    volume_cm3 = _figure(typed.volume, "volume", suffix="cm3", bare="cm3")
    port = _port(typed, volume_cm3=volume_cm3, show=show)
    gauge = _gauge(typed.gauge)
    read = _read(typed, show=show)
    log = _log(read, port=port, gauge=gauge, show=show)
    try:
        decay = fit_decay(log, port=port, hold_s=hold_s, gauge=gauge)
    except InputError as fault:
        raise LogFault(_told(fault, show=show), field="readings") from fault
    least_kpa = _least_held_kpa(sheet, place=place, dead_head_kpa=dead_head_kpa)
    return LogTrial(
        log=log,
        port=port,
        gauge=gauge,
        volume_known=volume_cm3 is not None,
        hold_s=hold_s,
        decay=decay,
        dead_head_kpa=dead_head_kpa,
        least_held_kpa=least_kpa,
        judgement=_judged(decay, sheet=sheet, place=place, least_kpa=least_kpa),
        pump=_pump(decay, dead_head_kpa=dead_head_kpa, step_kpa=log.step_kpa, show=show),
        notes=read.notes,
    )


def _figure(typed: str, field: str, *, suffix: str, bare: str) -> float | None:
    """A figure above nothing; ``None`` where it is left out."""
    if not typed.strip():
        return None
    try:
        value = read_value(typed, suffix=suffix, bare_unit=bare).value
    except UnitError as fault:
        raise LogFault(f"{_NAMES[field]}: {fault}", field=field) from fault
    if not (isfinite(value) and value > 0.0):
        raise LogFault(f"{_NAMES[field]} is more than nothing (got {typed.strip()}).", field=field)
    return value


def _port(typed: LogTyped, *, volume_cm3: float | None, show: Show) -> Port:
    """The port on the day of the test; what is not typed is usual."""
    atmosphere_kpa = _atmosphere_kpa(typed.atmosphere, show=show)
    temperature_degc = USUAL_DEGC
    if typed.temperature.strip():
        try:
            temperature_degc = read_value(
                typed.temperature, suffix="degc", bare_unit=temperature_unit(show)
            ).value
        except UnitError as fault:
            raise LogFault(f"{_NAMES['temperature']}: {fault}", field="temperature") from fault
    for field, value, low, high, words in (
        ("volume", volume_cm3 or _ANY_VOLUME_CM3, 0.1, 1e6, "from 0.1 to 1,000,000 cm³"),
        ("temperature", temperature_degc, -40.0, 150.0, "from -40 to 150 °C"),
    ):
        if not low <= value <= high:
            got = getattr(typed, field).strip()
            lies = retell(f"{_NAMES[field]} lies {words}", show=show)
            raise LogFault(f"{lies} (got {got}).", field=field)
    return Port(
        volume_cm3=volume_cm3 or _ANY_VOLUME_CM3,
        u_volume_cm3=_u_volume_cm3(typed.u_volume, volume_cm3=volume_cm3),
        atmosphere_kpa=atmosphere_kpa,
        temperature_degc=temperature_degc,
    )


def _u_volume_cm3(typed: str, *, volume_cm3: float | None) -> float:
    """How well the volume is known, typed as such or as a share of it; 0 where left out."""
    if not typed.strip() or volume_cm3 is None:
        return 0.0
    share = typed.strip().removesuffix("%")
    try:
        if share != typed.strip():
            u_cm3 = read_number(share) / 100.0 * volume_cm3
        else:
            u_cm3 = read_value(typed, suffix="cm3", bare_unit="cm3").value
    except UnitError as fault:
        raise LogFault(f"{_NAMES['u_volume']}: {fault}", field="u_volume") from fault
    if not (isfinite(u_cm3) and 0.0 <= u_cm3 < volume_cm3):
        raise LogFault(
            f"{_NAMES['u_volume']} is 0 or more and less than the volume itself (got "
            f"{typed.strip()} of {volume_cm3:g} cm³).",
            field="u_volume",
        )
    return u_cm3


def _gauge(name: str) -> Gauge | None:
    """The gauge of that name in kPa; ``None`` where none is named."""
    if not name.strip():
        return None
    row = GaugeRow.objects.filter(name=printable(name.strip()), retired=False).first()
    if row is None or not fits(row, suffix="kpa"):
        why = "is not on record or put away" if row is None else f"reads in {row.unit}, no vacuum"
        raise LogFault(
            f"Gauge {name.strip()} {why}; choose one of the list, or none.", field="gauge"
        )
    return gauge_of(row, suffix="kpa")


def _atmosphere_kpa(typed: str, *, show: Show) -> float:
    try:
        return bench_air_kpa(typed, show=show)
    except UnitError as fault:
        raise LogFault(str(fault), field="atmosphere") from fault


def _read(typed: LogTyped, *, show: Show) -> LogFile:
    """The readings of the file where one is sent, else of the lines."""
    if not (typed.file_name or typed.readings.strip()):
        raise LogFault(_NO_READING, field="readings")
    try:
        if typed.file_name:
            read = read_log(typed.content, file=typed.file_name)
        else:
            columns = f"t_s,vacuum_{vacuum_unit(show)}"
            read = read_pasted(typed.readings, columns=columns, file="The readings")
    except InstrumentError as fault:
        field = "file" if typed.file_name else "readings"
        raise LogFault(str(fault), field=field) from fault
    if len(read.time_s) > MOST_KEPT_COUNT:
        raise LogFault(
            f"A test keeps at most {MOST_KEPT_COUNT:,} readings (got {len(read.time_s):,}); log "
            "less often.",
            field="readings",
        )
    return read


def _log(read: LogFile, *, port: Port, gauge: Gauge | None, show: Show) -> PressureLog:
    """The log; where every figure is one of a coarser dial's own, it was read in its steps."""
    try:
        log = read.log(atmosphere_kpa=port.atmosphere_kpa)
    except (InstrumentError, InputError) as fault:
        raise LogFault(_told(fault, show=show), field="readings") from fault
    dial_kpa = 0.0 if gauge is None else gauge.resolution
    if dial_kpa <= log.step_kpa:
        return log
    steps = read.reading_kpa / dial_kpa
    on_marks = np.abs(steps - np.round(steps)).max() * dial_kpa <= log.step_kpa / 2.0
    return replace(log, step_kpa=dial_kpa) if on_marks else log


def _least_held_kpa(sheet: HeadSheet, *, place: str, dead_head_kpa: float | None) -> float | None:
    limit = sheet.limit_for(Quantity.VACUUM_HOLD, place=place)
    if limit is not None and limit.low is not None:
        return limit.low
    return None if dead_head_kpa is None else VACUUM_SHARE_RATIO * dead_head_kpa


def _judged(
    decay: Decay | Refused, *, sheet: HeadSheet, place: str, least_kpa: float | None
) -> LeakJudgement | None:
    if isinstance(decay, Refused) or least_kpa is None:
        return None
    limit = sheet.limit_for(Quantity.VACUUM_HOLD, place=place)
    simple = limit is not None and limit.rule is Rule.SIMPLE
    return judge_decay(
        decay,
        least_held_kpa=least_kpa,
        confidence_probability=(_BARE_CONFIDENCE if simple else sheet.work.confidence_probability),
    )


def _pump(
    decay: Decay | Refused, *, dead_head_kpa: float | None, step_kpa: float, show: Show
) -> PumpShare | None:
    """The port beside the pump; what it holds more is no more than the gauge can tell."""
    if isinstance(decay, Refused) or dead_head_kpa is None:
        return None
    over_kpa = decay.held_kpa - dead_head_kpa
    if over_kpa > max(2.0 * decay.u_held_kpa, step_kpa, 0.02 * dead_head_kpa):
        raise LogFault(
            f"A port holds no more than the pump's own reading, "
            f"{vacuum_words(dead_head_kpa, show=show)} today; this one would hold "
            f"{vacuum_words(decay.held_kpa, show=show)}. Read the pump again with the line shut.",
            field="dead_head",
        )
    try:
        return compare_with_pump(
            held_kpa=min(decay.held_kpa, dead_head_kpa),
            dead_head_kpa=dead_head_kpa,
            atmosphere_kpa=decay.port.atmosphere_kpa,
            show=show,
        )
    except InputError as fault:
        raise LogFault(_told(fault, show=show), field="dead_head") from fault


def _told(fault: Exception, *, show: Show) -> str:
    """What is wrong, in the units the gauge is read in."""
    return retell(str(fault), show=show.of_vacuum())
