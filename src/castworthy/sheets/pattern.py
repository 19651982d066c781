"""Regular patterns of a head: rows of a draft laid out from a few figures.

Everything is reckoned in the sheet's own unit with exact decimals, so that a pitch of 5.1 in
gives 3.0, 8.1, 13.2 and never a tail of nines.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from castworthy.sheets.draft import Draft, Row
from castworthy.units import UnitError, read_value

LONGEST_ROW_COUNT = 400


class PatternError(ValueError):
    """A pattern cannot be laid out; ``field`` names the figure at fault."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """A draft with a pattern laid out in it, and one sentence saying what was done."""

    draft: Draft
    table: str
    sentence: str


def rectangle(draft: Draft, *, length: str, width: str) -> LaidOut:
    """An outline of four corners with its first corner at 0, 0."""
    right = _more_than_nothing(_figure(length, draft=draft, field="length"), field="length")
    top = _more_than_nothing(_figure(width, draft=draft, field="width"), field="width")
    nothing = Decimal(0)
    corners = ((nothing, nothing), (right, nothing), (right, top), (nothing, top))
    rows = [{"x": _text(x), "y": _text(y)} for x, y in corners]
    return LaidOut(
        draft=draft.with_rows("outline", rows),
        table="outline",
        sentence=f"The outline is a rectangle of {_text(right)} by {_text(top)} {draft.unit}.",
    )


def cylinders_in_line(
    draft: Draft, *, count: str, first_x: str, first_y: str, pitch: str, bore: str
) -> LaidOut:
    """Cylinders named 1, 2, 3 ... along x at one pitch; they replace those of the draft."""
    number = _count(count, field="count")
    x = _figure(first_x, draft=draft, field="first_x")
    y = _figure(first_y, draft=draft, field="first_y")
    step = _figure(pitch, draft=draft, field="pitch") if number > 1 else Decimal(0)
    hole = _more_than_nothing(_figure(bore, draft=draft, field="bore"), field="bore")
    if number > 1 and abs(step) <= hole:
        raise PatternError(
            f"Bores of {_text(hole)} {draft.unit} at a pitch of {_text(step)} {draft.unit} run "
            "into each other; the pitch must be larger than the bore.",
            field="pitch",
        )
    rows = [
        {"name": str(i + 1), "x": _text(x + i * step), "y": _text(y), "bore": _text(hole)}
        for i in range(number)
    ]
    return LaidOut(
        draft=draft.with_rows("cylinder", rows),
        table="cylinder",
        sentence=f"{_things(number, 'cylinder')} laid out.",
    )


def valves_in_cylinders(
    draft: Draft, *, count: str, across: str, along: str, intake: str, exhaust: str
) -> LaidOut:
    """Two or four valves in every cylinder, lettered A, B (C, D); they replace the draft's.

    ``across`` is the distance between two valves along x, ``along`` the one along y.  Two
    valves are intake and exhaust side by side; four have their intakes at the larger y.
    """
    number = _count(count, field="count")
    if number not in {2, 4}:
        raise PatternError("A cylinder gets 2 or 4 valves this way.", field="count")
    half_x = _more_than_nothing(_figure(across, draft=draft, field="across"), field="across") / 2
    half_y = Decimal(0)
    if number == 4:
        half_y = _more_than_nothing(_figure(along, draft=draft, field="along"), field="along") / 2
    sizes = {
        "intake": _more_than_nothing(_figure(intake, draft=draft, field="intake"), field="intake"),
        "exhaust": _more_than_nothing(
            _figure(exhaust, draft=draft, field="exhaust"), field="exhaust"
        ),
    }
    pattern = (
        (("A", "intake", -half_x, half_y), ("B", "exhaust", half_x, half_y))
        if number == 2
        else (
            ("A", "intake", -half_x, half_y),
            ("B", "intake", half_x, half_y),
            ("C", "exhaust", -half_x, -half_y),
            ("D", "exhaust", half_x, -half_y),
        )
    )
    rows = [
        {
            "name": f"{name}{letter}",
            "cylinder": name,
            "kind": kind,
            "x": _text(x + dx),
            "y": _text(y + dy),
            "head_diameter": _text(sizes[kind]),
        }
        for name, x, y in _cylinders(draft)
        for letter, kind, dx, dy in pattern
    ]
    return LaidOut(
        draft=draft.with_rows("valve", rows),
        table="valve",
        sentence=f"{_things(len(rows), 'valve')} laid out.",
    )


def valves_copied(draft: Draft, *, cylinder: str) -> LaidOut:
    """The valves of one cylinder repeated in every other, replacing what stands there."""
    model = [row for row in draft.table("valve") if row["cylinder"].strip() == cylinder.strip()]
    if not model:
        raise PatternError(
            f"Cylinder {cylinder or '?'} has no valves to copy; give it its valves first.",
            field="cylinder",
        )
    spots = {name: (x, y) for name, x, y in _cylinders(draft)}
    if cylinder.strip() not in spots:
        raise PatternError(f"There is no cylinder {cylinder}.", field="cylinder")
    from_x, from_y = spots[cylinder.strip()]
    rows = [
        {
            **row,
            "cylinder": name,
            "name": _renamed(row["name"], old=cylinder.strip(), new=name),
            "x": _text(_figure(row["x"], draft=draft, field="x") - from_x + x),
            "y": _text(_figure(row["y"], draft=draft, field="y") - from_y + y),
        }
        for name, (x, y) in spots.items()
        for row in model
    ]
    others = len(spots) - 1
    return LaidOut(
        draft=draft.with_rows("valve", rows),
        table="valve",
        sentence=f"The valves of cylinder {cylinder.strip()} copied to "
        f"{_things(others, 'other cylinder')}.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A grid of things as typed: how many along x and y, where it starts, its pitches."""

    columns: str
    rows: str
    first_x: str
    first_y: str
    pitch_x: str
    pitch_y: str

    def spots(self, draft: Draft) -> list[tuple[Decimal, Decimal]]:
        """Where the things stand, along x first."""
        columns = _count(self.columns, field="columns")
        rows = _count(self.rows, field="rows")
        if columns * rows > LONGEST_ROW_COUNT:
            raise PatternError(
                f"{columns} by {rows} is more than {LONGEST_ROW_COUNT} rows.", field="columns"
            )
        x = _figure(self.first_x, draft=draft, field="first_x")
        y = _figure(self.first_y, draft=draft, field="first_y")
        step_x = _figure(self.pitch_x, draft=draft, field="pitch_x") if columns > 1 else Decimal(0)
        step_y = _figure(self.pitch_y, draft=draft, field="pitch_y") if rows > 1 else Decimal(0)
        return [(x + i * step_x, y + j * step_y) for j in range(rows) for i in range(columns)]


def studs_in_grid(draft: Draft, *, grid: Grid, diameter: str) -> LaidOut:
    """Studs named S1, S2 ... on a grid; they are added to those of the draft."""
    size = _more_than_nothing(_figure(diameter, draft=draft, field="diameter"), field="diameter")
    return _added(
        draft, table="stud", spots=grid.spots(draft), letter="S", extra={"diameter": _text(size)}
    )


def openings_in_grid(draft: Draft, *, grid: Grid, kind: str, diameter: str) -> LaidOut:
    """Openings of one kind on a grid; they are added to those of the draft."""
    size = _more_than_nothing(_figure(diameter, draft=draft, field="diameter"), field="diameter")
    return _added(
        draft,
        table="opening",
        spots=grid.spots(draft),
        letter=kind[:1].upper() or "O",
        extra={"kind": kind, "diameter": _text(size)},
    )


def thickness_in_grid(draft: Draft, *, grid: Grid) -> LaidOut:
    """Points for deck thickness named T1, T2 ...; they are added to those of the draft."""
    return _added(
        draft,
        table="place",
        spots=grid.spots(draft),
        letter="T",
        extra={"kind": "thickness"},
    )


def heights_in_outline(draft: Draft, *, columns: str, rows: str, clear: str) -> LaidOut:
    """A grid of height points over the outline, clear of bores, studs, openings and edges.

    Rows are lettered from the smallest y, columns numbered from the smallest x.  The points
    replace the height points of the draft; a spot that is not clear is left out.
    """
    along, across = _count(columns, field="columns"), _count(rows, field="rows")
    if along * across > LONGEST_ROW_COUNT or across > len(_LETTERS):
        raise PatternError(
            f"{along} by {across} points are too many; at most {len(_LETTERS)} rows and "
            f"{LONGEST_ROW_COUNT} points in all.",
            field="columns",
        )
    margin = _figure(clear, draft=draft, field="clear")
    corners = _corners(draft)
    holes = _holes(draft)
    xs = _spread([x for x, _ in corners], count=along, margin=margin)
    ys = _spread([y for _, y in corners], count=across, margin=margin)
    kept = [
        {"name": f"{_LETTERS[j]}{i + 1}", "kind": "height", "x": _text(x), "y": _text(y)}
        for j, y in enumerate(ys)
        for i, x in enumerate(xs)
        if is_inside(x, y, corners=corners) and _is_clear(x, y, holes=holes, margin=margin)
    ]
    others = [row for row in draft.table("place") if row["kind"] != "height"]
    left_out = along * across - len(kept)
    tail = f"; {left_out} left out over bores, studs, openings or the edge" if left_out else ""
    return LaidOut(
        draft=draft.with_rows("place", [*others, *kept]),
        table="place",
        sentence=f"{_things(len(kept), 'height point')} laid out{tail}.",
    )


_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def is_inside(x: Decimal, y: Decimal, *, corners: Sequence[tuple[Decimal, Decimal]]) -> bool:
    """True when a spot lies within a polygon (even-odd rule)."""
    inside = False
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (x2 - x1) * (y - y1) / (y2 - y1):
            inside = not inside
    return inside


def figure(text: str, *, unit: str) -> Decimal:
    """A length as typed, in the sheet's unit, to a millionth of it.

    Raises
    ------
    UnitError
        If the text is no length.

    """
    typed = read_value(text, suffix="mm", bare_unit=unit)
    factor = Fraction("25.4") if unit == "in" else Fraction(1)
    exact = Fraction(typed.value) / factor
    return round(Decimal(exact.numerator) / Decimal(exact.denominator), 6)


def _figure(text: str, *, draft: Draft, field: str) -> Decimal:
    if not text.strip():
        raise PatternError("This figure is missing.", field=field)
    try:
        return figure(text, unit=draft.unit or "in")
    except UnitError as error:
        raise PatternError(str(error), field=field) from error


def _more_than_nothing(value: Decimal, *, field: str) -> Decimal:
    if value <= 0:
        raise PatternError(f"{_text(value)} must be more than 0.", field=field)
    return value


def _count(text: str, *, field: str) -> int:
    typed = text.strip()
    if not (typed.isascii() and typed.isdigit()) or not 1 <= int(typed[:6]) <= LONGEST_ROW_COUNT:
        raise PatternError(
            f"{typed or 'Nothing'} is no count from 1 to {LONGEST_ROW_COUNT}.", field=field
        )
    return int(typed)


def _text(value: Decimal) -> str:
    plain = f"{round(value, 5):f}"
    return plain.rstrip("0").rstrip(".") or "0" if "." in plain else plain


def _things(count: int, name: str) -> str:
    return f"{count} {name}{'' if count == 1 else 's'}"


def _renamed(name: str, *, old: str, new: str) -> str:
    return f"{new}{name[len(old) :]}" if name.startswith(old) else f"{new}{name}"


def _cylinders(draft: Draft) -> list[tuple[str, Decimal, Decimal]]:
    found = [
        (
            row["name"].strip(),
            _figure(row["x"], draft=draft, field="cylinder"),
            _figure(row["y"], draft=draft, field="cylinder"),
        )
        for row in draft.table("cylinder")
        if row["name"].strip()
    ]
    if not found:
        raise PatternError("Lay out the cylinders first; valves stand in them.")
    return found


def _corners(draft: Draft) -> list[tuple[Decimal, Decimal]]:
    corners = [
        (
            _figure(row["x"], draft=draft, field="outline"),
            _figure(row["y"], draft=draft, field="outline"),
        )
        for row in draft.table("outline")
    ]
    if len(corners) < 3:
        raise PatternError("Give the outline first; the points lie inside it.")
    return corners


def _holes(draft: Draft) -> list[tuple[Decimal, Decimal, Decimal]]:
    sizes = (("cylinder", "bore"), ("stud", "diameter"), ("opening", "diameter"))
    holes = []
    for table, size in sizes:
        for row in draft.table(table):
            if all(row[key].strip() for key in ("x", "y", size)):
                spot = [_figure(row[key], draft=draft, field=table) for key in ("x", "y", size)]
                holes.append((spot[0], spot[1], spot[2] / 2))
    return holes


def _is_clear(
    x: Decimal,
    y: Decimal,
    *,
    holes: Iterable[tuple[Decimal, Decimal, Decimal]],
    margin: Decimal,
) -> bool:
    return all(
        (x - hole_x) ** 2 + (y - hole_y) ** 2 >= (radius + margin) ** 2
        for hole_x, hole_y, radius in holes
    )


def _spread(values: Sequence[Decimal], *, count: int, margin: Decimal) -> list[Decimal]:
    low, high = min(values) + margin, max(values) - margin
    if high <= low:
        raise PatternError("The margin leaves no room inside the outline.", field="clear")
    if count == 1:
        return [(low + high) / 2]
    step = (high - low) / (count - 1)
    return [low + i * step for i in range(count)]


def _added(
    draft: Draft,
    *,
    table: str,
    spots: Sequence[tuple[Decimal, Decimal]],
    letter: str,
    extra: Row,
) -> LaidOut:
    rows = list(draft.table(table))
    taken = {row["name"].strip() for row in rows}
    names = (f"{letter}{number}" for number in range(1, len(rows) + len(spots) + 1))
    free = [name for name in names if name not in taken]
    fresh = [
        {"name": name, **extra, "x": _text(x), "y": _text(y)}
        for name, (x, y) in zip(free, spots, strict=False)
    ]
    what = {"stud": "stud", "opening": "opening"}.get(table, "thickness point")
    return LaidOut(
        draft=draft.with_rows(table, [*rows, *fresh]),
        table=table,
        sentence=f"{_things(len(fresh), what)} added.",
    )
