"""The sheet's form: what was sent, as a draft and as text."""

import tomllib
from dataclasses import dataclass

from django.http import QueryDict

from castworthy.sheets.draft import ROWS, SECTIONS, Draft, read_draft
from castworthy.sheets.draft_text import write_draft
from castworthy.sheets.pattern import (
    Grid,
    LaidOut,
    cylinders_in_line,
    heights_in_outline,
    openings_in_grid,
    rectangle,
    studs_in_grid,
    thickness_in_grid,
    valves_copied,
    valves_in_cylinders,
)

FORM, TEXT = "form", "text"
WAYS = (FORM, TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A sheet as it was sent.

    ``way`` it was written, its ``text``, and its ``draft`` (``None`` where the text is no TOML).
    ``code`` and ``base_number`` say which revision it began from; ``base_number`` is 0 for a new
    sheet.
    """

    way: str
    text: str
    draft: Draft | None
    code: str = ""
    base_number: int = 0
    note: str = ""


def written(sent: QueryDict) -> Written:
    """What the editor sent, whichever way it was written."""
    way = TEXT if sent.get("way", TEXT if "text" in sent else FORM) == TEXT else FORM
    number = sent.get("base_number", "")
    facts = {
        "code": sent.get("revises", ""),
        "base_number": int(number) if number.isascii() and number.isdigit() else 0,
        "note": sent.get("note", ""),
    }
    if way == TEXT:
        text = _plain(sent.get("text", ""))
        return Written(way=way, text=text, draft=draft_of(text), **facts)
    draft = draft_sent(sent)
    text = write_draft(draft, base=_plain(sent.get("base", "")))
    return Written(way=way, text=text, draft=draft, **facts)


def draft_of(text: str) -> Draft | None:
    """The draft of a text, ``None`` where it is no TOML."""
    try:
        return read_draft(text)
    except tomllib.TOMLDecodeError:
        return None


def draft_sent(sent: QueryDict) -> Draft:
    """The draft the form's fields hold; rows come as columns of equal length."""
    return Draft(
        unit=sent.get("unit", ""),
        sections={
            name: {key: _plain(sent.get(f"{name}.{key}", "")) for key in keys}
            for name, keys in SECTIONS.items()
        },
        rows={name: _rows(sent, name) for name in ROWS},
    )


def _rows(sent: QueryDict, name: str) -> tuple[dict[str, str], ...]:
    columns = {column: sent.getlist(f"{name}.{column}") for column in ROWS[name]}
    count = max(len(values) for values in columns.values())
    return tuple(
        {column: values[place] if place < len(values) else "" for column, values in columns.items()}
        for place in range(count)
    )


def _plain(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternField:
    """One figure a pattern asks for; ``choices`` are value and title."""

    name: str
    label: str
    hint: str = ""
    usual: str = ""
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A regular pattern the form can lay out into one table."""

    name: str
    table: str
    title: str
    says: str
    button: str
    fields: tuple[PatternField, ...]


def _grid(*extra: PatternField) -> tuple[PatternField, ...]:
    return (
        PatternField(name="columns", label="Along", hint="how many in a row", usual="2"),
        PatternField(name="rows", label="Across", hint="how many rows", usual="2"),
        PatternField(name="first_x", label="First x"),
        PatternField(name="first_y", label="First y"),
        PatternField(name="pitch_x", label="Pitch along"),
        PatternField(name="pitch_y", label="Pitch across"),
        *extra,
    )


_KINDS = tuple((kind, kind) for kind in ("coolant", "oil", "air", "pushrod"))

PATTERNS: dict[str, Pattern] = {
    pattern.name: pattern
    for pattern in (
        Pattern(
            name="rectangle",
            table="outline",
            title="A rectangle",
            says="Four corners from length and width, the first at 0, 0.",
            button="Make it a rectangle",
            fields=(
                PatternField(name="length", label="Length"),
                PatternField(name="width", label="Width"),
            ),
        ),
        Pattern(
            name="cylinders",
            table="cylinder",
            title="Cylinders in line",
            says="Named 1, 2, 3 along the deck; they take the place of the rows below.",
            button="Lay out the cylinders",
            fields=(
                PatternField(name="count", label="How many"),
                PatternField(name="first_x", label="First x"),
                PatternField(name="first_y", label="First y"),
                PatternField(name="pitch", label="Pitch", hint="bore to bore"),
                PatternField(name="bore", label="Bore"),
            ),
        ),
        Pattern(
            name="valves",
            table="valve",
            title="The same valves in every cylinder",
            says="Lettered A, B, C, D; they take the place of the rows below.",
            button="Lay out the valves",
            fields=(
                PatternField(
                    name="count",
                    label="Valves a cylinder",
                    choices=(("2", "2, side by side"), ("4", "4, intakes at the larger y")),
                ),
                PatternField(name="across", label="Apart along x"),
                PatternField(name="along", label="Apart along y", hint="for 4 valves"),
                PatternField(name="intake", label="Intake diameter"),
                PatternField(name="exhaust", label="Exhaust diameter"),
            ),
        ),
        Pattern(
            name="copied",
            table="valve",
            title="One cylinder's valves copied to the others",
            says="Set the valves of one cylinder below, then give its name here.",
            button="Copy the valves",
            fields=(PatternField(name="cylinder", label="From cylinder", usual="1"),),
        ),
        Pattern(
            name="studs",
            table="stud",
            title="Studs on a grid",
            says="Added to the rows below, named S1, S2 and so on.",
            button="Add the studs",
            fields=_grid(PatternField(name="diameter", label="Diameter")),
        ),
        Pattern(
            name="openings",
            table="opening",
            title="Openings on a grid",
            says="Added to the rows below.",
            button="Add the openings",
            fields=_grid(
                PatternField(name="diameter", label="Diameter"),
                PatternField(name="kind", label="What passes", choices=_KINDS),
            ),
        ),
        Pattern(
            name="heights",
            table="place",
            title="Height points over the deck",
            says="A grid inside the outline, clear of bores, studs, openings and the edge. "
            "They take the place of the height points below.",
            button="Lay out the height points",
            fields=(
                PatternField(name="columns", label="Along", usual="13"),
                PatternField(name="rows", label="Across", usual="5"),
                PatternField(name="clear", label="Clear by", hint="of holes and edges"),
            ),
        ),
        Pattern(
            name="thicknesses",
            table="place",
            title="Thickness points on a grid",
            says="Added to the rows below, named T1, T2 and so on.",
            button="Add the thickness points",
            fields=_grid(),
        ),
    )
}


def lay_out(draft: Draft, *, pattern: str, sent: QueryDict) -> LaidOut:
    """The draft with a pattern laid out in it.

    Raises
    ------
    PatternError
        If a figure is missing or wrong.

    """
    figures = {
        field.name: sent.get(f"pattern.{pattern}.{field.name}", "")
        for field in PATTERNS[pattern].fields
    }
    match pattern:
        case "rectangle":
            return rectangle(draft, **figures)
        case "cylinders":
            return cylinders_in_line(draft, **figures)
        case "valves":
            return valves_in_cylinders(draft, **figures)
        case "copied":
            return valves_copied(draft, **figures)
        case "heights":
            return heights_in_outline(draft, **figures)
    extra = {name: figures.pop(name) for name in ("diameter", "kind") if name in figures}
    grid = Grid(**figures)
    match pattern:
        case "studs":
            return studs_in_grid(draft, grid=grid, **extra)
        case "openings":
            return openings_in_grid(draft, grid=grid, **extra)
    return thickness_in_grid(draft, grid=grid)
