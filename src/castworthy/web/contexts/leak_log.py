"""The page of a port's vacuum log: the chart and the words of a log, typed or on record."""

from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from django.utils.safestring import SafeString, mark_safe

from castworthy.actions.proof import rule_words
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.leak.decay import Decay
from castworthy.calc.leak.words import PRACTICES
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.charts.decay import DecayFigure, decay_chart
from castworthy.records.leak_logs import KeptLog, curve_kpa
from castworthy.records.leak_trial import LogTrial
from castworthy.records.lookups.leak import LeakPage
from castworthy.records.proof_words import vacuum_unit
from castworthy.units import Show

_PHONE = {"width_px": 340.0, "height_px": 260.0}
_CURVE_COUNT = 80
_MOST = {"inHg": 32.0, "kPa": 108.4}
"""Deeper than the highest air pressure the weather brings, about 108 kPa (value from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakAnswer:
    """A log in a chart and in words, the verdict first."""

    chart: SafeString
    chart_phone: SafeString
    verdict: str
    ending: str
    sentence: str
    more: tuple[str, ...]
    cautions: tuple[str, ...]
    by: str = ""
    at: datetime | None = None
    gauge: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakShown:
    """All of the page around the form; a figure above ``most``, in ``unit``, is a slip."""

    place: str
    kind: str
    unit: str
    most: float
    rule: str
    waits: str
    practices: tuple[str, ...]
    next_place: str
    kept: LeakAnswer | None


def leak_shown(page: LeakPage, *, show: Show) -> LeakShown:
    """The page of one port."""
    sheet, place = page.sheet, page.place
    return LeakShown(
        place=place,
        kind=sheet.valve(place).kind.value,
        unit=vacuum_unit(show),
        most=_MOST[vacuum_unit(show)],
        rule=rule_words(Quantity.VACUUM_HOLD, sheet=sheet, place=place, show=show),
        waits=page.record.waits,
        practices=PRACTICES,
        next_place=page.next_place,
        kept=_kept(page, show=show),
    )


def trial_answer(trial: LogTrial, *, place: str, show: Show) -> LeakAnswer:
    """What a log says while it is typed."""
    first, *more = trial.sentences(show)
    if not trial.volume_known and not isinstance(trial.decay, Refused):
        more.append("Type the volume of port and line to see how much it leaks.")
    return _answer(
        _trial_figure(trial, place=place, show=show),
        sentence=first,
        more=tuple(more),
        cautions=trial.cautions,
    )


def _kept(page: LeakPage, *, show: Show) -> LeakAnswer | None:
    """The log on record, in the words it was kept with."""
    log, test = page.kept, page.proof.latest
    if log is None or test is None:
        return None
    answer = _answer(
        _kept_figure(log, show=show),
        sentence="Kept as the test of this port: passed."
        if test.passed
        else "Kept as the test of this port: not passed.",
        more=(test.found,),
        cautions=tuple(test.conditions["log"].get("cautions", ())),
    )
    return replace(answer, by=test.by, at=test.at, gauge=test.gauge)


def _answer(
    figure: DecayFigure,
    *,
    sentence: str,
    more: tuple[str, ...],
    cautions: tuple[str, ...],
) -> LeakAnswer:
    return LeakAnswer(
        chart=mark_safe(decay_chart(figure)),  # noqa: S308 - drawn by castworthy.charts
        chart_phone=mark_safe(decay_chart(figure, **_PHONE)),  # noqa: S308 - drawn by castworthy.charts
        verdict=figure.verdict.value,
        ending=_ENDINGS[figure.verdict],
        sentence=sentence,
        more=more,
        cautions=cautions,
    )


_ENDINGS = {
    Verdict.INSIDE: "inside",
    Verdict.OUTSIDE: "outside",
    Verdict.CLOSE: "close",
    Verdict.MISSING: "missing",
}


def _trial_figure(trial: LogTrial, *, place: str, show: Show) -> DecayFigure:
    decay, atmosphere_kpa = trial.decay, trial.port.atmosphere_kpa
    times = trial.log.time_s - trial.log.time_s[0]
    figure = DecayFigure(
        time_s=times.tolist(),
        vacuum_kpa=(atmosphere_kpa - trial.log.pressure_kpa).tolist(),
        hold_s=trial.hold_s,
        show=show,
        least_kpa=trial.least_held_kpa,
        pump_kpa=trial.dead_head_kpa,
        title=f"Vacuum of port {place} against time",
    )
    if isinstance(decay, Refused):
        return figure
    return _fitted(figure, log=decay, atmosphere_kpa=atmosphere_kpa, verdict=trial.verdict)


def _kept_figure(log: KeptLog, *, show: Show) -> DecayFigure:
    figure = DecayFigure(
        time_s=[each - log.time_s[0] for each in log.time_s],
        vacuum_kpa=[log.atmosphere_kpa - each for each in log.pressure_kpa],
        hold_s=log.hold_s,
        show=show,
        least_kpa=log.least_held_kpa,
        pump_kpa=log.dead_head_kpa,
        title=f"Vacuum of port {log.place} against time, as kept",
    )
    return _fitted(figure, log=log, atmosphere_kpa=log.atmosphere_kpa, verdict=log.verdict)


def _fitted(
    figure: DecayFigure, *, log: KeptLog | Decay, atmosphere_kpa: float, verdict: Verdict
) -> DecayFigure:
    """The chart with its curve, from the first reading to the end of hold and log."""
    times = np.linspace(0.0, figure.last_s, _CURVE_COUNT).tolist()
    pressures = curve_kpa(
        (log.start_s + each for each in times), log=log, atmosphere_kpa=atmosphere_kpa
    )
    return replace(
        figure,
        strays_s=[each - log.start_s for each in log.strays_s],
        curve_s=times,
        curve_kpa=[atmosphere_kpa - each for each in pressures],
        held_kpa=log.held_kpa,
        u_held_kpa=log.u_held_kpa,
        verdict=verdict,
    )
