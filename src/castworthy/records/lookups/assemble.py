"""The assemble page: the list with its ticks."""

from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.records.assembly import AssemblyGroup, assembly_groups
from castworthy.records.cautions import cautions_at
from castworthy.records.models import Operation, OperationState, Step
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblePage:
    """The list of one head.

    ``groups`` hold the head, the cylinders that get a part, every valve.  ``planned_count``
    operations are still to be signed off before anything may be ticked.
    """

    tag: str
    sheet: HeadSheet
    groups: tuple[AssemblyGroup, ...]
    left_count: int
    items_count: int
    planned_count: int
    cautions: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """True when every item is ticked."""
        return self.left_count == 0


def assemble_page(tag: str, *, show: Show) -> AssemblePage:
    """The assembly list of a head, sizes in the units a person reads.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet = sheet_for(head)
    groups = assembly_groups(head, sheet=sheet, show=show)
    planned = Operation.objects.filter(head=head, state=OperationState.PLANNED).count()
    return AssemblePage(
        tag=tag,
        sheet=sheet,
        groups=groups,
        left_count=sum(group.left_count for group in groups),
        items_count=sum(len(group.items) for group in groups),
        planned_count=planned,
        cautions=cautions_at(Step.ASSEMBLE),
    )
