"""Deeds of the bench: readings and their corrections."""

from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db import IntegrityError
from django.utils import timezone

from castworthy.actions.deed import Told, clock_words, deed, hold_head, refuse_ended
from castworthy.actions.entry import (
    Entry,
    judged_json,
    read_entry,
    store_taken,
    taken_of,
    uuid_of,
    where,
)
from castworthy.actions.errors import DeedRefused
from castworthy.actions.settle import settle
from castworthy.actions.texts import short
from castworthy.calc.decision.head import neighbours_of
from castworthy.calc.decision.phrases import reading_phrase, subject
from castworthy.calc.decision.slips import Slip, ask_slips
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.decision.words import coarse_sentence, rule_sentence, verdict_sentence
from castworthy.calc.head import HeadSheet
from castworthy.calc.head import Reading as CalcReading
from castworthy.calc.quantity import FACTS
from castworthy.records.measured import (
    Taken,
    Worked,
    mean_reading,
    measured_from,
    takens_of,
    worked_of,
)
from castworthy.records.models import Head, Person
from castworthy.records.standing import Spot, Standing, judge_once, standing_from
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show

_LONGEST_WHY = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """A reading that is on record.

    ``judgement`` is of the place as it stands now (repeats averaged), ``None`` where no limit
    rules it; ``sentence`` says it in the person's units, ``cautions`` what else to mind (an
    overdue or coarse gauge).  ``next_place`` is the next place to read, of the same quantity
    first; ``None`` when nothing is left.  ``replayed`` is True for an echo of an entry that was
    on record before.
    """

    reading: Taken
    judgement: Judgement | None
    sentence: str
    cautions: tuple[str, ...]
    next_place: Spot | None
    standing: Standing
    replayed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipAsked:
    """Nothing is stored yet: is ``typed`` right?  ``sentences`` ask in the person's units.

    To keep the reading, send it again with ``slip_kept=True``, as long as the text is the same.
    """

    typed: str
    slips: tuple[Slip, ...]
    sentences: tuple[str, ...]


def record_reading(
    *,
    tag: str,
    uuid: str | UUID,
    quantity: str,
    place: str,
    typed: str,
    by: Person,
    side: str = "",
    unit: str = "",
    gauge: str | None = None,
    slip_kept: bool = False,
    replaces: str | UUID | None = None,
    why: str = "",
) -> Recorded | SlipAsked:
    """Record one reading, or ask about it when it looks like a slip.

    ``uuid`` is made where the reading is typed: sent again with the same content it answers as
    before and stores nothing.  ``typed`` is kept as it is; a bare number is in ``unit``, else in
    the person's own units.  ``gauge`` is a gauge's name.  ``replaces`` is the uuid of a reading
    this one corrects; the correction belongs to the moment of the old reading.

    Raises
    ------
    DeedRefused
        If the text, side, place or gauge is wrong, the head has left the shop, the uuid was
        used for another entry, or the old reading was corrected before.

    """
    sent = _Sent(
        tag=tag,
        uuid=uuid_of(uuid),
        quantity=str(quantity),
        place=place,
        typed=typed,
        side=side,
        unit=unit,
        gauge=gauge or "",
        slip_kept=slip_kept,
        replaces=uuid_of(replaces) if replaces else None,
        why=short(why, field="why", what="The reason", longest=_LONGEST_WHY),
    )
    try:
        with deed("reading recorded", by=by) as told:
            return _record(sent, told=told, by=by)
    except IntegrityError as error:
        raise DeedRefused(
            "This entry's identity belongs to another reading; load the page again and enter it "
            "once more.",
            field="uuid",
            code="uuid",
        ) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sent:
    """What came from the bench."""

    tag: str
    uuid: UUID
    quantity: str
    place: str
    typed: str
    side: str
    unit: str
    gauge: str
    slip_kept: bool
    replaces: UUID | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """What is on record before it."""

    head: Head
    sheet: HeadSheet
    takens: tuple[Taken, ...]
    worked: tuple[Worked, ...]

    def standing(self) -> Standing:
        return standing_from(
            tag=self.head.tag, sheet=self.sheet, takens=self.takens, worked=self.worked
        )

    def with_taken(self, taken: Taken) -> "_Bench":
        """The same with one reading more, and the one it corrects marked."""
        before = tuple(
            replace(old, replaced=True) if old.id == taken.replaces_id else old
            for old in self.takens
            if old.id != taken.id
        )
        return replace(self, takens=(*before, taken))


def _record(sent: _Sent, *, told: Told, by: Person) -> Recorded | SlipAsked:
    head = hold_head(sent.tag)
    told.about(head=head)
    bench = _Bench(
        head=head,
        sheet=sheet_for(head),
        takens=takens_of(head),
        worked=worked_of(head),
    )
    prior = _prior(sent, bench=bench)
    if prior is not None:
        told.nothing_new()
        judgement = _judgement(prior, bench=bench)
        return _recorded(
            prior, judgement=judgement, standing=bench.standing(), by=by, replayed=True
        )
    refuse_ended(head)
    entry = _entry(sent, sheet=bench.sheet, told=told, by=by)
    replaced = _replaced(sent, bench=bench)
    slips = _slips(entry, bench=bench)
    if slips and not sent.slip_kept:
        told.nothing_new()
        return _asked(sent, slips=slips, by=by)
    return _keep(sent, entry=entry, replaced=replaced, slips=slips, bench=bench, told=told, by=by)


def _keep(
    sent: _Sent,
    *,
    entry: Entry,
    replaced: Taken | None,
    slips: tuple[Slip, ...],
    bench: _Bench,
    told: Told,
    by: Person,
) -> Recorded:
    taken = taken_of(
        entry,
        uuid=sent.uuid,
        epoch=replaced.epoch if replaced else len(bench.worked),
        at=told.at,
        by=by,
        replaces_id=replaced.id if replaced else None,
        why=sent.why,
        slip_kept=slips[0].sentence(Show())[:_LONGEST_WHY] if slips else "",
    )
    judgement = _judgement(taken, bench=bench)
    taken = store_taken(
        taken,
        head=bench.head,
        judged=judged_json(judgement, revision=bench.head.revision.number),
        by=by,
    )
    bench = bench.with_taken(taken)
    told.about(subject=where(taken.quantity, taken.place), **_told_of(taken, replaced=replaced))
    if replaced:
        told.deed = "reading corrected"
    standing = bench.standing()
    settle(bench.head, at=told.at, standing=standing)
    return _recorded(taken, judgement=judgement, standing=standing, by=by)


def _entry(sent: _Sent, *, sheet: HeadSheet, told: Told, by: Person) -> Entry:
    entry = read_entry(
        sheet=sheet,
        quantity=sent.quantity,
        place=sent.place,
        typed=sent.typed,
        side=sent.side,
        unit=sent.unit,
        gauge=sent.gauge,
        on=timezone.localdate(told.at),
        by=by,
    )
    if FACTS[entry.quantity].tested:
        raise DeedRefused(
            f"{FACTS[entry.quantity].title} is a proof test; record it at the step Prove.",
            field="quantity",
        )
    return entry


def _prior(sent: _Sent, *, bench: _Bench) -> Taken | None:
    """The stored reading of this uuid, when this is its echo."""
    prior = next((taken for taken in bench.takens if taken.uuid == sent.uuid), None)
    if prior is None:
        return None
    corrected = next((t.uuid for t in bench.takens if t.id == prior.replaces_id), None)
    same = (
        prior.quantity == sent.quantity
        and prior.place == sent.place
        and prior.typed == sent.typed
        and prior.side in {sent.side, ""}
        and prior.gauge == sent.gauge
        and corrected == sent.replaces
    )
    if not same:
        raise DeedRefused(
            f"This entry was recorded {clock_words(prior.at)} as {prior.typed} for "
            f"{where(prior.quantity, prior.place)}; enter the new reading on its own.",
            field="uuid",
            code="uuid",
        )
    return prior


def _replaced(sent: _Sent, *, bench: _Bench) -> Taken | None:
    """The reading this one corrects."""
    if sent.replaces is None:
        return None
    old = next((taken for taken in bench.takens if taken.uuid == sent.replaces), None)
    if old is None or (old.quantity, old.place) != (sent.quantity, sent.place):
        raise DeedRefused(
            "A correction takes the place of a reading of the same quantity at the same place; "
            "there is no such reading.",
            field="replaces",
        )
    if old.replaced:
        newer = next(taken for taken in bench.takens if taken.replaces_id == old.id)
        raise DeedRefused(
            f"{where(old.quantity, old.place)} was already corrected to {newer.typed} by "
            f"{newer.by} {clock_words(newer.at)}; correct that reading instead.",
            field="replaces",
            code="replaced",
        )
    return old


def _slips(entry: Entry, *, bench: _Bench) -> tuple[Slip, ...]:
    measured = measured_from(bench.takens, worked=bench.worked, sheet=bench.sheet)
    return ask_slips(
        CalcReading(quantity=entry.quantity, place=entry.place, value=entry.value, u=entry.u),
        limit=bench.sheet.limit_for(entry.quantity, place=entry.place),
        neighbours=neighbours_of(
            bench.sheet,
            quantity=entry.quantity,
            place=entry.place,
            readings=[m.reading for m in measured.values() if not m.stale],
        ),
    )


def _asked(sent: _Sent, *, slips: tuple[Slip, ...], by: Person) -> SlipAsked:
    show = Show(length=by.show_length)
    return SlipAsked(
        typed=sent.typed, slips=slips, sentences=tuple(slip.sentence(show) for slip in slips)
    )


def _judgement(taken: Taken, *, bench: _Bench) -> Judgement | None:
    """The verdict on its place, repeats averaged; on the reading alone where later work moved
    the place or a correction took the reading's own.
    """
    limit = bench.sheet.limit_for(taken.quantity, place=taken.place)
    if limit is None:
        return None
    key = (taken.quantity, taken.place)
    here = [t for t in bench.with_taken(taken).takens if (t.quantity, t.place) == key]
    measured = measured_from(here, worked=bench.worked, sheet=bench.sheet)[key]
    counts = any(current.uuid == taken.uuid for current in measured.current)
    reading = measured.reading if counts else mean_reading([taken])
    return judge_once(reading, limit, bench.sheet.work.confidence_probability)


def _told_of(taken: Taken, *, replaced: Taken | None) -> dict[str, Any]:
    told = {
        "quantity": taken.quantity.value,
        "place": taken.place,
        "typed": taken.typed,
        "unit": taken.unit,
        "side": taken.side,
        "gauge": taken.gauge,
        "verdict": str(taken.judged.get("verdict", "")),
        "slip_kept": taken.slip_kept,
        "why": taken.why,
        "instead_of": replaced.typed if replaced else "",
    }
    return {key: text for key, text in told.items() if text}


def _recorded(
    taken: Taken,
    *,
    judgement: Judgement | None,
    standing: Standing,
    by: Person,
    replayed: bool = False,
) -> Recorded:
    show = Show(length=by.show_length)
    return Recorded(
        reading=taken,
        judgement=judgement,
        sentence=_sentence(taken, judgement=judgement, show=show),
        cautions=_cautions(taken, judgement=judgement, show=show),
        next_place=standing.next_after(Spot(quantity=taken.quantity, place=taken.place)),
        standing=standing,
        replayed=replayed,
    )


def _sentence(taken: Taken, *, judgement: Judgement | None, show: Show) -> str:
    if judgement is not None:
        return verdict_sentence(judgement, show=show)
    phrase = reading_phrase(taken.value, quantity=taken.quantity, show=show)
    return f"{subject(taken.quantity, place=taken.place)}: {phrase}."


def _cautions(taken: Taken, *, judgement: Judgement | None, show: Show) -> tuple[str, ...]:
    said = []
    if taken.gauge_overdue:
        said.append(f"The calibration of gauge {taken.gauge} has run out; have it checked.")
    if judgement is not None:
        said += [rule_sentence(judgement), coarse_sentence(judgement, show=show)]
    return tuple(sentence for sentence in said if sentence)
