"""The assembly list of a head: what goes back where, and which of it is ticked.

A tick counts until a later operation is signed off: whatever was cut meanwhile came apart and
took chips.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from castworthy.calc.head import HeadSheet
from castworthy.calc.rework.results import OperationKind
from castworthy.records.cautions import BLOWING_OFF, SPRING_FORCE
from castworthy.records.models import AssemblyTick, Head, Operation, OperationState
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticked:
    """Who ticked an item, and when (the shop's own time)."""

    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyItem:
    """One thing to do; ``place`` is a valve, a cylinder or empty for the whole head."""

    item: str
    place: str
    words: str
    caution: str = ""
    ticked: Ticked | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyGroup:
    """The items of one valve, one cylinder or the whole head, in the order of work."""

    place: str
    title: str
    note: str
    items: tuple[AssemblyItem, ...]

    @property
    def left_count(self) -> int:
        """How many are not ticked."""
        return sum(item.ticked is None for item in self.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """What signed operations fitted at a place: shims or washers [mm], a ring, a new valve."""

    kind: OperationKind
    place: str
    parts_mm: tuple[float, ...]


def assembly_groups(head: Head, *, sheet: HeadSheet, show: Show) -> tuple[AssemblyGroup, ...]:
    """The head's list with its ticks (two queries)."""
    done = Operation.objects.filter(head=head, state=OperationState.DONE)
    fitted = tuple(
        Fitted(kind=OperationKind(kind), place=place, parts_mm=tuple(parts))
        for kind, place, parts in done.values_list("kind", "place", "parts")
    )
    ticks = ticks_of(head, done_count=len(fitted))
    return assembly_list(sheet, fitted=fitted, ticks=ticks, show=show)


def ticks_of(head: Head, *, done_count: int) -> dict[tuple[str, str], Ticked]:
    """The items ticked since the last signed operation."""
    ticks: dict[tuple[str, str], Ticked] = {}
    rows = AssemblyTick.objects.filter(head=head, operations_done_count=done_count)
    for row in rows.select_related("by").order_by("id"):
        if row.ticked:
            ticks[row.item, row.place] = Ticked(by=str(row.by), at=timezone.localtime(row.at))
        else:
            ticks.pop((row.item, row.place), None)
    return ticks


def assembly_list(
    sheet: HeadSheet,
    *,
    fitted: Iterable[Fitted],
    ticks: dict[tuple[str, str], Ticked],
    show: Show,
) -> tuple[AssemblyGroup, ...]:
    """Head first, then every cylinder that gets a part, then every valve in walking order."""
    parts: dict[tuple[OperationKind, str], list[float]] = defaultdict(list)
    for fit in fitted:
        parts[fit.kind, fit.place] += fit.parts_mm
    groups = [_head_group()]
    groups += [
        group
        for cylinder in sheet.cylinders
        if (group := _cylinder_group(cylinder.name, parts=parts, show=show)).items
    ]
    groups += [
        _valve_group(valve.name, kind=valve.kind.value, parts=parts, show=show)
        for valve in sheet.valves
    ]
    return tuple(_with_ticks(group, ticks=ticks) for group in groups)


def _head_group() -> AssemblyGroup:
    return AssemblyGroup(
        place="",
        title="The head",
        note="",
        items=(
            AssemblyItem(item="washed", place="", words="Washed and dry, no chips, no blast media"),
            AssemblyItem(
                item="galleries",
                place="",
                words="Oil and water galleries brushed and blown out",
                caution=BLOWING_OFF,
            ),
            AssemblyItem(item="plugs", place="", words="Plugs fitted and sealed"),
        ),
    )


def _cylinder_group(
    name: str, *, parts: dict[tuple[OperationKind, str], list[float]], show: Show
) -> AssemblyGroup:
    items = []
    if (OperationKind.RING, name) in parts:
        items.append(
            AssemblyItem(
                item="ring", place=name, words="Ring in its groove, joint next to a stud, all level"
            )
        )
    if washers := parts.get((OperationKind.WASHER, name)):
        items.append(
            AssemblyItem(
                item="washers",
                place=name,
                words=f"Washers under the injector: {_sizes(washers, show=show)}",
            )
        )
    return AssemblyGroup(place=name, title=f"Cylinder {name}", note="", items=tuple(items))


def _valve_group(
    name: str, *, kind: str, parts: dict[tuple[OperationKind, str], list[float]], show: Show
) -> AssemblyGroup:
    new = (OperationKind.VALVE, name) in parts
    valve = "New valve, its place marked, oiled" if new else "Its own valve, as marked, oiled"
    shims = parts.get((OperationKind.SHIM, name))
    seat = f"Shims under the spring: {_sizes(shims, show=show)}" if shims else "No shim"
    return AssemblyGroup(
        place=name,
        title=name,
        note=kind,
        items=(
            AssemblyItem(item="valve", place=name, words=f"{valve}, turns freely in its guide"),
            AssemblyItem(item="seal", place=name, words="Seal on, over a sleeve"),
            AssemblyItem(item="shims", place=name, words=seat),
            AssemblyItem(
                item="spring",
                place=name,
                words="Spring with its close-wound end down, toward the head",
                caution=SPRING_FORCE,
            ),
            AssemblyItem(
                item="keepers",
                place=name,
                words="Keepers seated: a light tap on the tip with a soft hammer",
                caution=SPRING_FORCE,
            ),
        ),
    )


def _sizes(sizes_mm: list[float], *, show: Show) -> str:
    digits = None if show.metric else 3
    return " and ".join(show.value(size, suffix="mm", digits=digits) for size in sizes_mm)


def _with_ticks(group: AssemblyGroup, *, ticks: dict[tuple[str, str], Ticked]) -> AssemblyGroup:
    return AssemblyGroup(
        place=group.place,
        title=group.title,
        note=group.note,
        items=tuple(
            AssemblyItem(
                item=item.item,
                place=item.place,
                words=item.words,
                caution=item.caution,
                ticked=ticks.get((item.item, item.place)),
            )
            for item in group.items
        ),
    )
