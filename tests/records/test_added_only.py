"""Readings, revisions, kept sums and the trail are only ever added."""

from uuid import uuid4

import pytest

from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.records.models import (
    Head,
    KeptSum,
    Person,
    Reading,
    SheetRevision,
    SumTakenBack,
    Trail,
)
from castworthy.records.models.added_only import ChangedAfterwardsError
from factories import shop
from factories.sums import seat_sunk


@pytest.mark.parametrize("table", [Reading, SheetRevision, KeptSum, SumTakenBack, Trail])
def test_rows_are_never_changed_or_deleted(table: type, head: Head, owner: Person) -> None:
    shop.kept(head.tag, "recession", "1A", "0.039 in", by=owner)
    kept = keep_sum(tag=head.tag, uuid=uuid4(), worked=seat_sunk(), by=owner)
    take_back_sum(uuid=kept.uuid, why="the wrong valve", by=owner)
    row = table.objects.first()
    for deed in (row.save, row.delete, table.objects.all().delete, table.objects.update):
        with pytest.raises(ChangedAfterwardsError):
            deed()
