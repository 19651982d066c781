"""From what was typed at the bench to a value with its sign, unit and uncertainty.

No deed of its own: ``readings`` and the proof tests build on it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from castworthy import __version__
from castworthy.actions.errors import DeedRefused
from castworthy.calc.decision.phrases import place_phrase
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity, QuantityFacts
from castworthy.records.errors import printable
from castworthy.records.measured import Taken
from castworthy.records.models import Gauge, Head, Person, Reading
from castworthy.records.to_calc import fits, gauge_of
from castworthy.units import Show, UnitError, read_value

SIDES = ("below", "flush", "above")
"""Where a valve's face or an injector's tip lies against the deck."""

_SIGNS = {
    Quantity.RECESSION: {"below": 1.0, "flush": 0.0, "above": -1.0},
    Quantity.INJECTOR_PROTRUSION: {"below": -1.0, "flush": 0.0, "above": 1.0},
}
_MAY_BE_NEGATIVE = {Quantity.HEIGHT, Quantity.RING_STAND, Quantity.COIL_BIND}
_NOTHING = "0"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One reading ready to be stored; ``value``, ``u``, ``u_bias`` and ``resolution`` are in
    the quantity's unit, ``typed`` is the text as it came.
    """

    quantity: Quantity
    place: str
    typed: str
    unit: str
    side: str
    value: float
    u: float | None
    u_bias: float
    resolution: float | None
    gauge: Gauge | None
    gauge_overdue: bool


def read_entry(
    *,
    sheet: HeadSheet,
    quantity: str,
    place: str,
    typed: str,
    side: str,
    unit: str,
    gauge: str | None,
    on: date,
    by: Person,
) -> Entry:
    """Check a typed reading against its sheet and gauge, and read its value.

    A bare number is in ``unit``, else in the person's own units.

    Raises
    ------
    DeedRefused
        With one sentence and the field at fault.

    """
    known = quantity_named(quantity)
    check_place(sheet, quantity=known, place=place)
    facts = FACTS[known]
    value, read_unit = _value(
        typed, quantity=known, side=side, unit=unit or entry_unit(by, quantity=known)
    )
    row = None if not gauge else _gauge(gauge, facts=facts)
    used = None if row is None else gauge_of(row, suffix=facts.suffix)
    return Entry(
        quantity=known,
        place=place,
        typed=typed,
        unit=read_unit,
        side=side if facts.sided else "",
        value=value,
        u=None if used is None else used.u,
        u_bias=0.0 if used is None else used.u_bias,
        resolution=None if used is None else used.resolution or None,
        gauge=row,
        gauge_overdue=bool(row and row.calibrated_until and row.calibrated_until < on),
    )


def entry_unit(by: Person, *, quantity: Quantity) -> str:
    """The unit a bare number of this person is read in: inches for people who read thou."""
    return Show(length=by.show_length).unit(FACTS[quantity].suffix)


def quantity_named(name: str) -> Quantity:
    """The quantity of that name.

    Raises
    ------
    DeedRefused
        If nothing is measured under it.

    """
    try:
        return Quantity(name)
    except ValueError:
        raise DeedRefused(
            f"{name!r} is nothing that is measured on a head; choose a line of the run sheet.",
            field="quantity",
        ) from None


def check_place(sheet: HeadSheet, *, quantity: Quantity, place: str) -> None:
    """Refuse a place the sheet does not know for this quantity.

    Raises
    ------
    DeedRefused
        Naming the places there are.

    """
    sites = sheet.sites_of(quantity)
    if place in sites:
        return
    title = FACTS[quantity].title
    if not sites:
        raise DeedRefused(f"Sheet {sheet.code} has no place to read {title}.", field="place")
    if sites == ("",):
        raise DeedRefused(
            f"{title} is read for the head as a whole, not at {place!r}.", field="place"
        )
    named = f"{place!r} is no place for it" if place else "a place is missing"
    raise DeedRefused(
        f"{title} on sheet {sheet.code}: {named}; choose one of {_few(sites)}.", field="place"
    )


def uuid_of(text: str | UUID) -> UUID:
    """The identity an entry was given where it was typed.

    Raises
    ------
    DeedRefused
        If it is none.

    """
    try:
        return text if isinstance(text, UUID) else UUID(str(text))
    except ValueError:
        raise DeedRefused(
            "This entry lost its identity on the way; load the page again and enter it once more.",
            field="uuid",
        ) from None


def taken_of(
    entry: Entry,
    *,
    uuid: UUID,
    epoch: int,
    at: datetime,
    by: Person,
    replaces_id: int | None = None,
    why: str = "",
    slip_kept: str = "",
    alone: bool = False,
) -> Taken:
    """An entry as a reading not yet stored: its ``id`` is 0, ``epoch`` counts the operations
    signed before it.
    """
    return Taken(
        id=0,
        uuid=uuid,
        quantity=entry.quantity,
        place=entry.place,
        typed=entry.typed,
        unit=entry.unit,
        side=entry.side,
        value=entry.value,
        u=entry.u,
        u_bias=entry.u_bias,
        resolution=entry.resolution,
        gauge_id=entry.gauge.pk if entry.gauge else None,
        gauge=entry.gauge.name if entry.gauge else "",
        gauge_overdue=entry.gauge_overdue,
        epoch=epoch,
        replaces_id=replaces_id,
        replaced=False,
        why=why,
        slip_kept=slip_kept,
        alone=alone,
        judged={},
        by=str(by),
        at=at,
    )


def store_taken(taken: Taken, *, head: Head, judged: Mapping[str, Any], by: Person) -> Taken:
    """Write a reading; the answer has its ``id`` and verdict."""
    row = Reading.objects.create(
        uuid=taken.uuid,
        head=head,
        quantity=taken.quantity.value,
        place=taken.place,
        typed=taken.typed,
        unit=taken.unit,
        side=taken.side,
        value=taken.value,
        u=taken.u,
        u_bias=taken.u_bias,
        resolution=taken.resolution,
        gauge_id=taken.gauge_id,
        gauge_overdue=taken.gauge_overdue,
        operations_done_count=taken.epoch,
        replaces_id=taken.replaces_id,
        why=taken.why,
        slip_kept=taken.slip_kept,
        alone=taken.alone,
        judged=dict(judged),
        by=by,
        at=taken.at,
    )
    return replace(taken, id=row.pk, judged=judged)


def judged_json(judgement: Judgement | None, *, revision: int) -> dict[str, Any]:
    """The verdict to keep with a reading, with what it rests on.

    Empty where no limit rules the quantity.
    """
    if judgement is None:
        return {}
    return {
        "verdict": judgement.verdict.value,
        "value": judgement.value,
        "u": judgement.u,
        "probability": judgement.probability,
        "excess": judgement.excess,
        "low": judgement.low,
        "high": judgement.high,
        "rule": judgement.rule_applied.value,
        "revision": revision,
        "software": __version__,
    }


def where(quantity: Quantity, place: str) -> str:
    """What was read where, for a sentence: ``Recession of valve 2B``."""
    return f"{FACTS[quantity].title} of {place_phrase(quantity, place=place)}"


def _value(typed: str, *, quantity: Quantity, side: str, unit: str) -> tuple[float, str]:
    facts = FACTS[quantity]
    if facts.sided:
        return _sided_value(typed, quantity=quantity, side=side, unit=unit)
    value, read_unit = _number(typed, facts=facts, unit=unit)
    if value < 0 and quantity not in _MAY_BE_NEGATIVE:
        raise DeedRefused(
            f"{facts.title} cannot be less than nothing ({typed.strip()}); enter it without the "
            "sign.",
            field="typed",
        )
    return value, read_unit


def _sided_value(typed: str, *, quantity: Quantity, side: str, unit: str) -> tuple[float, str]:
    facts = FACTS[quantity]
    if side not in SIDES:
        raise DeedRefused(
            f"{facts.title} needs its side: choose below the deck, flush or above the deck.",
            field="side",
        )
    value, read_unit = _number(
        typed if typed.strip() or side != "flush" else _NOTHING, facts=facts, unit=unit
    )
    if value < 0:
        raise DeedRefused(
            f"{typed.strip()} carries a sign; choose below or above the deck instead and enter "
            "the number without it.",
            field="typed",
        )
    if side == "flush" and value:
        raise DeedRefused(
            f"Flush means 0, not {typed.strip()}; choose below or above the deck, or leave the "
            "number out.",
            field="side",
        )
    return (_SIGNS[quantity][side] * value or 0.0), read_unit


def _number(typed: str, *, facts: QuantityFacts, unit: str) -> tuple[float, str]:
    if not typed.strip():
        raise DeedRefused(
            f"{facts.title} is still empty; enter what the gauge shows.", field="typed"
        )
    try:
        read = read_value(typed, suffix=facts.suffix, bare_unit=unit)
    except UnitError as error:
        raise DeedRefused(str(error), field="typed", code="unit") from error
    return read.value, read.unit


def _gauge(name: str, *, facts: QuantityFacts) -> Gauge:
    row = Gauge.objects.filter(name=printable(name)).first()
    if row is None:
        raise DeedRefused(
            f"There is no gauge {name!r} on record; choose one of the list.", field="gauge"
        )
    if row.retired:
        raise DeedRefused(
            f"Gauge {row.name} is retired; read it again with another.", field="gauge"
        )
    if not fits(row, suffix=facts.suffix):
        raise DeedRefused(
            f"Gauge {row.name} reads in {row.unit}, which cannot give {facts.title}; choose "
            "another.",
            field="gauge",
        )
    return row


def _few(sites: tuple[str, ...]) -> str:
    shown = 8
    more = f" and {len(sites) - shown} more" if len(sites) > shown else ""
    return f"{', '.join(sites[:shown])}{more}"
