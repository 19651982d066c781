"""Deeds about sealing rings: the stands of a ring all round and at its joint."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from castworthy.actions.deed import deed, head_for_work
from castworthy.actions.entry import Entry, judged_json, read_entry, store_taken, taken_of, uuid_of
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.calc.decision.head import neighbours_of
from castworthy.calc.decision.slips import ask_slips
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.head import Reading as CalcReading
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.sealing.ring_readings import (
    AFTER,
    BEFORE,
    PLACES,
    STEP_HIGH_MM,
    RingReadings,
    RingVerdict,
    judge_ring,
    ring_sentences,
)
from castworthy.records.models import Head, Person, Reading
from castworthy.records.standing import Standing, judge_once, standing_for
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show

FIELDS = ("twelve", "three", "six", "nine", "before", "after")
"""The six stands in the order they are given, as a refusal names them."""

PLACE_WORDS = (*PLACES, BEFORE, AFTER)
"""Where each of them is read."""

_ALLOWANCE_MM = 1e-6
_LONGEST = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class RingTyped:
    """The stands of one ring as they were typed: 12, 3, 6 and 9 o'clock, both joint sides."""

    twelve: str
    three: str
    six: str
    nine: str
    before: str
    after: str

    @property
    def texts(self) -> tuple[str, ...]:
        """All six in the order of ``FIELDS``."""
        return self.twelve, self.three, self.six, self.nine, self.before, self.after


@dataclass(frozen=True, slots=True, kw_only=True)
class RingRecorded:
    """A ring on record: its verdict (empty where no limit rules) and what it means."""

    cylinder: str
    verdict: str
    sentences: tuple[str, ...]
    replayed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RingAsked:
    """Nothing is stored yet: are these figures right?  Send them again with ``kept``."""

    cylinder: str
    sentences: tuple[str, ...]


def record_ring(
    *,
    tag: str,
    uuid: str | UUID,
    cylinder: str,
    typed: RingTyped,
    by: Person,
    unit: str = "",
    gauge: str = "",
    kept: bool = False,
) -> RingRecorded | RingAsked:
    """Record the stands of one ring, or ask about them when they look wrong.

    They are one reading of the ring's stand, in place of what was read there before: the stand
    that decides, the six figures in its reason.  A bare figure is in ``unit``, else in thou or
    millimetres as the person reads.

    Raises
    ------
    DeedRefused
        If a figure, the cylinder or the gauge is wrong, or the head has left the shop.

    """
    identity = uuid_of(uuid)
    with deed("ring recorded", by=by) as told:
        head = head_for_work(tag)
        sheet = sheet_for(head)
        show = Show(length=by.show_length)
        entries = _entries(
            typed,
            sheet=sheet,
            cylinder=cylinder,
            unit=unit or show.unit("mm", difference=True),
            gauge=gauge,
            by=by,
            at=told.at,
        )
        stands = tuple(each.value for each in entries)
        limit = sheet.limit_for(Quantity.RING_STAND, place=cylinder)
        verdict = _judged(entries, limit=limit, sheet=sheet)
        words = _six_words(stands, show=show)
        if _is_echo(identity, head=head, cylinder=cylinder, why=words):
            told.nothing_new()
            return _recorded(cylinder, stands=stands, verdict=verdict, show=show, replayed=True)
        deciding = entries[_deciding(stands, limit=limit)]
        standing = standing_for(head)
        asked = _asked(deciding, standing=standing, stands=stands, show=show)
        if asked and not kept:
            told.nothing_new()
            return RingAsked(cylinder=cylinder, sentences=asked)
        taken = taken_of(
            deciding,
            uuid=identity,
            epoch=max((each.number for each in standing.worked), default=0),
            at=told.at,
            by=by,
            why=words[:_LONGEST],
            slip_kept=" ".join(asked)[:_LONGEST],
            alone=True,
        )
        store_taken(taken, head=head, judged=_judged_json(deciding, head=head, sheet=sheet), by=by)
        settle(head, at=told.at)
        told.about(head=head, subject=f"ring of cylinder {cylinder}", stands=words)
        return _recorded(cylinder, stands=stands, verdict=verdict, show=show)


def _deciding(stands_mm: Sequence[float], *, limit: Limit | None) -> int:
    """Which stand decides: the nearest to its limit or farthest past it, else the lowest."""

    def room(stand_mm: float) -> float:
        if limit is None or (limit.low is None and limit.high is None):
            return stand_mm
        ends = [] if limit.low is None else [stand_mm - limit.low]
        return min(ends if limit.high is None else [*ends, limit.high - stand_mm])

    return min(range(len(stands_mm)), key=lambda index: room(stands_mm[index]))


def _six_words(stands_mm: Sequence[float], *, show: Show) -> str:
    """The six stands in words, in the person's small unit."""
    sizes = (show.number(stand, suffix="mm", difference=True) for stand in stands_mm)
    said = ", ".join(f"{place} {size}" for place, size in zip(PLACE_WORDS, sizes, strict=True))
    return f"{said} {show.unit('mm', difference=True)}"


def _entries(
    typed: RingTyped,
    *,
    sheet: HeadSheet,
    cylinder: str,
    unit: str,
    gauge: str,
    by: Person,
    at: datetime,
) -> tuple[Entry, ...]:
    """The six figures read; a refusal names the field it is about."""
    entries = []
    for field, where, text in zip(FIELDS, PLACE_WORDS, typed.texts, strict=True):
        if not text.strip():
            raise DeedRefused(
                f"The stand {_at(where)} is still empty; read it at four places and on both sides "
                "of the joint.",
                field=field,
            )
        try:
            entry = read_entry(
                sheet=sheet,
                quantity=Quantity.RING_STAND.value,
                place=cylinder,
                typed=text,
                side="",
                unit=unit,
                gauge=gauge,
                on=at.date(),
                by=by,
            )
        except DeedRefused as refused:
            if refused.field == "typed":
                raise DeedRefused(refused.sentence, field=field) from refused
            raise
        entries.append(entry)
    return tuple(entries)


def _at(where: str) -> str:
    return where if where in (BEFORE, AFTER) else f"at {where}"


def _judged(
    entries: Sequence[Entry], *, limit: Limit | None, sheet: HeadSheet
) -> RingVerdict | None:
    if limit is None:
        return None
    *around, before, after = (each.value for each in entries)
    judged = judge_ring(
        RingReadings(
            cylinder=entries[0].place,
            around_mm=tuple(around),
            before_joint_mm=before,
            after_joint_mm=after,
            u_mm=entries[0].u,
            resolution_mm=entries[0].resolution,
        ),
        limit=limit,
        confidence_probability=sheet.work.confidence_probability,
    )
    if isinstance(judged, Refused):
        raise DeedRefused(judged.sentence)
    return judged


def _asked(
    deciding: Entry, *, standing: Standing, stands: Sequence[float], show: Show
) -> tuple[str, ...]:
    """What is asked before the ring is taken in: a slip of the hand, a step at the joint."""
    sheet = standing.sheet
    others = [
        CalcReading(quantity=spot.quantity, place=spot.place, value=spot.value)
        for spot in standing.of(Quantity.RING_STAND)
        if spot.read and spot.value is not None
    ]
    reading = _reading(deciding)
    slips = ask_slips(
        reading,
        limit=sheet.limit_for(Quantity.RING_STAND, place=deciding.place),
        neighbours=neighbours_of(
            sheet, quantity=Quantity.RING_STAND, place=deciding.place, readings=others
        ),
    )
    said = [slip.sentence(show) for slip in slips]
    said += [
        f"The ring of cylinder {deciding.place} reads {_below(stand, show=show)} the deck "
        f"{_at(where)}: a ring stands above it. Is the sign right?"
        for where, stand in zip(PLACE_WORDS, stands, strict=True)
        if stand < 0.0
    ]
    *_, before, after = stands
    step = abs(after - before)
    if step > STEP_HIGH_MM + _ALLOWANCE_MM:
        by, most = (show.value(size, suffix="mm", difference=True) for size in (step, STEP_HIGH_MM))
        said.append(
            f"The ring of cylinder {deciding.place} steps {by} across its joint, more than {most}."
        )
    return tuple(said)


def _below(stand_mm: float, *, show: Show) -> str:
    return f"{show.value(-stand_mm, suffix='mm', difference=True)} below"


def _reading(entry: Entry) -> CalcReading:
    return CalcReading(
        quantity=entry.quantity,
        place=entry.place,
        value=entry.value,
        u=entry.u,
        resolution=entry.resolution,
    )


def _judged_json(entry: Entry, *, head: Head, sheet: HeadSheet) -> Mapping[str, Any]:
    limit = sheet.limit_for(Quantity.RING_STAND, place=entry.place)
    judged = None
    if limit is not None:
        judged = judge_once(_reading(entry), limit, sheet.work.confidence_probability)
    return judged_json(judged, revision=head.revision.number)


def _is_echo(uuid: UUID, *, head: Head, cylinder: str, why: str) -> bool:
    """True when these stands are on record already under this identity."""
    prior = Reading.objects.filter(uuid=uuid).first()
    if prior is None:
        return False
    same = (prior.head_id, prior.quantity, prior.place, prior.why)
    if same != (head.pk, Quantity.RING_STAND.value, cylinder, why[:_LONGEST]):
        raise DeedRefused(
            "This entry's identity belongs to another reading; load the page again and enter the "
            "stands once more.",
            field="uuid",
            code="uuid",
        )
    return True


def _recorded(
    cylinder: str,
    *,
    stands: Sequence[float],
    verdict: RingVerdict | None,
    show: Show,
    replayed: bool = False,
) -> RingRecorded:
    if verdict is None:
        low, high = (show.number(size, suffix="mm", difference=True) for size in _ends(stands))
        unit = show.unit("mm", difference=True)
        sentences: tuple[str, ...] = (
            f"The ring of cylinder {cylinder} stands {low} to {high} {unit} above the deck; the "
            "sheet sets no limit for it.",
        )
    else:
        sentences = ring_sentences(verdict, show=show)
    return RingRecorded(
        cylinder=cylinder,
        verdict="" if verdict is None else Verdict(verdict.verdict).value,
        sentences=sentences,
        replayed=replayed,
    )


def _ends(stands: Sequence[float]) -> tuple[float, float]:
    return min(stands), max(stands)
