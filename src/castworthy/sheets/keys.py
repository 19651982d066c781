"""Every key a spec sheet may hold: what it takes, its bounds, the field of calc it fills.

One list serves the reader, the writer, the published schema and the reference page.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from castworthy.calc.head import (
    Material,
    OpeningKind,
    PlaceKind,
    Rule,
    ToleranceRule,
    ValveKind,
)
from castworthy.calc.quantity import FACTS, Quantity, Site

NAME_PATTERN = r"[A-Za-z0-9]([A-Za-z0-9 ._+-]{0,22}[A-Za-z0-9+-])?"
CODE_PATTERN = r"[A-Za-z0-9]([A-Za-z0-9-]{0,10}[A-Za-z0-9])?"


class Kind(StrEnum):
    """What a key takes."""

    TEXT = "text"
    NAME = "name"
    CODE = "code"
    CHOICE = "choice"
    FLAG = "true or false"
    LENGTH = "length"
    AREA = "area"
    ANGLE = "angle"
    RATE = "spring rate"
    SECONDS = "time"
    NUMBER = "number"
    COUNT = "whole number"
    LENGTHS = "list of lengths"
    LIMIT = "limit"
    FINISH = "surface finish"
    VOLUME = "volume"


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a table.

    ``fills`` is the field of the calc dataclass (``""``: handled by the reader alone).
    ``least`` and ``most`` bound the value in the unit of the field; ``open_least`` excludes
    ``least`` itself.
    """

    name: str
    kind: Kind
    says: str
    fills: str = ""
    required: bool = False
    least: float | None = None
    most: float | None = None
    open_least: bool = False
    choices: tuple[str, ...] = ()


def _positive(
    name: str,
    kind: Kind,
    says: str,
    fills: str,
    *,
    required: bool = False,
    most: float | None = None,
) -> Key:
    return Key(
        name=name,
        kind=kind,
        says=says,
        fills=fills,
        required=required,
        least=0.0,
        most=most,
        open_least=True,
    )


def _not_negative(
    name: str, kind: Kind, says: str, fills: str, *, most: float | None = None
) -> Key:
    return Key(name=name, kind=kind, says=says, fills=fills, least=0.0, most=most)


def _spot() -> tuple[Key, Key]:
    return (
        Key(name="x", kind=Kind.LENGTH, says="along the deck", fills="x_mm", required=True),
        Key(name="y", kind=Kind.LENGTH, says="across the deck", fills="y_mm", required=True),
    )


def _name(says: str) -> Key:
    return Key(name="name", kind=Kind.NAME, says=says, fills="name", required=True)


def _choice(name: str, options: type[StrEnum], says: str, *, required: bool = True) -> Key:
    return Key(
        name=name,
        kind=Kind.CHOICE,
        says=says,
        fills=name,
        required=required,
        choices=tuple(option.value for option in options),
    )


HEAD = (
    Key(
        name="code",
        kind=Kind.CODE,
        says="short code of the head, at most 12 letters, digits and hyphens",
        fills="code",
        required=True,
    ),
    Key(name="title", kind=Kind.TEXT, says="what people call it", fills="title", required=True),
    _choice("material", Material, "what it is cast from"),
    Key(
        name="source",
        kind=Kind.TEXT,
        says="where the limits come from",
        fills="source",
        required=True,
    ),
    Key(
        name="overhead_cam",
        kind=Kind.FLAG,
        says="true when the cam runs in the head, so that a bow is straightened before cutting",
        fills="overhead_cam",
    ),
)
CYLINDER = (
    _name("name of the cylinder"),
    *_spot(),
    _positive("bore", Kind.LENGTH, "bore of the block", "bore_mm", required=True),
    _positive(
        "chamber_area",
        Kind.AREA,
        "area by which a deck cut shrinks the chamber; without it the valve heads",
        "chamber_area_mm2",
    ),
)
VALVE = (
    _name("name of the valve"),
    Key(
        name="cylinder",
        kind=Kind.NAME,
        says="name of its cylinder",
        fills="cylinder",
        required=True,
    ),
    _choice("kind", ValveKind, "which way the gas goes"),
    *_spot(),
    _positive(
        "head_diameter",
        Kind.LENGTH,
        "diameter of the valve head",
        "head_diameter_mm",
        required=True,
    ),
    _positive("seat_angle", Kind.ANGLE, "seat, from the plane across the axis", "seat_angle_deg"),
    _positive("top_angle", Kind.ANGLE, "top cut, smaller than the seat angle", "top_angle_deg"),
    _positive(
        "throat_angle", Kind.ANGLE, "throat cut, larger than the seat angle", "throat_angle_deg"
    ),
    Key(
        name="included",
        kind=Kind.FLAG,
        says="true when the three angles are given as included angles (90 for a 45 seat)",
    ),
    Key(
        name="tilt",
        kind=Kind.ANGLE,
        says="tilt of the valve against the deck's normal",
        fills="tilt_deg",
        least=0.0,
        most=60.0,
    ),
)
STUD = (
    _name("name of the stud"),
    *_spot(),
    _positive("diameter", Kind.LENGTH, "hole through the deck", "diameter_mm", required=True),
)
OPENING = (
    _name("name of the opening"),
    _choice("kind", OpeningKind, "what passes through"),
    *_spot(),
    _positive("diameter", Kind.LENGTH, "its diameter", "diameter_mm", required=True),
)
PLACE = (
    _name("name of the measuring place"),
    _choice("kind", PlaceKind, "what is measured there"),
    *_spot(),
)
LIMIT = (
    Key(name="low", kind=Kind.LIMIT, says="low limit", fills="low"),
    Key(name="high", kind=Kind.LIMIT, says="high limit", fills="high"),
    Key(name="aim", kind=Kind.LIMIT, says="value to aim at, between the limits", fills="aim"),
    _positive("span", Kind.LENGTH, "window of a local flatness", "span_mm"),
    _choice("rule", Rule, "guarded (default) or simple", required=False),
    Key(
        name="source",
        kind=Kind.TEXT,
        says="where this limit comes from; without it the source of the head",
        fills="source",
    ),
)
GASKET = (
    _name("short name of the gasket"),
    Key(
        name="title",
        kind=Kind.TEXT,
        says="what kind it is, as multi-layer steel",
        fills="title",
        required=True,
    ),
    _positive("ra_low", Kind.FINISH, "smoothest Ra it seals on", "ra_low_um"),
    _positive("ra_high", Kind.FINISH, "roughest Ra it seals on", "ra_high_um"),
    _positive("rz_high", Kind.FINISH, "largest Rz", "rz_high_um"),
    _positive("wt_high", Kind.FINISH, "largest waviness Wt", "wt_high_um"),
    _choice("rule", Rule, "guarded (default) or simple", required=False),
    Key(
        name="source",
        kind=Kind.TEXT,
        says="where these figures come from; without it the source of the head",
        fills="source",
    ),
)
SPRING = (
    _positive("rate", Kind.RATE, "spring rate with its unit", "rate_n_per_mm", required=True),
    _positive("free", Kind.LENGTH, "free height", "free_mm", required=True),
    _positive("solid", Kind.LENGTH, "solid height", "solid_mm", required=True),
    _positive("lift", Kind.LENGTH, "valve lift", "lift_mm", required=True),
)
ENGINE = (
    _positive("stroke", Kind.LENGTH, "stroke of the engine", "stroke_mm", required=True),
    _not_negative("gasket", Kind.LENGTH, "gasket thickness when clamped", "gasket_mm"),
    _positive(
        "gasket_bore", Kind.LENGTH, "bore of the gasket; else the cylinder's", "gasket_bore_mm"
    ),
    _not_negative("bowl", Kind.VOLUME, "bowl of the piston, as 62 cm3", "bowl_cm3"),
    Key(
        name="deck_clearance",
        kind=Kind.LENGTH,
        says="piston below the block's face at the top; negative above it",
        fills="deck_clearance_mm",
    ),
    _positive("ratio_low", Kind.NUMBER, "lowest compression ratio", "ratio_low"),
    _positive("ratio_high", Kind.NUMBER, "highest compression ratio", "ratio_high"),
    Key(
        name="source",
        kind=Kind.TEXT,
        says="where these figures come from; without it the source of the head",
        fills="source",
    ),
)
RING = (
    _positive("wire", Kind.LENGTH, "diameter of the wire", "wire_mm", required=True),
    _positive("groove_depth", Kind.LENGTH, "depth of the groove", "groove_depth_mm", required=True),
    _positive("groove_width", Kind.LENGTH, "width of the groove", "groove_width_mm", required=True),
    _positive(
        "groove_diameter",
        Kind.LENGTH,
        "diameter of the groove's centreline, round every bore",
        "groove_diameter_mm",
        required=True,
    ),
    _not_negative("tol_wire", Kind.LENGTH, "tolerance of the wire, either way", "tol_wire_mm"),
    _not_negative("tol_depth", Kind.LENGTH, "tolerance of the depth, either way", "tol_depth_mm"),
    _not_negative("tol_width", Kind.LENGTH, "tolerance of the width, either way", "tol_width_mm"),
    _positive(
        "fire_ring", Kind.LENGTH, "diameter of the gasket's own fire ring, if any", "fire_ring_mm"
    ),
    _not_negative(
        "insert_wall",
        Kind.LENGTH,
        "how far a seat insert reaches past its valve all round",
        "insert_wall_mm",
    ),
    Key(
        name="source",
        kind=Kind.TEXT,
        says="where these figures come from; without it the source of the head",
        fills="source",
    ),
)
WORK = (
    Key(
        name="confidence",
        kind=Kind.NUMBER,
        says="conformance probability asked for, per limit",
        fills="confidence_probability",
        least=0.5,
        most=0.9999,
        open_least=True,
    ),
    _not_negative("allowance", Kind.LENGTH, "stock past bare clean-up", "allowance_mm"),
    _not_negative(
        "smallest_deck_cut", Kind.LENGTH, "least the cutter can take", "smallest_deck_cut_mm"
    ),
    _positive(
        "largest_deck_cut", Kind.LENGTH, "most the shop takes off a deck", "largest_deck_cut_mm"
    ),
    _not_negative(
        "smallest_seat_cut", Kind.LENGTH, "least a seat cutter can take", "smallest_seat_cut_mm"
    ),
    _not_negative(
        "smallest_face_cut", Kind.LENGTH, "least a refacer can take", "smallest_face_cut_mm"
    ),
    _not_negative(
        "smallest_tip_grind", Kind.LENGTH, "least a tip grinder can take", "smallest_tip_grind_mm"
    ),
    _not_negative(
        "seat_depth_left", Kind.LENGTH, "how far a seat may still be sunk", "seat_depth_left_mm"
    ),
    _not_negative(
        "face_cut_limit", Kind.LENGTH, "most taken off a valve face", "face_cut_limit_mm"
    ),
    _not_negative("tip_grind_limit", Kind.LENGTH, "most taken off a tip", "tip_grind_limit_mm"),
    _positive("shims", Kind.LENGTHS, "spring shims on the shelf", "shims_mm"),
    _not_negative(
        "most_shims", Kind.COUNT, "most shims under one spring", "most_shims_count", most=20
    ),
    _positive("washers", Kind.LENGTHS, "injector washers on the shelf", "washers_mm"),
    _not_negative(
        "most_washers", Kind.COUNT, "most washers under one injector", "most_washers_count", most=20
    ),
    _not_negative(
        "largest_tilt",
        Kind.NUMBER,
        "largest slope of the new deck, mm per mm or in per in",
        "largest_tilt_ratio",
        most=0.01,
    ),
    _not_negative("u_deck_cut", Kind.LENGTH, "standard uncertainty of a deck cut", "u_deck_cut_mm"),
    _not_negative("u_seat_cut", Kind.LENGTH, "standard uncertainty of a seat cut", "u_seat_cut_mm"),
    _positive(
        "straighten_above",
        Kind.LENGTH,
        "bow above which an overhead-cam head is straightened first",
        "straighten_above_mm",
    ),
    _choice(
        "finish_rule",
        ToleranceRule,
        "how many finish values may exceed a limit: none (max) or one in six (16 percent)",
        required=False,
    ),
    _positive(
        "finish_cutoff",
        Kind.LENGTH,
        "cut-off every trace is read with; without it the standard's own choice",
        "finish_cutoff_mm",
    ),
    _positive("vacuum_hold", Kind.SECONDS, "how long vacuum is watched, as 30 s", "vacuum_hold_s"),
    _positive(
        "pressure_hold", Kind.SECONDS, "how long pressure is watched, as 20 min", "pressure_hold_s"
    ),
)
PRICE = (
    _not_negative("labour_per_hour", Kind.NUMBER, "price of an hour", "labour_per_hour"),
    _not_negative("deck_minutes", Kind.NUMBER, "minutes per deck cut", "deck_min"),
    _not_negative("seat_minutes", Kind.NUMBER, "minutes per seat cut", "seat_min"),
    _not_negative("face_minutes", Kind.NUMBER, "minutes per valve face", "face_min"),
    _not_negative("tip_minutes", Kind.NUMBER, "minutes per tip", "tip_min"),
    _not_negative("shim_minutes", Kind.NUMBER, "minutes per shim", "shim_min"),
    _not_negative("shim", Kind.NUMBER, "price of a shim", "shim"),
    _not_negative("washer_minutes", Kind.NUMBER, "minutes per washer", "washer_min"),
    _not_negative("washer", Kind.NUMBER, "price of a washer", "washer"),
    _not_negative("valve_intake", Kind.NUMBER, "price of an intake valve", "valve_intake"),
    _not_negative("valve_exhaust", Kind.NUMBER, "price of an exhaust valve", "valve_exhaust"),
    _not_negative("insert", Kind.NUMBER, "price of a seat insert", "insert"),
    _not_negative("insert_minutes", Kind.NUMBER, "minutes per insert", "insert_min"),
    _not_negative("guide", Kind.NUMBER, "price of a guide", "guide"),
    _not_negative("guide_minutes", Kind.NUMBER, "minutes per guide", "guide_min"),
    _not_negative("ring", Kind.NUMBER, "price of a sealing ring", "ring"),
    _not_negative("ring_minutes", Kind.NUMBER, "minutes per ring", "ring_min"),
    _positive("new_valve_margin", Kind.LENGTH, "margin of a new valve", "new_valve_margin_mm"),
    _positive("insert_stock", Kind.LENGTH, "stock a new insert brings", "insert_stock_mm"),
    _not_negative("new_casting", Kind.NUMBER, "price of a new casting", "new_casting"),
    _not_negative("send_back", Kind.NUMBER, "price of sending a head back", "send_back"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of the sheet: its keys, and whether it comes as rows (``[[valve]]``)."""

    name: str
    keys: tuple[Key, ...]
    says: str
    rows: bool = False
    required: bool = False
    by_name: dict[str, Key] = field(init=False, hash=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {key.name: key for key in self.keys})


TABLES = {
    table.name: table
    for table in (
        Table(name="head", keys=HEAD, says="what the head is", required=True),
        Table(
            name="cylinder", keys=CYLINDER, says="bores under the head", rows=True, required=True
        ),
        Table(name="valve", keys=VALVE, says="valves", rows=True, required=True),
        Table(name="stud", keys=STUD, says="stud and bolt holes", rows=True),
        Table(name="opening", keys=OPENING, says="passages through the deck", rows=True),
        Table(name="place", keys=PLACE, says="measuring places", rows=True),
        Table(name="limit", keys=LIMIT, says="limits by quantity"),
        Table(
            name="gasket",
            keys=GASKET,
            says="gaskets this head is fitted with and the finish each needs; the first is usual",
            rows=True,
        ),
        Table(name="spring", keys=SPRING, says="the valve springs"),
        Table(name="engine", keys=ENGINE, says="what gives a compression ratio with the chamber"),
        Table(name="ring", keys=RING, says="the sealing ring: a wire in a groove of the deck"),
        Table(name="work", keys=WORK, says="what the shop's work can do"),
        Table(name="price", keys=PRICE, says="prices in the shop's own currency and minutes"),
    )
}
"""The tables of a sheet by name."""

TOP_KEYS = ("format", "unit", *TABLES)
OUTLINE = "outline"
LIMITED = tuple(quantity for quantity in Quantity if quantity is not Quantity.HEIGHT)
"""Quantities a sheet may limit: all but the heights of the grid."""

NEVER_NEGATIVE = frozenset(
    set(LIMITED) - {Quantity.RECESSION, Quantity.INJECTOR_PROTRUSION, Quantity.RING_STAND}
)


def by_kind(quantity: Quantity) -> bool:
    """True for quantities read at valves, whose limits may differ between intake and exhaust."""
    return FACTS[quantity].site is Site.VALVE
