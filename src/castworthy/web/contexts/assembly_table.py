"""The assembly list as a table: a row a valve, a column a kind of item."""

from dataclasses import dataclass

from castworthy.records.assembly import AssemblyGroup, AssemblyItem
from castworthy.records.lookups.assemble import AssemblePage

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
    """One valve."""

    place: str
    note: str
    cells: tuple[Cell, ...]
    left_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyTable:
    """The valves as a table, the head and its cylinders as short lists; cautions said once."""

    lists: tuple[AssemblyGroup, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    cautions: tuple[str, ...]


def assembly_table(page: AssemblePage) -> AssemblyTable:
    """Split the groups of a list into valves and the rest."""
    valves = {valve.name for valve in page.sheet.valves}
    rows = [group for group in page.groups if group.place in valves and group.note]
    lists = tuple(group for group in page.groups if group not in rows)
    columns = _columns(rows)
    usual = {column.item: column.words for column in columns}
    return AssemblyTable(
        lists=lists,
        columns=columns,
        rows=tuple(_row(group, usual=usual) for group in rows),
        cautions=page.cautions,
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


def _row(group: AssemblyGroup, *, usual: dict[str, str]) -> Row:
    return Row(
        place=group.place,
        note=group.note,
        left_count=group.left_count,
        cells=tuple(
            Cell(
                item=item,
                title=_COLUMNS.get(item.item, item.item),
                words="" if item.words == usual[item.item] else item.words,
            )
            for item in group.items
        ),
    )
