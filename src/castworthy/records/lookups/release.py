"""The release page: what blocks it, both states of the head, the record once it is signed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone

from castworthy.records.blocks import Block, blocks_of
from castworthy.records.lookups.release_content import not_checked
from castworthy.records.models import Kind, Operation, OperationState, Release
from castworthy.records.rows import head_row
from castworthy.records.standing import Standing, standing_for


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseFacts:
    """A signed release."""

    number: int
    by: str
    at: datetime
    digest: str
    content: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleasePage:
    """What stands between a head and its customer.

    ``record`` is ``None`` until it is released; ``worked`` names the operations done at each
    place, ``casting`` is True for a supplier's casting.
    """

    tag: str
    standing: Standing
    blocks: tuple[Block, ...]
    record: ReleaseFacts | None
    not_checked: tuple[str, ...]
    planned: bool
    casting: bool


def release_page(tag: str) -> ReleasePage:
    """The release page of a head.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    standing = standing_for(head)
    row = Release.objects.filter(head=head).select_related("by").first()
    record = None
    if row is not None:
        record = ReleaseFacts(
            number=row.number,
            by=str(row.by),
            at=timezone.localtime(row.at),
            digest=row.digest,
            content=row.content,
        )
    return ReleasePage(
        tag=tag,
        standing=standing,
        blocks=() if record else blocks_of(head, standing=standing),
        record=record,
        not_checked=not_checked(standing),
        planned=Operation.objects.filter(head=head).exclude(state=OperationState.DROPPED).exists(),
        casting=head.kind == Kind.CASTING,
    )
