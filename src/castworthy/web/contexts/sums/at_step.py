"""The sums of a head's step: what was kept there, and the ways in."""

from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.records.kept_sums import KeptFacts
from castworthy.records.lookups.kept_sums import kept_sums
from castworthy.web.contexts.plan import Link
from castworthy.web.contexts.sums.all_sums import SUMS, sum_named
from castworthy.web.contexts.sums.form import Sum
from castworthy.web.contexts.sums.keeping import KeptLine, kept_line

_MOST_COUNT = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSums:
    """The sums of one step: kept ones that stand, newest first, and a link into each sum.

    Of one sum at one place the newest stands for the earlier ones; ``more_count`` are left out.
    """

    tag: str
    kept: tuple[KeptLine, ...]
    more_count: int
    ways: tuple[Link, ...]


def sums_at_step(tag: str, *, step: str) -> StepSums | None:
    """What a page of a head says about its sums; ``None`` where none belongs to it."""
    own = tuple(each for each in SUMS if step in each.steps)
    if not own:
        return None
    names = {each.name for each in own}
    kept = [each for each in newest(kept_sums(tag)) if each.worked.name in names]
    return StepSums(
        tag=tag,
        kept=tuple(kept_line(each) for each in kept[:_MOST_COUNT]),
        more_count=max(len(kept) - _MOST_COUNT, 0),
        ways=tuple(Link(words=each.title, address=sum_address(each, tag=tag)) for each in own),
    )


def newest(kept: Iterable[KeptFacts]) -> tuple[KeptFacts, ...]:
    """Of kept sums told newest first, the newest that stands of each sum and place."""
    found: dict[tuple[str, str], KeptFacts] = {}
    for each in kept:
        if each.stands:
            found.setdefault((each.worked.name, each.worked.place), each)
    return tuple(found.values())


def kept_at_operation(
    kept: Iterable[KeptFacts], *, kind: OperationKind, place: str
) -> tuple[KeptLine, ...]:
    """The kept sums that belong to an operation at its place."""
    return tuple(
        kept_line(each)
        for each in newest(kept)
        if each.worked.place == place and _is_of(each.worked.name, kind=kind)
    )


def kept_at_place(kept: Iterable[KeptFacts], *, step: str, place: str) -> tuple[KeptLine, ...]:
    """The kept sums of a step at one place."""
    return tuple(
        kept_line(each)
        for each in newest(kept)
        if each.worked.place == place and _is_at(each.worked.name, step=step)
    )


def ways_of_operation(tag: str, *, kind: OperationKind, place: str) -> tuple[Link, ...]:
    """The sums to work before an operation, with head and place beside them."""
    return tuple(
        Link(words=each.title, address=sum_address(each, tag=tag, place=place))
        for each in SUMS
        if kind in each.operations
    )


def ways_of_quantity(tag: str, *, quantity: Quantity, place: str) -> tuple[Link, ...]:
    """The sums offered while a quantity is measured, with head and place beside them."""
    return tuple(
        Link(words=each.title, address=sum_address(each, tag=tag, place=place))
        for each in SUMS
        if quantity in each.measured
    )


def sum_address(shown: Sum, *, tag: str, place: str = "") -> str:
    """A sum with a head, and one of its places, beside it."""
    query = {"head": tag, "place": place} if place else {"head": tag}
    return f"{reverse('sum', args=[shown.name])}?{urlencode(query)}"


def _is_of(name: str, *, kind: OperationKind) -> bool:
    shown = sum_named(name)
    return shown is not None and kind in shown.operations


def _is_at(name: str, *, step: str) -> bool:
    shown = sum_named(name)
    return shown is not None and step in shown.steps
