"""The sums kept with a head, for its pages."""

from uuid import UUID

from castworthy.records.errors import NotOnRecord
from castworthy.records.kept_sums import KeptFacts, kept_sums_of
from castworthy.records.models import Head, KeptSum, Outcome
from castworthy.records.rows import head_row

_MOST_TAGS_COUNT = 500


def kept_sums(tag: str) -> tuple[KeptFacts, ...]:
    """Every sum kept with a head, newest first, those taken back too.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    return tuple(reversed(kept_sums_of(head_row(tag))))


def kept_sum(uuid: UUID) -> KeptFacts:
    """One kept sum.

    Raises
    ------
    NotOnRecord
        If there is none.

    """
    row = KeptSum.objects.select_related("head").filter(uuid=uuid).first()
    if row is None:
        raise NotOnRecord("There is no such kept sum on record.")
    return next(each for each in kept_sums_of(row.head) if each.uuid == uuid)


def tags_in_shop() -> tuple[str, ...]:
    """Tags of the heads in the shop, newest first, to choose one from."""
    rows = Head.objects.filter(outcome=Outcome.IN_SHOP).order_by("-id")
    return tuple(rows.values_list("tag", flat=True)[:_MOST_TAGS_COUNT])
