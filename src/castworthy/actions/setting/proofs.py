"""The tests of a release record in pictures: the ports' logs, the cracks found on the way."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from castworthy.actions.setting.press import day
from castworthy.calc.head import HeadSheet
from castworthy.calc.leak.ports import PortComparison
from castworthy.charts.deck import deck_plan
from castworthy.charts.ports import PortTrace, ports_chart
from castworthy.charts.spots import found_marks
from castworthy.charts.theme import Theme
from castworthy.records.crack_places import CrackPlace, places_of
from castworthy.records.leak_logs import KeptLog, compared, curve_kpa, kept_log, told_conditions
from castworthy.records.models import Head, Photo
from castworthy.records.proof_words import time_words, vacuum_words
from castworthy.records.proving import tested_of
from castworthy.reports.parts import CrackRow
from castworthy.reports.release import PortLogs
from castworthy.units import Show

Content = Mapping[str, Any]
_CURVE_COUNT = 30


def port_logs(content: Content, *, head: Head, show: Show) -> PortLogs | None:
    """The logs behind the vacuum tests of a record; ``None`` where no port was logged.

    A record keeps the digest of a log's readings; the readings themselves are drawn only where
    they still have it.
    """
    logs = _logs(content, head=head)
    if not logs:
        return None
    found = compared(logs)
    odd = found.odd if isinstance(found, PortComparison) else ()
    tested_count = sum(test["kind"] == "vacuum" for test in content["tests"])
    pumps = [log.dead_head_kpa for log in logs]
    leasts = {log.least_held_kpa for log in logs}
    return PortLogs(
        svg=ports_chart(
            [_trace(log, odd=log.place in odd, show=show) for log in logs],
            show=show,
            pump_kpa=max(pumps),
            least_kpa=leasts.pop() if len(leasts) == 1 else None,
        ),
        about=_about(logs, show=show),
        sentences=(
            f"{len(logs)} of {tested_count} ports logged{_read_with(logs)}; pump against a shut "
            f"line {_span(pumps, show=show)}.",
            *((found.sentence,) if isinstance(found, PortComparison) else ()),
        ),
    )


def _logs(content: Content, *, head: Head) -> tuple[KeptLog, ...]:
    kept = {
        (test.place, told_conditions(test.conditions)["log"]["readings_digest"]): test
        for test in tested_of(head)
        if test.conditions.get("log")
    }
    told = (
        kept.get((test["place"], test["conditions"]["log"]["readings_digest"]))
        for test in content["tests"]
        if test["conditions"].get("log")
    )
    return tuple(log for test in told if (log := kept_log(test)) is not None)


def _trace(log: KeptLog, *, odd: bool, show: Show) -> PortTrace:
    last_s = max(log.hold_s, log.time_s[-1] - log.time_s[0])
    times = [last_s * at / (_CURVE_COUNT - 1) for at in range(_CURVE_COUNT)]
    curve = curve_kpa(
        (log.start_s + each for each in times), log=log, atmosphere_kpa=log.atmosphere_kpa
    )
    held = show.of_vacuum().number(log.held_kpa, suffix="kpa")
    leak = f"{log.leak_std_cm3_per_min:.2g}" if log.seen else "no leak seen"
    return PortTrace(
        place=log.place,
        time_s=[each - log.time_s[0] for each in log.time_s],
        vacuum_kpa=[log.atmosphere_kpa - each for each in log.pressure_kpa],
        curve_s=times,
        curve_kpa=[log.atmosphere_kpa - each for each in curve],
        words=f"{held} · {leak}",
        verdict=log.verdict,
        odd=odd,
    )


def _about(logs: Sequence[KeptLog], *, show: Show) -> str:
    unit, hold = show.of_vacuum().unit("kpa"), time_words(max(log.hold_s for log in logs))
    return (
        f"Vacuum against time, {unit}, all on one scale over {hold}; dashed: the pump. Under each "
        f"box: {unit} left after {hold}, and the leak in std cm³/min."
    )


def _read_with(logs: Iterable[KeptLog]) -> str:
    names = sorted({log.gauge for log in logs if log.gauge})
    return f" with {', '.join(names)}" if names else ""


def _span(values_kpa: Sequence[float], *, show: Show) -> str:
    low, high = (vacuum_words(each, show=show) for each in (min(values_kpa), max(values_kpa)))
    return high if low == high else f"{low} to {high}"


def crack_rows(cracks: Sequence[tuple[CrackPlace, str]], *, head: Head) -> tuple[CrackRow, ...]:
    """Places where cracks were found, numbered as on the map, each with its photo and who found
    it.
    """
    photos = {str(row.uuid): row for row in Photo.objects.filter(head=head)}
    return tuple(
        CrackRow(
            number=number,
            words=place.words,
            photo=photo_bytes(photos.get(place.photo)),
            photo_about=photos[place.photo].caption if place.photo in photos else "",
            told=told,
        )
        for number, (place, told) in enumerate(cracks, start=1)
    )


def photo_bytes(photo: Photo | None) -> bytes:
    """The file of a photo; nothing where there is none or it is gone."""
    if photo is None:
        return b""
    try:
        with photo.file.open("rb") as file:
            return file.read()
    except FileNotFoundError:
        return b""


def crack_deck(places: Iterable[CrackPlace], *, sheet: HeadSheet, show: Show) -> str:
    """The deck with a numbered mark at every place found; empty where none lies on it."""
    marks = found_marks(((each.words, each.spot_mm) for each in places), title="crack")
    return deck_plan(sheet, marks=marks, theme=Theme.PRINT, show=show) if marks else ""


def cracks_then(content: Content) -> tuple[tuple[CrackPlace, str], ...]:
    """The places earlier crack checks of a record found something at, and who found it when."""
    return tuple(
        (place, f"{test['method']}, {test['by']}, {day(datetime.fromisoformat(test['at']))}")
        for test in content.get("cracks", ())
        for place in places_of(test["places"])
    )
