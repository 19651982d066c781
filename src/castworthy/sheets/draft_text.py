"""The text of a draft, written into the text it came from: comments and strange keys stay."""

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from castworthy.sheets.draft import (
    NAMED,
    ROWS,
    SECTIONS,
    Draft,
    Row,
    as_field,
    as_toml,
    outline_as_toml,
    outline_from,
    read_draft,
)

Address = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One table the text must hold: where it stands, its keys as TOML values ("" left out)."""

    address: Address
    values: dict[str, str]
    listed: bool = False

    @property
    def name(self) -> str:
        """What tells the rows of one table apart."""
        return self.values.get("name", "")


@dataclass(slots=True, kw_only=True)
class Pair:
    """One ``key = value`` of a text, with the lines it takes."""

    key: str
    value: str
    tail: str
    lines: list[str]


@dataclass(slots=True, kw_only=True)
class Block:
    """One table of a text: the comments above it, its header, its pairs and loose lines."""

    address: Address = ()
    listed: bool = False
    above: list[str] = field(default_factory=list)
    header: str = ""
    body: list["Pair | str"] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The TOML text of the block's ``name``, as an entry holds it."""
        for part in self.body:
            if isinstance(part, Pair) and part.key == "name":
                return _normal(part)
        return ""


def write_draft(draft: Draft, *, base: str = "") -> str:
    """The TOML text of a draft.

    Where ``base`` reads as TOML its order, comments and unknown keys are kept and only what
    differs is rewritten; a base written in a way this cannot follow (inline tables, dotted
    keys) gives way to a plain text.
    """
    entries = list(_entries(draft))
    plain = _plain_text(entries)
    if not base.strip():
        return plain
    try:
        merged = _merged(entries, base=base)
        same = _same(read_draft(merged), read_draft(plain))
    except tomllib.TOMLDecodeError:
        return plain
    return merged if same else plain


def _same(one: Draft, other: Draft) -> bool:
    return list(_entries(one)) == list(_entries(other))


def _entries(draft: Draft) -> Iterable[Entry]:
    yield Entry(address=(), values={"format": "1", "unit": as_toml(draft.unit, key="unit")})
    head = _values(draft.section("head"), columns=SECTIONS["head"])
    yield Entry(
        address=("head",), values={**head, "outline": outline_as_toml(draft.table("outline"))}
    )
    for name in NAMED:
        for row in draft.table(name):
            if any(typed.strip() for typed in row.values()):
                yield Entry(address=(name,), values=_values(row, columns=ROWS[name]), listed=True)
    yield from _kinds(draft, table="limit", columns=ROWS["limit"])
    yield from _kinds(draft, table="spring", columns=ROWS["spring"])
    for name in ("engine", "ring", "work", "price"):
        yield Entry(address=(name,), values=_values(draft.section(name), columns=SECTIONS[name]))


def _kinds(draft: Draft, *, table: str, columns: Sequence[str]) -> Iterable[Entry]:
    keys = [column for column in columns if column not in {"quantity", "kind"}]
    for row in draft.table(table):
        address = tuple(part for part in (table, row.get("quantity", ""), row["kind"]) if part)
        if table == "limit" and not row["quantity"]:
            continue
        yield Entry(address=address, values=_values(row, columns=keys))


def _values(row: Row, *, columns: Iterable[str]) -> dict[str, str]:
    return {column: as_toml(row[column], key=column) for column in columns}


def _plain_text(entries: Iterable[Entry]) -> str:
    lines: list[str] = []
    for entry in entries:
        filled = [f"{key} = {value}" for key, value in entry.values.items() if value]
        if entry.address in {("engine",), ("ring",), ("work",), ("price",)} and not filled:
            continue
        if lines:
            lines.append("")
        lines += [*_header(entry), *filled]
    return "\n".join(lines) + "\n"


def _header(entry: Entry) -> list[str]:
    if not entry.address:
        return []
    path = ".".join(entry.address)
    return [f"[[{path}]]" if entry.listed else f"[{path}]"]


def _merged(entries: list[Entry], *, base: str) -> str:
    blocks = _blocks(base)
    matched = _match(entries, blocks=blocks)
    written = _order(entries, blocks=blocks, matched=matched)
    out: list[str] = []
    for entry, block in written:
        if block is not None:
            lines = _patched(block, entry=entry)
        else:
            lines = _fresh(entry) if entry is not None else []
        if block is None and out and out[-1].strip():
            lines = ["", *lines]
        if out and lines and not lines[0].strip() and not out[-1].strip():
            lines = lines[1:]
        out += lines
    return "\n".join(out).rstrip("\n") + "\n"


def _fresh(entry: Entry) -> list[str]:
    filled = [f"{key} = {value}" for key, value in entry.values.items() if value]
    return [*_header(entry), *filled, ""]


def _match(entries: list[Entry], *, blocks: list[Block]) -> dict[int, int]:
    """Which block each entry is written into: by address, rows by name, then by turn."""
    free = set(range(len(blocks)))
    matched: dict[int, int] = {}

    def take(index: int, *, by_name: bool) -> None:
        entry = entries[index]
        for place in sorted(free):
            block = blocks[place]
            if block.address != entry.address or block.listed != entry.listed:
                continue
            if not by_name or not entry.listed or block.name == entry.name:
                matched[index] = place
                free.discard(place)
                return

    for index in range(len(entries)):
        take(index, by_name=True)
    for address in {entry.address for entry in entries if entry.listed}:
        turns = [i for i, entry in enumerate(entries) if entry.address == address]
        same_count = len(turns) == sum(block.address == address for block in blocks)
        for index in turns if same_count else ():
            if index not in matched:
                take(index, by_name=False)
    return matched


def _order(
    entries: list[Entry], *, blocks: list[Block], matched: dict[int, int]
) -> list[tuple[Entry | None, Block | None]]:
    """Blocks in the order of the base, each new entry after the entry it follows."""
    by_block = {place: index for index, place in matched.items()}
    known = {entry.address[:1] for entry in entries} | {("work",), ("price",)}
    known |= {(name,) for name in (*NAMED, "limit", "spring")}
    chain: list[tuple[Entry | None, Block | None, int]] = []
    for place, block in enumerate(blocks):
        if place in by_block:
            chain.append((entries[by_block[place]], block, by_block[place]))
        elif block.address[:1] not in known or _is_parent(block):
            chain.append((None, block, -1))
    for index, entry in enumerate(entries):
        if index in matched or (not any(entry.values.values()) and not entry.address[1:]):
            continue
        before = [spot for spot, (_, _, i) in enumerate(chain) if 0 <= i < index]
        chain.insert(before[-1] + 1 if before else 0, (entry, None, index))
    return [(entry, block) for entry, block, _ in chain]


def _is_parent(block: Block) -> bool:
    return block.address in {("limit",), ("spring",)}


def _patched(block: Block, *, entry: Entry | None) -> list[str]:
    lines = [*block.above, *([block.header] if block.header else [])]
    if entry is None:
        return [*lines, *(line for part in block.body for line in _lines(part))]
    wanted = dict(entry.values)
    body: list[list[str]] = []
    last = 0
    for part in block.body:
        if isinstance(part, str) or part.key not in wanted or part.key == "format":
            body.append(_lines(part))
            wanted.pop("format", "")
        elif value := wanted.pop(part.key):
            same = _normal(part) == value
            body.append(part.lines if same else [f"{part.key} = {value}{part.tail}"])
        else:
            continue
        if isinstance(part, Pair):
            last = len(body)
    added = [[f"{key} = {value}"] for key, value in wanted.items() if value]
    return [*lines, *(line for part in (*body[:last], *added, *body[last:]) for line in part)]


def _lines(part: Pair | str) -> list[str]:
    return [part] if isinstance(part, str) else part.lines


def _normal(pair: Pair) -> str:
    return _as_written(pair.value, key=pair.key)


@lru_cache(maxsize=8192)
def _as_written(written: str, *, key: str) -> str:
    """A value of the base as this module would write it."""
    value = tomllib.loads(f"value = {written}", parse_float=str)["value"]
    if key == "outline":
        return outline_as_toml(outline_from(value))
    return as_toml(as_field(value), key=key)


def _blocks(base: str) -> list[Block]:
    """A text that reads as TOML, cut into its tables."""
    lines = base.replace("\r\n", "\n").split("\n")
    while lines and not lines[-1].strip():
        lines.pop()
    lines.append("")
    blocks = [Block()]
    row = 0
    while row < len(lines):
        line = lines[row]
        start = line.lstrip()
        if start.startswith("["):
            address, listed = _address(line)
            above = _loose_end(blocks[-1])
            blocks.append(Block(address=address, listed=listed, above=above, header=line))
            row += 1
        elif not start or start.startswith("#"):
            blocks[-1].body.append(line)
            row += 1
        else:
            pair = _pair(lines, row=row)
            blocks[-1].body.append(pair)
            row += len(pair.lines)
    return blocks


def _loose_end(block: Block) -> list[str]:
    """Takes the comments off the end of a block that stand right above the next header."""
    above: list[str] = []
    while block.body and isinstance(last := block.body[-1], str) and last.strip():
        above.insert(0, last)
        block.body.pop()
    return above


@lru_cache(maxsize=512)
def _address(line: str) -> tuple[Address, bool]:
    found: Any = tomllib.loads(line)
    path: list[str] = []
    listed = False
    while isinstance(found, dict) and found:
        key, found = next(iter(found.items()))
        path.append(key)
        if isinstance(found, list):
            listed, found = True, {}
    return tuple(path), listed


def _pair(lines: list[str], *, row: int) -> Pair:
    key, _, rest = lines[row].partition("=")
    end, column = _value_end(lines, row=row, column=len(key) + 1)
    taken = lines[row : end + 1]
    value = "\n".join([rest, *taken[1:]]) if end > row else rest
    tail = lines[end][column:]
    value = value[: len(value) - len(tail)]
    return Pair(key=key.strip().strip("\"'"), value=value.strip(), tail=tail, lines=taken)


def _value_end(lines: list[str], *, row: int, column: int) -> tuple[int, int]:
    """Where a value ends: its last line and the column its trailing comment starts at."""
    depth = 0
    quote = ""
    while True:
        line = lines[row]
        while column < len(line):
            step, quote, depth, ends = _step(line, column=column, quote=quote, depth=depth)
            if ends:
                return row, len(line[:column].rstrip()) if depth == 0 else len(line)
            column += step
        if (depth == 0 and len(quote) != 3) or row + 1 == len(lines):
            return row, len(line)
        row, column = row + 1, 0


def _step(line: str, *, column: int, quote: str, depth: int) -> tuple[int, str, int, bool]:
    """One step through a value: how far, the open quote, the open brackets, a comment met."""
    sign = line[column]
    triple = line[column : column + 3]
    if quote:
        if sign == "\\" and quote[0] == '"':
            return 2, quote, depth, False
        if line.startswith(quote, column):
            return len(quote), "", depth, False
        return 1, quote, depth, False
    if triple in {'"""', "'''"}:
        return 3, triple, depth, False
    if sign in {'"', "'"}:
        return 1, sign, depth, False
    if sign == "#":
        return (1, quote, depth, True) if depth == 0 else (len(line) - column, quote, depth, False)
    return 1, quote, depth + (sign in "[{") - (sign in "]}"), False
