"""Which proof tests a head needs, which stand, and which later work made tests of the past."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.records.measured import Worked, disturbed
from castworthy.records.models import Head, ProofTest, TestKind

CRACK_CHECK_AGAIN_AFTER = frozenset(
    {
        OperationKind.STRAIGHTEN,
        OperationKind.GUIDE,
        OperationKind.SURFACE,
        OperationKind.RING_GROOVE,
        OperationKind.INSERT,
    }
)
"""Work that loads the casting: look for cracks again after it (trade practice: check after
cleaning, and again after machining and insert work)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """One recorded test.  ``conditions`` are as the deed wrote them, keys with units; ``gauge``
    is the name of the one it was read with, empty where none was named.
    """

    id: int
    kind: TestKind
    place: str
    conditions: Mapping[str, Any]
    found: str
    rule: str
    passed: bool
    epoch: int
    by: str
    at: datetime
    gauge: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """One test a head needs.

    ``latest`` is its last record (``None``: not done), ``undone_by`` the operation signed since
    that makes it a test of the past, ``tries_count`` how often it was done.
    """

    kind: TestKind
    place: str
    latest: Tested | None
    undone_by: Worked | None
    tries_count: int

    @property
    def stands(self) -> bool:
        """True when it was passed and nothing has moved since."""
        return self.latest is not None and self.latest.passed and self.undone_by is None


def proofs_of(head: Head, *, sheet: HeadSheet, worked: Sequence[Worked]) -> tuple[Proof, ...]:
    """Every test the head needs: crack check, pressure, vacuum of each valve (one query)."""
    return proofs_from(tested_of(head), sheet=sheet, worked=worked)


def proofs_from(
    tested: Iterable[Tested], *, sheet: HeadSheet, worked: Sequence[Worked]
) -> tuple[Proof, ...]:
    """Tests and signed operations put together; pure."""
    tries: dict[tuple[TestKind, str], list[Tested]] = {}
    for test in tested:
        tries.setdefault((test.kind, test.place), []).append(test)
    needed = [
        (TestKind.CRACK, ""),
        (TestKind.PRESSURE, ""),
        *((TestKind.VACUUM, valve.name) for valve in sheet.valves),
    ]
    return tuple(
        _proof(kind, place=place, tries=tries.get((kind, place), []), sheet=sheet, worked=worked)
        for kind, place in needed
    )


def _proof(
    kind: TestKind,
    *,
    place: str,
    tries: list[Tested],
    sheet: HeadSheet,
    worked: Sequence[Worked],
) -> Proof:
    latest = tries[-1] if tries else None
    later = [w for w in worked if latest is not None and w.number > latest.epoch]
    undone_by = next((w for w in later if undoes(w, kind=kind, place=place, sheet=sheet)), None)
    return Proof(kind=kind, place=place, latest=latest, undone_by=undone_by, tries_count=len(tries))


def undoes(operation: Worked, *, kind: TestKind, place: str, sheet: HeadSheet) -> bool:
    """True when an operation makes an earlier test of that kind and place one of the past."""
    if kind is TestKind.CRACK:
        return operation.kind in CRACK_CHECK_AGAIN_AFTER
    quantity = Quantity.VACUUM_HOLD if kind is TestKind.VACUUM else Quantity.PRESSURE_HOLD
    return (quantity, place) in disturbed(sheet, kind=operation.kind, place=operation.place)


def tested_of(head: Head) -> tuple[Tested, ...]:
    """Every test of a head, oldest first (one query)."""
    rows = ProofTest.objects.filter(head=head).select_related("by", "reading__gauge").order_by("id")
    return tuple(
        Tested(
            id=row.pk,
            kind=TestKind(row.kind),
            place=row.place,
            conditions=row.conditions,
            found=row.found,
            rule=row.rule,
            passed=row.passed,
            epoch=row.operations_done_count,
            by=str(row.by),
            at=timezone.localtime(row.at),
            gauge=row.reading.gauge.name if row.reading and row.reading.gauge else "",
        )
        for row in rows
    )
