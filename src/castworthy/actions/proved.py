"""What every proof test is made of: typed figures, the reading it is, the row it leaves.

No deed of its own: ``proof`` and ``leak_log`` build on it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.utils import timezone

from castworthy.actions.deed import Told
from castworthy.actions.entry import judged_json, read_entry, store_taken, taken_of, uuid_of
from castworthy.actions.errors import DeedRefused
from castworthy.actions.steps import keep_progress, move_to
from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.head import Reading as CalcReading
from castworthy.calc.quantity import Quantity
from castworthy.records.measured import worked_of
from castworthy.records.models import (
    Head,
    Operation,
    OperationState,
    Person,
    ProofTest,
    Reading,
    Step,
    TestKind,
)
from castworthy.records.proof_words import temperature_unit
from castworthy.records.proving import proofs_of
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show, UnitError, read_value

_NAMES = {
    "start": "The pressure at the start",
    "held": "What was held",
    "dead_head": "The pump's reading of the day",
    "hold": "The hold",
    "volume": "The volume",
    "start_temperature": "The temperature at the start",
    "end_temperature": "The temperature at the end",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """A test on record.  ``sentence`` says how it ended; ``left_count`` tests still to pass."""

    test_id: int
    passed: bool
    rule: str
    sentence: str
    left_count: int
    tests_count: int
    step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NewProof:
    """One test about to be stored; ``headline`` tells the trail what was found, in a sentence."""

    kind: TestKind
    place: str
    conditions: Mapping[str, Any]
    found: str
    rule: str
    passed: bool
    sentence: str
    reading: Reading | None = None
    headline: str = ""


def held_reading(
    head: Head,
    *,
    quantity: Quantity,
    place: str,
    value_kpa: float,
    gauge: str | None,
    uuid: str | UUID | None,
    by: Person,
    at: datetime,
    u_kpa: float | None = None,
    u_shared_kpa: float = 0.0,
) -> tuple[Reading, Judgement | None]:
    """The figure of a test as a reading on record, judged where the sheet limits it.

    ``u_kpa`` is its own standard uncertainty where it is known better than from the gauge, and
    ``u_shared_kpa`` the part of it that another reading with the gauge would repeat.
    """
    sheet = sheet_for(head)
    entry = read_entry(
        sheet=sheet,
        quantity=quantity.value,
        place=place,
        typed=f"{value_kpa:.6f} kPa",
        side="",
        unit="kPa",
        gauge=gauge,
        on=timezone.localdate(at),
        by=by,
    )
    if u_kpa is not None:
        entry = replace(entry, u=u_kpa, u_bias=min(u_shared_kpa, u_kpa))
    limit = sheet.limit_for(quantity, place=place)
    judgement = None
    if limit is not None:
        reading = CalcReading(quantity=quantity, place=place, value=entry.value, u=entry.u)
        confidence = sheet.work.confidence_probability
        judgement = judge(reading, limit=limit, confidence_probability=confidence)
    taken = taken_of(
        entry, uuid=uuid_of(uuid) if uuid else uuid4(), epoch=_done_count(head), at=at, by=by
    )
    judged = judged_json(judgement, revision=head.revision.number)
    stored = store_taken(taken, head=head, judged=judged, by=by)
    return Reading.objects.get(pk=stored.id), judgement


def keep_proof(head: Head, *, test: NewProof, told: Told, by: Person) -> Proved:
    """Store a test, tell the trail, and move the head on where it was the last one."""
    row = ProofTest.objects.create(
        head=head,
        kind=test.kind,
        place=test.place,
        conditions=dict(test.conditions),
        found=test.found,
        rule=test.rule[:200],
        passed=test.passed,
        reading=test.reading,
        operations_done_count=_done_count(head),
        by=by,
        at=told.at,
    )
    told.about(
        head=head,
        subject=f"{test.kind.label} {test.place}".strip(),
        passed=test.passed,
        found=test.headline or test.found,
    )
    proofs = proofs_of(head, sheet=sheet_for(head), worked=worked_of(head))
    left = sum(not proof.stands for proof in proofs)
    _step_on(head, left=left, at=told.at)
    return Proved(
        test_id=row.pk,
        passed=test.passed,
        rule=test.rule,
        sentence=test.sentence,
        left_count=left,
        tests_count=len(proofs),
        step=head.step,
    )


def _step_on(head: Head, *, left: int, at: datetime) -> None:
    if head.step not in {Step.PROVE, Step.RELEASE}:
        return
    planned = Operation.objects.filter(head=head, state=OperationState.PLANNED).exists()
    move_to(head, Step.PROVE if left or planned else Step.RELEASE, at=at)
    keep_progress(head)


def _done_count(head: Head) -> int:
    return head.operations.filter(state=OperationState.DONE).count()


def reader_of(by: Person, *, pressure: str) -> Callable[[str, str, str], float]:
    """Reads a typed figure; a bare number is in the person's units, pressures in ``pressure``."""
    show = Show(length=by.show_length)
    bare = {
        "kpa": pressure,
        "s": "s",
        "cm3": "l",
        "degc": temperature_unit(show),
    }

    def read(field: str, typed: str, suffix: str) -> float:
        if not typed.strip():
            raise DeedRefused(
                f"{_NAMES[field]} is still empty; enter what the gauge shows.", field=field
            )
        try:
            return read_value(typed, suffix=suffix, bare_unit=bare[suffix]).value
        except UnitError as error:
            raise DeedRefused(str(error), field=field, code="unit") from error

    return read


def maybe(
    read: Callable[[str, str, str], float], field: str, typed: str, suffix: str
) -> float | None:
    """A figure that may be left out."""
    return read(field, typed, suffix) if typed.strip() else None
