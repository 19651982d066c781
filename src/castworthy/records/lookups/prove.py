"""The prove page: every test the head needs, its last record and those before."""

from collections.abc import Mapping
from dataclasses import dataclass

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.quantity import Quantity
from castworthy.records.assembly import assembly_groups
from castworthy.records.measured import worked_of
from castworthy.records.models import Operation, OperationState, Step, TestKind
from castworthy.records.proving import Proof, Tested, proofs_from, tested_of
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show

_BEFORE_PROOF = {Step.TAKE_IN, Step.MEASURE, Step.PLAN, Step.MACHINE}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvePage:
    """The tests of one head.

    ``history`` holds every record of a test, oldest first, by kind and place.  ``waits`` says
    what comes before the proof (empty: nothing), ``waits_step`` where.
    """

    tag: str
    sheet: HeadSheet
    proofs: tuple[Proof, ...]
    history: Mapping[tuple[TestKind, str], tuple[Tested, ...]]
    waits: str
    waits_step: str

    @property
    def left_count(self) -> int:
        """Tests still to pass."""
        return sum(not proof.stands for proof in self.proofs)

    def proof(self, kind: TestKind, *, place: str = "") -> Proof:
        """One test the head needs."""
        return next(p for p in self.proofs if p.kind is kind and p.place == place)

    def judgement(self, tested: Tested) -> Judgement | None:
        """The figure of a vacuum or pressure test against the sheet's limit."""
        quantity = _QUANTITIES.get(tested.kind)
        if quantity is None:
            return None
        limit = self.sheet.limit_for(quantity, place=tested.place)
        held = tested.conditions.get("held_kpa")
        if limit is None or held is None:
            return None
        reading = Reading(quantity=quantity, place=tested.place, value=held)
        confidence = self.sheet.work.confidence_probability
        return judge(reading, limit=limit, confidence_probability=confidence)


_QUANTITIES = {
    TestKind.VACUUM: Quantity.VACUUM_HOLD,
    TestKind.PRESSURE: Quantity.PRESSURE_HOLD,
}


def prove_page(tag: str) -> ProvePage:
    """The tests of a head.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet = sheet_for(head)
    tested = tested_of(head)
    history: dict[tuple[TestKind, str], list[Tested]] = {}
    for test in tested:
        history.setdefault((test.kind, test.place), []).append(test)
    waits, waits_step = "", ""
    if Operation.objects.filter(head=head, state=OperationState.PLANNED).exists():
        waits, waits_step = "Work is still to be signed off; a test now is undone by it.", "machine"
    elif head.step in _BEFORE_PROOF:
        waits, waits_step = "Tests count from the last work on; this head is not that far.", "plan"
    elif any(group.left_count for group in assembly_groups(head, sheet=sheet, show=Show())):
        waits, waits_step = "The assembly list is not complete yet.", "assemble"
    return ProvePage(
        tag=tag,
        sheet=sheet,
        proofs=proofs_from(tested, sheet=sheet, worked=worked_of(head)),
        history={key: tuple(tests) for key, tests in history.items()},
        waits=waits,
        waits_step=waits_step,
    )
