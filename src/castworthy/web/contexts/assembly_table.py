"""The assembly list as a table: a row a valve, a column a kind of item."""

from collections.abc import Sequence
from dataclasses import dataclass

from castworthy.records.assembly import AssemblyGroup, AssemblyItem
from castworthy.records.kept_sums import KeptFacts
from castworthy.records.lookups.assemble import AssemblePage
from castworthy.records.practices import OWN_PLACES
from castworthy.web.contexts.sums.at_step import kept_at_place
from castworthy.web.contexts.sums.keeping import KeptLine

_COLUMNS = {
    "valve": "Valve in its place",
    "seal": "Seal",
    "shims": "Shims",
    "spring": "Spring way up",
    "keepers": "Keepers",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One kind of item over all valves; ``words`` where they are the same for every valve."""

    item: str
    title: str
    words: str
    left_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One item of one valve; ``words`` only where they differ from the column's."""

    item: AssemblyItem
    title: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One valve; ``kept`` are the sums kept for its assembly."""

    place: str
    note: str
    cells: tuple[Cell, ...]
    left_count: int
    kept: tuple[KeptLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyTable:
    """The valves as a table, the head and its cylinders as short lists; cautions said once.

    ``practice`` is why a valve has a place of its own.
    """

    lists: tuple[AssemblyGroup, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    cautions: tuple[str, ...]
    practice: str


def assembly_table(page: AssemblePage, *, kept: Sequence[KeptFacts] = ()) -> AssemblyTable:
    """Split the groups of a list into valves and the rest; ``kept`` sums come newest first."""
    valves = {valve.name for valve in page.sheet.valves}
    rows = [group for group in page.groups if group.place in valves and group.note]
    lists = tuple(group for group in page.groups if group not in rows)
    columns = _columns(rows)
    usual = {column.item: column.words for column in columns}
    return AssemblyTable(
        lists=lists,
        columns=columns,
        rows=tuple(_row(group, usual=usual, kept=kept) for group in rows),
        cautions=page.cautions,
        practice=OWN_PLACES,
    )


def _columns(groups: list[AssemblyGroup]) -> tuple[Column, ...]:
    by_item: dict[str, list[AssemblyItem]] = {}
    for group in groups:
        for item in group.items:
            by_item.setdefault(item.item, []).append(item)
    return tuple(
        Column(
            item=name,
            title=_COLUMNS.get(name, name),
            words=_most_said([item.words for item in items]),
            left_count=sum(item.ticked is None for item in items),
        )
        for name, items in by_item.items()
    )


def _most_said(words: list[str]) -> str:
    return max(words, key=words.count)


def _row(group: AssemblyGroup, *, usual: dict[str, str], kept: Sequence[KeptFacts]) -> Row:
    return Row(
        place=group.place,
        note=group.note,
        left_count=group.left_count,
        kept=kept_at_place(kept, step="assemble", place=group.place),
        cells=tuple(
            Cell(
                item=item,
                title=_COLUMNS.get(item.item, item.item),
                words="" if item.words == usual[item.item] else item.words,
            )
            for item in group.items
        ),
    )
