"""Deeds of the assembly list."""

from dataclasses import dataclass

from castworthy.actions.deed import deed, head_for_work
from castworthy.actions.errors import DeedRefused
from castworthy.actions.steps import keep_progress, move_to
from castworthy.records.assembly import AssemblyItem, assembly_groups
from castworthy.records.models import (
    AssemblyTick,
    Head,
    Operation,
    OperationState,
    Person,
    Step,
)
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyState:
    """How far the list is: items left of all, and the head's step now."""

    left_count: int
    items_count: int
    step: str

    @property
    def complete(self) -> bool:
        """True when nothing is left."""
        return self.left_count == 0


def tick(
    *,
    tag: str,
    by: Person,
    item: str | None = None,
    place: str | None = None,
    ticked: bool = True,
) -> AssemblyState:
    """Tick or untick items of the assembly list.

    ``item`` and ``place`` narrow it: both name one item, ``place`` alone all items of a valve,
    neither the whole list.  Ticking what is ticked changes nothing.  The last tick sends the
    head on to be proved; an untick brings it back.

    Raises
    ------
    DeedRefused
        If the list has no such item, or operations are still to be signed off.

    """
    with deed("assembly ticked" if ticked else "assembly unticked", by=by) as told:
        head = head_for_work(tag)
        refuse_unless_machined(head)
        told.about(head=head, subject=tag)
        groups = assembly_groups(head, sheet=sheet_for(head), show=Show())
        listed = [entry for group in groups for entry in group.items]
        chosen = _chosen(listed, item=item, place=place)
        changed = [entry for entry in chosen if (entry.ticked is None) is ticked]
        done_count = head.operations.filter(state=OperationState.DONE).count()
        AssemblyTick.objects.bulk_create(
            AssemblyTick(
                head=head,
                item=entry.item,
                place=entry.place,
                ticked=ticked,
                operations_done_count=done_count,
                by=by,
                at=told.at,
            )
            for entry in changed
        )
        if not changed:
            told.nothing_new()
        told.about(items=[f"{entry.item} {entry.place}".strip() for entry in changed])
        left = sum(entry.ticked is None for entry in listed)
        left += -len(changed) if ticked else len(changed)
        move_to(head, _step_after(head, left=left), at=told.at)
        keep_progress(head)
    return AssemblyState(left_count=left, items_count=len(listed), step=head.step)


def refuse_unless_machined(head: Head) -> None:
    """Refuse while there is no plan, or work of the plan is not signed off.

    Raises
    ------
    DeedRefused
        Naming the first operation that is left.

    """
    planned = (
        Operation.objects.filter(head=head, state=OperationState.PLANNED)
        .order_by("position", "id")
        .first()
    )
    if planned is not None:
        named = f"{planned.kind} {planned.place}".strip()
        raise DeedRefused(
            f"The {named} is still to be signed off; finish the machining of {head.tag} first.",
            code="planned",
        )
    if head.step in {Step.TAKE_IN, Step.MEASURE, Step.PLAN}:
        raise DeedRefused(
            f"{head.tag} has no chosen plan yet; measure it and choose one, even when nothing "
            "has to be done.",
            code="step",
        )


def _chosen(
    listed: list[AssemblyItem], *, item: str | None, place: str | None
) -> list[AssemblyItem]:
    chosen = [
        entry
        for entry in listed
        if (item is None or entry.item == item) and (place is None or entry.place == place)
    ]
    if not chosen:
        named = f"{item or 'anything'} at {place or 'the head'}"
        raise DeedRefused(
            f"The assembly list has no {named}; tick one of the items it shows.", field="item"
        )
    return chosen


def _step_after(head: Head, *, left: int) -> Step:
    if left:
        return Step.ASSEMBLE
    return Step.RELEASE if head.step == Step.RELEASE else Step.PROVE
