"""One deed: one transaction, one trail row.

Every public function of the deed modules does its work in one ``with deed(...)`` block::

    def add_customer(*, name: str, by: Person) -> Customer:
        with deed("customer added", by=by) as told:
            customer = Customer.objects.create(name=name)
            told.about(subject=name)
        return customer

A ``DeedRefused`` (or any exception) inside the block undoes everything, the trail row too.
``told.nothing_new()`` ends a replayed deed without a second row.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from castworthy.actions.errors import DeedRefused
from castworthy.records.errors import printable
from castworthy.records.models import Head, Outcome, Person, Role, Trail

OWNERS = frozenset({Role.OWNER})
"""Deeds of an owner: people and the shop itself."""
WORKERS = frozenset({Role.OWNER, Role.MACHINIST})
"""Deeds of the bench."""
EVERYBODY = frozenset(Role)
"""Deeds on one's own account."""

_SENTENCES = {
    OWNERS: "Only an owner of the shop may do this; {who} is signed in as {role}.",
    WORKERS: "{who} may look but not change anything; ask an owner for the role of machinist.",
}

_WAY_BACK = {
    Outcome.RELEASED: "Take it in again under a new tag.",
    Outcome.SENT_BACK: "Return it to the shop first.",
    Outcome.SCRAPPED: "Return it to the shop first.",
}

_set_clock: ContextVar[datetime | None] = ContextVar("castworthy_set_clock", default=None)


class Told:
    """What the trail will say of the deed under way; ``at`` is the one time it bears."""

    def __init__(self, *, deed: str, by: Person | None, at: datetime) -> None:
        self.deed = deed
        self.by = by
        self.at = at
        self.head: Head | None = None
        self.subject = ""
        self.detail: dict[str, Any] = {}
        self.replayed = False

    def about(self, *, head: Head | None = None, subject: str = "", **detail: Any) -> None:
        """Name the head, the subject (a tag, a name, a place) and details; later calls add."""
        self.head = head or self.head
        self.subject = subject or self.subject
        self.detail |= detail

    def nothing_new(self) -> None:
        """Leave no row: the same deed was done before and this is its echo."""
        self.replayed = True


@contextmanager
def deed(
    name: str, *, by: Person | None, may: frozenset[Role] | frozenset[str] = WORKERS
) -> Iterator[Told]:
    """Run the block as one deed of ``by`` (``None``: the tool itself) called ``name``.

    Raises
    ------
    DeedRefused
        If the person's role does not allow it.

    """
    if by is not None:
        check_role(by, may=may)
    told = Told(deed=name, by=by, at=now())
    with transaction.atomic():
        yield told
        if not told.replayed:
            Trail.objects.create(
                at=told.at,
                by=told.by,
                deed=told.deed,
                head=told.head,
                subject=told.subject[:120],
                detail=told.detail,
            )


@contextmanager
def deeds_at(moment: datetime) -> Iterator[None]:
    """Date every deed of the block ``moment``: for records that are brought in afterwards."""
    token = _set_clock.set(moment)
    try:
        yield
    finally:
        _set_clock.reset(token)


def now() -> datetime:
    """The time a deed bears: the clock's, or what ``deeds_at`` says."""
    return _set_clock.get() or timezone.now()


def check_role(by: Person, *, may: frozenset[Role] | frozenset[str]) -> None:
    """Refuse a person who may not do this.

    Raises
    ------
    DeedRefused
        If the person is no longer active or has another role.

    """
    if not by.is_active:
        raise DeedRefused(f"{by}'s account is closed; ask an owner to open it.", code="role")
    if by.role not in may:
        sentence = _SENTENCES[OWNERS if may == OWNERS else WORKERS]
        raise DeedRefused(sentence.format(who=by, role=by.get_role_display()), code="role")


def head_for_work(tag: str) -> Head:
    """The head of that tag, held for this deed, when it is still in the shop.

    Call it inside a ``deed`` block: on PostgreSQL the row stays locked until the deed ends;
    SQLite lets one deed run at a time anyway.

    Raises
    ------
    DeedRefused
        If there is no such head, or it has left the shop.

    """
    head = hold_head(tag)
    refuse_ended(head)
    return head


def refuse_ended(head: Head) -> None:
    """Refuse work on a head that left the shop.

    Raises
    ------
    DeedRefused
        If it did.

    """
    if head.outcome != Outcome.IN_SHOP:
        raise DeedRefused(
            f"{head.tag} was {head.outcome} on {_day(head.ended_at)}; nothing more is recorded "
            f"for it. {_WAY_BACK[Outcome(head.outcome)]}",
            code="ended",
        )


def hold_head(tag: str) -> Head:
    """The head of that tag, held for this deed, in the shop or not.

    Raises
    ------
    DeedRefused
        If there is no such head.

    """
    head = (
        Head.objects.select_for_update(of=("self",))
        .select_related("revision__sheet")
        .defer("revision__text")
        .filter(tag=printable(tag))
        .first()
    )
    if head is None:
        raise DeedRefused(f"There is no head {tag!r} on record.", field="tag", code="unknown")
    return head


def clock_words(moment: datetime) -> str:
    """When something was done, for a sentence: ``at 10:41``, with the day unless it is today."""
    local, today = timezone.localtime(moment), timezone.localtime(now()).date()
    day = "" if local.date() == today else f"on {local.day} {local:%B %Y} "
    return f"{day}at {local:%H:%M}"


def _day(moment: datetime | None) -> str:
    if moment is None:
        return "an unknown day"
    local = timezone.localtime(moment)
    return f"{local.day} {local:%B %Y}"
