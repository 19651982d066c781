"""How castings came in: ready as they were, or not."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from castworthy.records.models import Head, Operation, OperationState, Outcome

FEW_COUNT = 20
"""Below so many measured heads a share says more of chance than of the supplier."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AsReceived:
    """Counts of heads: taken in, measured through, and of those ready as received.

    Ready means that every limit held and nothing was worked on.  Heads too close to call or
    not yet measured through count as neither.
    """

    heads_count: int = 0
    measured_count: int = 0
    ready_count: int = 0

    @property
    def few(self) -> bool:
        """True when there are too few to put a share on."""
        return self.measured_count < FEW_COUNT

    @property
    def percent(self) -> int:
        """Ready heads of a hundred measured; 0 when none is."""
        return round(100 * self.ready_count / self.measured_count) if self.measured_count else 0


def received_by_supplier() -> dict[int, AsReceived]:
    """The counts of every supplier that ever sent a head."""
    return _counted(_rows(Head.objects.filter(lot__isnull=False)), key="lot__supplier_id")


def received_by_lot(supplier_id: int) -> dict[int, AsReceived]:
    """The counts of every lot of a supplier."""
    return _counted(_rows(Head.objects.filter(lot__supplier_id=supplier_id)), key="lot_id")


def added_up(counts: "list[AsReceived]") -> AsReceived:
    """The counts of several lots or suppliers together."""
    return AsReceived(
        heads_count=sum(each.heads_count for each in counts),
        measured_count=sum(each.measured_count for each in counts),
        ready_count=sum(each.ready_count for each in counts),
    )


def _rows(heads: QuerySet[Head]) -> QuerySet[Head]:
    done = Operation.objects.filter(head=OuterRef("pk"), state=OperationState.DONE)
    return heads.annotate(worked=Exists(done))


def _counted(rows: QuerySet[Head], *, key: str) -> dict[int, AsReceived]:
    found: dict[int, list[AsReceived]] = defaultdict(list)
    for group, decision, outcome, worked in rows.values_list(key, "decision", "outcome", "worked"):
        found[group].append(_one(decision=decision, outcome=outcome, worked=worked))
    return {group: added_up(each) for group, each in found.items()}


def _one(*, decision: str, outcome: str, worked: bool) -> AsReceived:
    ready = decision == "conforming" and not worked and outcome in {Outcome.IN_SHOP, "released"}
    unfit = worked or decision in {"rework", "scrap"} or outcome in {"sent back", "scrapped"}
    return AsReceived(heads_count=1, measured_count=int(ready or unfit), ready_count=int(ready))
