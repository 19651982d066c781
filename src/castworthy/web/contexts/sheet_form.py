"""The sheet's form as the page shows it: sections of fields, tables of rows."""

from dataclasses import dataclass, field

from castworthy.calc.head import ValveKind
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.sheets.draft import ROWS, Draft, Row
from castworthy.sheets.keys import LIMITED, TABLES, Key, Kind
from castworthy.web.forms.sheet import PATTERNS, Pattern

Choice = tuple[str, str]

_TITLES = {
    "outline": ("Outline", "corner"),
    "cylinder": ("Cylinders", "cylinder"),
    "valve": ("Valves", "valve"),
    "stud": ("Studs", "stud"),
    "opening": ("Openings", "opening"),
    "place": ("Measuring places", "place"),
    "limit": ("Limits", "limit"),
    "gasket": ("Gaskets", "gasket"),
    "spring": ("Springs", "spring"),
}
_SAYS = {
    "outline": "The corners of the deck in order, seen from below.",
    "cylinder": "The bores under the head.",
    "valve": "Angles are taken from the plane across the valve's axis; empty means 45, 30 and 60.",
    "stud": "Stud and bolt holes through the deck.",
    "opening": "Passages that break the deck: coolant, oil, air, push-rods.",
    "place": "Where the deck's thickness and its heights are measured.",
    "limit": "What is measured and what is allowed. A reading is asked for wherever there is a "
    "limit.",
    "gasket": "What each gasket asks of the finish, on the deck and on the block. The first is the "
    "usual one; another is chosen when the head is taken in.",
    "spring": "With a rate the loads follow from the height; write it with its unit, as 35 N/mm.",
}
_LABELS = {
    "name": "Name",
    "head_diameter": "Diameter",
    "x": "x",
    "y": "y",
    "seat_angle": "Seat",
    "top_angle": "Top cut",
    "throat_angle": "Throat",
    "included": "Quoted as",
    "span": "Window",
    "free": "Free height",
    "solid": "Solid height",
    "chamber_area": "Chamber area",
    "quantity": "What",
    "kind": "Kind",
    "u_deck_cut": "Uncertainty of a deck cut",
    "u_seat_cut": "Uncertainty of a seat cut",
    "overhead_cam": "Cam in the head",
    "labour_per_hour": "An hour of work",
    "new_casting": "A new casting",
    "send_back": "Sending a head back",
    "shim": "A shim",
    "washer": "A washer",
    "valve_intake": "An intake valve",
    "valve_exhaust": "An exhaust valve",
    "new_valve_margin": "Margin of a new valve",
    "insert": "A seat insert",
    "guide": "A guide",
    "ring": "A sealing ring",
    "ra_low": "Ra from",
    "ra_high": "Ra to",
    "rz_high": "Rz to",
    "wt_high": "Wt to",
    "finish_rule": "Values past a limit",
    "finish_cutoff": "Cut-off",
    "gasket_bore": "Bore of the gasket",
    "bowl": "Bowl of the piston",
    "ratio_low": "Ratio from",
    "ratio_high": "Ratio to",
    "groove_diameter": "Groove's centreline",
    "tol_wire": "Wire, either way",
    "tol_depth": "Depth, either way",
    "tol_width": "Width, either way",
    "fire_ring": "Gasket's fire ring",
    "insert_wall": "Insert past its valve",
    "vacuum_hold": "Vacuum watched",
    "pressure_hold": "Pressure watched",
    "straighten_above": "Straighten above",
}
_GROUPS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "work": (
        ("Every limit", ("confidence",)),
        (
            "Deck",
            (
                "allowance",
                "smallest_deck_cut",
                "largest_deck_cut",
                "largest_tilt",
                "u_deck_cut",
                "straighten_above",
            ),
        ),
        ("Seats", ("smallest_seat_cut", "seat_depth_left", "u_seat_cut")),
        (
            "Valves",
            ("smallest_face_cut", "face_cut_limit", "smallest_tip_grind", "tip_grind_limit"),
        ),
        ("Shims and washers", ("shims", "most_shims", "washers", "most_washers")),
        ("Finish", ("finish_rule", "finish_cutoff")),
        ("Proof", ("vacuum_hold", "pressure_hold")),
    ),
    "price": (
        ("Time and castings", ("labour_per_hour", "new_casting", "send_back")),
        ("Minutes", ("deck_minutes", "seat_minutes", "face_minutes", "tip_minutes")),
        ("Shims and washers", ("shim", "shim_minutes", "washer", "washer_minutes")),
        ("Valves", ("valve_intake", "valve_exhaust", "new_valve_margin")),
        (
            "Inserts, guides, rings",
            (
                "insert",
                "insert_minutes",
                "insert_stock",
                "guide",
                "guide_minutes",
                "ring",
                "ring_minutes",
            ),
        ),
    ),
}
_HINTS = {
    "overhead_cam": "a bow is then straightened before the deck is cut",
    "code": "at most 12 letters, digits and hyphens; heads are tagged by it",
}
_WIDE = {"source", "title"}
_NARROW = {"name", "cylinder"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field: its ``name`` in the form, what it says, its choices where it has some."""

    name: str
    key: str
    label: str
    value: str
    hint: str = ""
    unit: str = ""
    choices: tuple[Choice, ...] = ()
    width: str = ""
    required: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldGroup:
    """Fields that belong together under one small heading."""

    title: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternCard:
    """A pattern with what was typed into it, its fault where it was refused."""

    pattern: Pattern
    fields: tuple[Field, ...]
    fault: str = ""
    fault_field: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TableCard:
    """One table of the form: columns, rows of fields, a blank row, its patterns."""

    name: str
    title: str
    one: str
    says: str
    columns: tuple[Field, ...]
    rows: tuple[tuple[Field, ...], ...]
    blank: tuple[Field, ...]
    patterns: tuple[PatternCard, ...] = ()
    said: str = ""
    open: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetForm:
    """The whole form of a draft."""

    unit: str
    head: tuple[Field, ...]
    tables: tuple[TableCard, ...]
    engine: tuple[Field, ...] = ()
    ring: tuple[Field, ...] = ()
    work: tuple[FieldGroup, ...] = ()
    price: tuple[FieldGroup, ...] = ()
    filled_count: dict[str, int] = field(default_factory=dict)
    engine_count: int = len(TABLES["engine"].keys)
    ring_count: int = len(TABLES["ring"].keys)
    work_count: int = len(TABLES["work"].keys)
    price_count: int = len(TABLES["price"].keys)


def sheet_form(draft: Draft) -> SheetForm:
    """The form with a draft's figures in it."""
    return SheetForm(
        unit=draft.unit,
        head=_fields(draft, section="head", keys=tuple(TABLES["head"].by_name)),
        tables=tuple(table_card(draft, name) for name in ROWS),
        engine=_fields(draft, section="engine", keys=tuple(TABLES["engine"].by_name)),
        ring=_fields(draft, section="ring", keys=tuple(TABLES["ring"].by_name)),
        work=_groups(draft, section="work"),
        price=_groups(draft, section="price"),
        filled_count={
            name: sum(bool(value.strip()) for value in draft.section(name).values())
            for name in ("engine", "ring", "work", "price")
        },
    )


def table_card(
    draft: Draft,
    name: str,
    *,
    said: str = "",
    is_open: bool = False,
    typed: dict[str, str] | None = None,
    fault: tuple[str, str, str] | None = None,
) -> TableCard:
    """One table of the form.

    ``typed`` keeps what was typed into its patterns, by field name; ``fault`` is the pattern
    refused, the field and the sentence.
    """
    title, one = _TITLES[name]
    rows = draft.table(name)
    return TableCard(
        name=name,
        title=title,
        one=one,
        says=_SAYS[name],
        columns=tuple(_cell(name, column, row={}, unit=draft.unit) for column in ROWS[name]),
        rows=tuple(
            tuple(_cell(name, column, row=row, unit=draft.unit) for column in ROWS[name])
            for row in rows
        ),
        blank=tuple(_cell(name, column, row={}, unit=draft.unit) for column in ROWS[name]),
        patterns=tuple(
            _pattern(pattern, unit=draft.unit, typed=typed or {}, fault=fault)
            for pattern in PATTERNS.values()
            if pattern.table == name
        ),
        said=said,
        open=is_open,
    )


def bare_unit(quantity: str, *, unit: str) -> str:
    """What a bare number of a limit is in; asks for a unit where there is no usual one."""
    try:
        suffix = FACTS[Quantity(quantity)].suffix
    except ValueError:
        return ""
    known = {"mm": unit, "um": "µin" if unit == "in" else "µm"}
    asked = {"n": "as 90 lbf", "cm3": "as 62 cm3", "kpa": "as 40 psi"}
    return known.get(suffix) or asked.get(suffix, "with unit")


def _pattern(
    pattern: Pattern,
    *,
    unit: str,
    typed: dict[str, str],
    fault: tuple[str, str, str] | None,
) -> PatternCard:
    wrong = fault if fault is not None and fault[0] == pattern.name else None
    return PatternCard(
        pattern=pattern,
        fields=tuple(
            Field(
                name=(name := f"pattern.{pattern.name}.{each.name}"),
                key=each.name,
                label=each.label,
                value=typed.get(name, each.usual),
                hint=each.hint,
                unit="" if each.name in {"count", "columns", "rows", "cylinder"} else unit,
                choices=each.choices,
            )
            for each in pattern.fields
        ),
        fault=wrong[2] if wrong else "",
        fault_field=wrong[1] if wrong else "",
    )


def _groups(draft: Draft, *, section: str) -> tuple[FieldGroup, ...]:
    return tuple(
        FieldGroup(title=title, fields=_fields(draft, section=section, keys=keys))
        for title, keys in _GROUPS[section]
    )


def _fields(draft: Draft, *, section: str, keys: tuple[str, ...]) -> tuple[Field, ...]:
    typed = draft.section(section)
    known = TABLES[section].by_name
    return tuple(
        Field(
            name=f"{section}.{key}",
            key=key,
            label=label_of(key),
            value=typed[key],
            hint=_HINTS.get(key, known[key].says),
            unit=_unit(known[key], unit=draft.unit),
            choices=_choices(known[key], value=typed[key]),
            width="wide" if key in _WIDE else "",
            required=known[key].required,
        )
        for key in keys
    )


def _cell(table: str, column: str, *, row: Row, unit: str) -> Field:
    key = _key(table, column)
    value = row.get(column, "")
    return Field(
        name=f"{table}.{column}",
        key=column,
        label=label_of(column),
        value=value,
        hint=key.says if key else "",
        unit=_cell_unit(table, key, row=row, unit=unit),
        choices=_cell_choices(table, column, key=key, value=value),
        width="wide" if column in _WIDE else "narrow" if column in _NARROW else "",
        required=bool(key and key.required),
    )


def _cell_unit(table: str, key: Key | None, *, row: Row, unit: str) -> str:
    if key is None:
        return unit if table == "outline" else ""
    if key.kind is Kind.LIMIT:
        return bare_unit(row.get("quantity", ""), unit=unit)
    return _unit(key, unit=unit)


def _key(table: str, column: str) -> Key | None:
    return TABLES[table].by_name.get(column) if table in TABLES else None


def _cell_choices(table: str, column: str, *, key: Key | None, value: str) -> tuple[Choice, ...]:
    if table == "limit" and column == "quantity":
        choices = [(each.value, FACTS[each].title) for each in LIMITED]
        return _with_value([("", "choose"), *choices], value)
    if table in {"limit", "spring"} and column == "kind":
        kinds = [(kind.value, f"{kind.value} only") for kind in ValveKind]
        return _with_value([("", "all"), *kinds], value)
    return _choices(key, value=value) if key is not None else ()


def _choices(key: Key, *, value: str) -> tuple[Choice, ...]:
    if key.kind is Kind.FLAG:
        words = ("plain", "included") if key.name == "included" else ("no", "yes")
        return _with_value([("", words[0]), ("true", words[1])], value if value != "false" else "")
    if key.kind is not Kind.CHOICE:
        return ()
    first = [("", "choose")] if key.required else [("", key.choices[0])]
    rest = key.choices if key.required else key.choices[1:]
    return _with_value([*first, *((each, each) for each in rest)], value)


def _with_value(choices: list[Choice], value: str) -> tuple[Choice, ...]:
    """The choices, and what stands in the sheet even when it is none of them."""
    known = {choice for choice, _ in choices}
    return tuple(choices) if value in known else (*choices, (value, value))


def label_of(key: str) -> str:
    """What the form calls a key."""
    return _LABELS.get(key) or key.replace("_", " ").capitalize()


def _unit(key: Key, *, unit: str) -> str:
    match key.kind:
        case Kind.LENGTH | Kind.LENGTHS:
            return unit
        case Kind.FINISH:
            return "µin" if unit == "in" else "µm"
        case Kind.VOLUME:
            return "as 62 cm3"
        case Kind.AREA:
            return f"{unit}²"
        case Kind.ANGLE:
            return "°"
        case Kind.SECONDS:
            return "as 30 s"
        case Kind.RATE:
            return "as 35 N/mm"
    return ""
