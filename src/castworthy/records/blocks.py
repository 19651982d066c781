"""What stands between a head and its release, each in one sentence with the step to go to."""

from collections.abc import Iterator
from dataclasses import dataclass

from castworthy.calc.decision.phrases import place_phrase
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.assembly import assembly_groups
from castworthy.records.models import Head, Operation, OperationState, Step, TestKind
from castworthy.records.proving import Proof, proofs_of
from castworthy.records.rows import head_row
from castworthy.records.standing import SpotStanding, Standing, standing_for
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One reason against a release; ``step`` is where it is cleared."""

    sentence: str
    step: Step
    quantity: Quantity | None = None
    place: str = ""


def release_blocks(tag: str) -> tuple[Block, ...]:
    """Everything that keeps a head in the shop; empty when it may leave.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    return blocks_of(head_row(tag))


def blocks_of(head: Head, *, standing: Standing | None = None) -> tuple[Block, ...]:
    """The same for a row that is at hand."""
    standing = standing or standing_for(head)
    return (
        *_of_readings(standing),
        *_of_work(head),
        *_of_assembly(head),
        *_of_proof(head, standing=standing),
    )


def _of_readings(standing: Standing) -> Iterator[Block]:
    for spot in standing.spots:
        if not spot.required:
            continue
        sentence = _reading_sentence(spot)
        if sentence:
            yield Block(
                sentence=sentence, step=Step.MEASURE, quantity=spot.quantity, place=spot.place
            )


def _reading_sentence(spot: SpotStanding) -> str:
    where = f"{FACTS[spot.quantity].title} of {place_phrase(spot.quantity, place=spot.place)}"
    if spot.stale and spot.stale_by is not None:
        work = f"{spot.stale_by.kind} {spot.stale_by.place}".strip()
        return f"{where} was read before the {work} changed it; read it again."
    if not spot.read:
        return f"{where} is not measured."
    if spot.judgement is not None and spot.judgement.verdict != "inside":
        ends = {"outside": "is outside its limit", "too close to call": "is too close to call"}
        return f"{where} {ends.get(spot.judgement.verdict, 'is not settled')}."
    return ""


def _of_work(head: Head) -> Iterator[Block]:
    for kind, place in (
        Operation.objects.filter(head=head, state=OperationState.PLANNED)
        .order_by("position", "id")
        .values_list("kind", "place")
    ):
        named = f"{kind} {place}".strip()
        yield Block(sentence=f"The {named} is not signed off.", step=Step.MACHINE, place=place)
    if head.step in {Step.TAKE_IN, Step.MEASURE, Step.PLAN} and not head.operations.exists():
        yield Block(
            sentence="No plan is chosen yet, not even that nothing has to be done.", step=Step.PLAN
        )


def _of_assembly(head: Head) -> Iterator[Block]:
    groups = assembly_groups(head, sheet=sheet_for(head), show=Show())
    left = [item for group in groups for item in group.items if item.ticked is None]
    if left:
        first = f"{left[0].words} ({left[0].place})" if left[0].place else left[0].words
        more = f", and {len(left) - 1} more" if len(left) > 1 else ""
        yield Block(
            sentence=f"The assembly list is open: {first}{more}.",
            step=Step.ASSEMBLE,
            place=left[0].place,
        )


def _of_proof(head: Head, *, standing: Standing) -> Iterator[Block]:
    for proof in proofs_of(head, sheet=standing.sheet, worked=standing.worked):
        if not proof.stands:
            yield Block(sentence=_proof_sentence(proof), step=Step.PROVE, place=proof.place)


def _proof_sentence(proof: Proof) -> str:
    name = {
        TestKind.CRACK: "The crack check",
        TestKind.PRESSURE: "The pressure test",
        TestKind.VACUUM: f"The vacuum test of {proof.place}",
    }[proof.kind]
    if proof.latest is None:
        return f"{name} is not done."
    if not proof.latest.passed:
        return f"{name} failed; mend it and test again."
    work = proof.undone_by
    named = f"{work.kind} {work.place}".strip() if work else "later work"
    return f"{name} was done before the {named}; do it again."
