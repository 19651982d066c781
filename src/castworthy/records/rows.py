"""The row of a head, for lookups."""

from castworthy.records.errors import NotOnRecord, printable
from castworthy.records.models import Head


def head_row(tag: str) -> Head:
    """The head of that tag, with its sheet.

    Raises
    ------
    NotOnRecord
        If there is none.

    """
    head = (
        Head.objects.select_related("revision__sheet")
        .defer("revision__text")
        .filter(tag=printable(tag))
        .first()
    )
    if head is None:
        raise NotOnRecord(f"There is no head {tag!r} on record; look for its tag or mark.")
    return head
