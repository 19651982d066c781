"""What is drawn and said beside a sheet while it is being written."""

import re
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.charts.deck import deck_plan
from castworthy.sheets.draft import NAMED, Draft
from castworthy.sheets.errors import Finding, SheetError
from castworthy.sheets.sketch import sketch
from castworthy.sheets.spec import read_sheet
from castworthy.units import Show

_ROW = re.compile(r"(\w+)\[(\d+)\](?:\.(\w+))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingLine:
    """One thing to mend: its line in the text, its field in the form (``""``: none).

    ``place`` counts the fields of that name from 0.
    """

    line: int | None
    where: str
    sentence: str
    field: str = ""
    place: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """The deck and the findings of one wording of a sheet.

    ``partly`` when only what can be drawn of it is drawn, ``unread`` when it is no TOML.
    """

    text: str
    sheet: HeadSheet | None
    drawing: SafeString | None
    findings: tuple[FindingLine, ...]
    partly: bool
    unread: bool

    @property
    def sound(self) -> bool:
        """True when it is a sheet as it stands."""
        return self.sheet is not None

    @property
    def readings_count(self) -> int:
        """Readings a head of this sheet is asked for."""
        return 0 if self.sheet is None else readings_count(self.sheet)


def live(text: str, *, draft: Draft | None, show: Show) -> Live:
    """Read and draw a sheet under way."""
    try:
        sheet: HeadSheet | None = read_sheet(text, file="sheet")
        findings: tuple[FindingLine, ...] = ()
    except SheetError as error:
        sheet = None
        findings = tuple(_line(finding, draft=draft) for finding in error.findings)
    drawn = sheet or (sketch(draft) if draft is not None else None)
    return Live(
        text=text,
        sheet=sheet,
        drawing=deck_drawing(drawn, show=show) if drawn is not None else None,
        findings=findings,
        partly=sheet is None and drawn is not None,
        unread=draft is None,
    )


def readings_count(sheet: HeadSheet) -> int:
    """The readings a sheet asks of a head at the bench."""
    return sum(
        sheet.limit_for(quantity, place=place) is not None
        for quantity, facts in FACTS.items()
        if not facts.tested
        for place in sheet.sites_of(quantity)
    )


def deck_drawing(sheet: HeadSheet, *, show: Show | None = None) -> SafeString:
    """The deck of a sheet as SVG."""
    return mark_safe(deck_plan(sheet, show=show))  # noqa: S308 - charts escapes what it is given


def _line(finding: Finding, *, draft: Draft | None) -> FindingLine:
    field, place = _field(finding.key, draft=draft)
    return FindingLine(
        line=finding.line,
        where=_where(finding.key, draft=draft),
        sentence=f"{finding.sentence[:1].upper()}{finding.sentence[1:]}",
        field=field,
        place=place,
    )


def _field(key: str, *, draft: Draft | None) -> tuple[str, int]:
    """The form's field a finding is about, and which of that name."""
    if draft is None:
        return "", 0
    if found := _ROW.match(key):
        table, number, column = found.groups()
        if table in NAMED:
            skipped = _blank_rows_before(draft, table=table, number=int(number))
            return f"{table}.{column or 'name'}", int(number) - 1 + skipped
    parts = key.split(".")
    if parts[0] in {"head", "engine", "ring", "work", "price"} and len(parts) > 1:
        name = parts[1].partition("[")[0]
        return ("outline.x", 0) if name == "outline" else (f"{parts[0]}.{name}", 0)
    if parts[0] in {"limit", "spring"} and len(parts) > 1:
        return _kind_row(parts, draft=draft)
    return ("unit", 0) if key == "unit" else ("", 0)


def _blank_rows_before(draft: Draft, *, table: str, number: int) -> int:
    """Rows left blank in the form are not in the text, so its counting passes over them."""
    filled = 0
    for place, row in enumerate(draft.table(table)):
        filled += any(value.strip() for value in row.values())
        if filled == number:
            return place - number + 1
    return 0


def _kind_row(parts: list[str], *, draft: Draft) -> tuple[str, int]:
    table, rest = parts[0], parts[1:]
    rows = draft.table(table)
    quantity = rest[0] if table == "limit" else ""
    after = rest[1:] if table == "limit" else rest
    kind = after[0] if after and after[0] in {"intake", "exhaust"} else ""
    column = next((part for part in after if part != kind), "low" if table == "limit" else "rate")
    for place, row in enumerate(rows):
        if row.get("quantity", "") == quantity and row["kind"] == kind:
            return (f"{table}.{column}", place) if column in row else (f"{table}.kind", place)
    return "", 0


def _where(key: str, *, draft: Draft | None) -> str:
    """A key as a person says it: ``valve 2B, x``."""
    if found := _ROW.match(key):
        table, number, column = found.groups()
        name = _name(draft, table=table, number=int(number))
        return f"{table} {name}{f', {_words(column)}' if column else ''}"
    parts = [part for part in key.split(".") if part]
    if len(parts) > 1 and parts[0] == "limit" and parts[1] in set(Quantity):
        title = FACTS[Quantity(parts[1])].title
        kinds = [f"{part} valves" for part in parts[2:] if part in {"intake", "exhaust"}]
        rest = [_words(part) for part in parts[2:] if part not in {"intake", "exhaust"}]
        return ", ".join([title, *kinds, *rest])
    return ", ".join(_words(part) for part in parts)


def _name(draft: Draft | None, *, table: str, number: int) -> str:
    rows = draft.table(table) if draft is not None and table in NAMED else ()
    filled = [row for row in rows if any(value.strip() for value in row.values())]
    named = filled[number - 1]["name"].strip() if 0 < number <= len(filled) else ""
    return named or f"no. {number}"


def _words(key: str) -> str:
    return re.sub(r"\[(\d+)\]", r" \1", key).replace("_", " ")
