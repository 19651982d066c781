"""What a head already knows of a bench sum: its sheet, what was read, what is planned."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from castworthy.calc.head import Cylinder, HeadSheet, Reading, Spring, Valve
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.effects import disturbed_by
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.rework.taken import TakenCut, predicted_reading, sinking_mm
from castworthy.records.errors import NotOnRecord
from castworthy.records.leak_logs import KeptLog, kept_log
from castworthy.records.models import (
    Head,
    Operation,
    OperationState,
    SheetRevision,
    TestKind,
)
from castworthy.records.proving import Tested, tested_of
from castworthy.records.rows import head_row
from castworthy.records.standing import standing_for


@dataclass(frozen=True, slots=True, kw_only=True)
class SumsHead:
    """A head beside a sum.

    ``place`` is a valve, a cylinder or empty; ``read`` holds what stands on record by quantity
    and place, ``u`` its standard uncertainty where the gauge is known, both in the unit of the
    quantity.  ``planned`` is the work of the chosen plan that is not signed off yet.
    ``revision`` is that of the sheet the head is judged by, ``None`` where it is the newest.
    ``log`` is the last one kept of the place's port, ``pressure_test`` what the last pressure
    test was done with.
    """

    tag: str
    sheet: HeadSheet
    place: str
    read: Mapping[tuple[Quantity, str], float]
    u: Mapping[tuple[Quantity, str], float] = field(default_factory=dict)
    planned: tuple[TakenCut, ...] = ()
    revision: int | None = None
    log: KeptLog | None = None
    pressure_test: Mapping[str, Any] = field(default_factory=dict)

    @property
    def valve(self) -> Valve | None:
        """The valve of the place, ``None`` where it is none."""
        return next((each for each in self.sheet.valves if each.name == self.place), None)

    @property
    def cylinder(self) -> Cylinder | None:
        """The cylinder of the place or of its valve; the first where no place is named."""
        name = self.place if self.valve is None else self.valve.cylinder
        found = next((each for each in self.sheet.cylinders if each.name == name), None)
        return found if self.place else next(iter(self.sheet.cylinders), None)

    @property
    def spring(self) -> Spring | None:
        """The spring of the valve, or the sheet's only one."""
        if self.valve is not None:
            return self.sheet.spring_for(self.valve.name)
        return self.sheet.springs[0] if len(self.sheet.springs) == 1 else None

    def here(self, quantity: Quantity) -> float | None:
        """What stands on record at the place."""
        return self.read.get((quantity, self.place))

    @property
    def planned_cut_mm(self) -> float | None:
        """The deck cut still to be made, ``None`` where none is planned."""
        cuts = [each.taken_mm for each in self.planned if each.kind is OperationKind.SURFACE]
        return cuts[0] if cuts else None

    def planned_mm(self, kind: OperationKind) -> float | None:
        """What an operation still to be done takes at the place, ``None`` where none is planned."""
        taken = (e.taken_mm for e in self.planned if (e.kind, e.place) == (kind, self.place))
        return next(taken, None) or None

    def planned_sinking_mm(self, valve: str) -> float | None:
        """How far the work still to be done sinks a valve.

        ``None`` where nothing does, or where a new valve is to be measured first.
        """
        cuts = [each for each in self.planned if each.place == valve]
        if any(each.kind is OperationKind.VALVE for each in cuts):
            return None
        return sinking_mm(cuts) or None

    def after(self, quantity: Quantity, *, place: str) -> float | None:
        """What the work still to be done makes of a reading; ``None`` where nobody can tell."""
        value = self.read.get((quantity, place))
        if value is None:
            return None
        cuts = tuple(
            cut
            for cut in self.planned
            if (quantity, place) in disturbed_by(self.sheet, kind=cut.kind, place=cut.place)
        )
        reading = Reading(quantity=quantity, place=place, value=value)
        moved = predicted_reading(reading, sheet=self.sheet, cuts=cuts)
        return None if moved is None else moved.value


def places_of(sheet: HeadSheet) -> frozenset[str]:
    """The places a sum may be worked at: valves, cylinders, and the sheet's own spots."""
    return frozenset(
        each.name for places in (sheet.valves, sheet.cylinders, sheet.places) for each in places
    )


def sheet_for_sums(tag: str, *, place: str = "") -> SumsHead:
    """The sheet, the readings and the planned work of a head, at one of its valves or cylinders.

    Raises
    ------
    NotOnRecord
        If there is no such head or place.

    """
    head = head_row(tag)
    standing = standing_for(head)
    sheet = standing.sheet
    if place and place not in places_of(sheet):
        raise NotOnRecord(f"Sheet {sheet.code} has no place {place!r}; choose one of its valves.")
    known = [each for each in standing.by_spot.values() if each.read]
    tests = tested_of(head)
    return SumsHead(
        tag=tag,
        sheet=sheet,
        place=place,
        read={(e.quantity, e.place): e.value for e in known if e.value is not None},
        u={(e.quantity, e.place): e.u for e in known if e.u is not None},
        planned=_planned(head, sheet=sheet),
        revision=_older_revision(head),
        log=_last_log(tests, place=place),
        pressure_test=next(
            (test.conditions for test in reversed(tests) if test.kind is TestKind.PRESSURE), {}
        ),
    )


def _last_log(tests: Sequence[Tested], *, place: str) -> KeptLog | None:
    logs = (
        kept_log(test)
        for test in reversed(tests)
        if (test.kind, test.place) == (TestKind.VACUUM, place)
    )
    return next((log for log in logs if log is not None), None)


def _older_revision(head: Head) -> int | None:
    """The number of the head's sheet revision where a newer one is on record."""
    own = head.revision
    newer = SheetRevision.objects.filter(sheet_id=own.sheet_id, number__gt=own.number)
    return own.number if newer.exists() else None


def _planned(head: Head, *, sheet: HeadSheet) -> tuple[TakenCut, ...]:
    """The operations not signed off yet, with what each takes or brings."""
    rows = Operation.objects.filter(head=head, state=OperationState.PLANNED)
    return tuple(
        TakenCut(kind=kind, place=row.place, taken_mm=_taken_mm(row, kind=kind, sheet=sheet))
        for row in rows
        for kind in (OperationKind(row.kind),)
    )


def _taken_mm(row: Operation, *, kind: OperationKind, sheet: HeadSheet) -> float:
    if kind is OperationKind.INSERT:
        return sheet.prices.insert_stock_mm or 0.0
    return row.planned_mm or 0.0
