"""What was done to a head, in plain words, a day at a time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.lookups.history import History, TrailLine
from castworthy.records.measured import Taken
from castworthy.units import Show
from castworthy.units.phrase import listed
from castworthy.web.contexts.figures import counted, place_label

_READING = "reading recorded"
_DEEDS = {
    "taken in": "Took it in",
    "head changed": "Changed what is known of it",
    "revision adopted": "Took on a newer revision of the sheet",
    "reading corrected": "Corrected a reading",
    "photo added": "Added a photo",
    "sent back": "Sent it back",
    "scrapped": "Scrapped it",
    "returned to the shop": "Took it back into the shop",
    "plans made": "Worked out the plans",
    "plan chosen": "Chose a plan",
    "operation signed": "Signed off an operation",
    "operation skipped": "Skipped an operation",
    "assembly ticked": "Ticked assembly items",
    "assembly unticked": "Took back assembly ticks",
    "vacuum test recorded": "Recorded a vacuum test",
    "pressure test recorded": "Recorded a pressure test",
    "crack check recorded": "Recorded a crack check",
    "sum kept": "Kept a sum",
    "sum taken back": "Took back a kept sum",
    "head released": "Released it",
    "released": "Released it",
    "head imported": "Brought it in from a file",
}
_WORDS = ("headline", "note", "why", "found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One line of the trail: when, what, who."""

    at: datetime
    words: str
    more: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The deeds of one day, newest first."""

    day: date
    deeds: tuple[Deed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLine:
    """One reading: what was typed, what it says, who, with what.

    ``replaced`` was corrected later; ``remark`` says why, or what it replaced.
    """

    place: str
    typed: str
    value: str
    gauge: str
    by: str
    at: datetime
    replaced: bool
    remark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsOf:
    """Every reading of one quantity, oldest first."""

    title: str
    count_words: str
    lines: tuple[ReadingLine, ...]


def days_of(history: History) -> tuple[Day, ...]:
    """The trail by day, newest first, runs of readings by one person told as one line."""
    deeds = _told(history.trail)
    return tuple(
        Day(day=day, deeds=tuple(same)) for day, same in groupby(deeds, key=lambda d: d.at.date())
    )


def readings_of(history: History, *, show: Show) -> tuple[ReadingsOf, ...]:
    """Every reading a head ever had, by quantity."""
    by_quantity: dict[Quantity, list[Taken]] = {}
    for taken in history.readings:
        by_quantity.setdefault(taken.quantity, []).append(taken)
    replacing = {taken.replaces_id: taken for taken in history.readings if taken.replaces_id}
    return tuple(
        ReadingsOf(
            title=FACTS[quantity].title,
            count_words=_count_words(takens),
            lines=tuple(_line(taken, replacing=replacing, show=show) for taken in takens),
        )
        for quantity, takens in by_quantity.items()
    )


def _told(trail: Iterable[TrailLine]) -> list[Deed]:
    deeds: list[Deed] = []
    for (deed, by, _day), run in groupby(trail, key=lambda t: (t.deed, t.by, t.at.date())):
        lines = list(run)
        if deed == _READING and len(lines) > 1:
            deeds.append(_run(lines, by=by))
        else:
            deeds += [_deed(line) for line in lines]
    return deeds


def _run(lines: list[TrailLine], *, by: str) -> Deed:
    first, last = lines[-1].at, lines[0].at
    until = "" if f"{first:%H:%M}" == f"{last:%H:%M}" else f", {first:%H:%M} to {last:%H:%M}"
    subjects = list(dict.fromkeys(line.subject for line in reversed(lines)))
    named = listed(subjects) if len(subjects) <= 4 else f"{subjects[0]} to {subjects[-1]}"
    return Deed(
        at=last, words=f"Took {counted(len(lines), 'reading')}", more=f"{named}{until}", by=by
    )


def _deed(line: TrailLine) -> Deed:
    words = _DEEDS.get(line.deed, "Took a reading" if line.deed == _READING else line.deed)
    subject = line.subject if line.subject not in {line.tag, ""} else ""
    told = [subject, *(str(line.detail[key]) for key in _WORDS if line.detail.get(key))]
    if items := line.detail.get("items"):
        told.append(_items(items))
    words = f"{words[:1].upper()}{words[1:]}"
    return Deed(at=line.at, words=words, more=_sentences(told), by=line.by)


def _sentences(told: list[str]) -> str:
    """What is told, one after the other; a full stop of its own is not doubled."""
    said = [each for each in told if each]
    return ". ".join([each.removesuffix(".") for each in said[:-1]] + said[-1:])


def _items(items: list[str]) -> str:
    return listed(items) if len(items) <= 6 else counted(len(items), "item")


def _count_words(takens: list[Taken]) -> str:
    replaced = sum(taken.replaced for taken in takens)
    words = counted(len(takens), "reading")
    return f"{words}, {replaced} corrected" if replaced else words


def _line(taken: Taken, *, replacing: dict[int, Taken], show: Show) -> ReadingLine:
    corrected_by = replacing.get(taken.id)
    remarks = []
    if corrected_by is not None:
        remarks.append(f"corrected by {corrected_by.by}")
    if taken.replaces_id:
        remarks.append(f"a correction: {taken.why}" if taken.why else "a correction")
    if taken.slip_kept:
        remarks.append("asked about and kept")
    if taken.gauge_overdue:
        remarks.append("gauge past its calibration date")
    return ReadingLine(
        place=place_label(taken.quantity, place=taken.place) or "the head",
        typed=f"{taken.typed} {taken.unit}".strip()
        if taken.unit and taken.unit not in taken.typed
        else taken.typed,
        value=reading_phrase(taken.value, quantity=taken.quantity, show=show),
        gauge=taken.gauge,
        by=taken.by,
        at=taken.at,
        replaced=taken.replaced,
        remark="; ".join(remarks),
    )
