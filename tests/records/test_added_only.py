"""Readings, revisions and the trail are only ever added."""

import pytest

from castworthy.records.models import Head, Person, Reading, SheetRevision, Trail
from castworthy.records.models.added_only import ChangedAfterwardsError
from factories import shop


@pytest.mark.parametrize("table", [Reading, SheetRevision, Trail])
def test_rows_are_never_changed_or_deleted(table: type, head: Head, owner: Person) -> None:
    shop.kept(head.tag, "recession", "1A", "0.039 in", by=owner)
    row = table.objects.first()
    for deed in (row.save, row.delete, table.objects.all().delete, table.objects.update):
        with pytest.raises(ChangedAfterwardsError):
            deed()
