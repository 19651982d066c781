"""A cylinder head as calc sees it: geometry, limits, work rules, prices, readings.

Every other room builds these frozen inputs (``sheets`` from files, ``records.to_calc`` from
rows) and hands them to ``decision`` and ``rework``.  Lengths mm, texture um, force N,
volume cm3, pressure kPa; signs as in docs/names-and-units.md.
"""

from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import cos, radians

from castworthy.calc.engine import Engine
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.ring_spec import RingSpec


class ValveKind(StrEnum):
    """Which way the gas goes through the valve."""

    INTAKE = "intake"
    EXHAUST = "exhaust"


class OpeningKind(StrEnum):
    """What passes through an opening of the deck."""

    COOLANT = "coolant"
    OIL = "oil"
    AIR = "air"
    PUSHROD = "pushrod"


class PlaceKind(StrEnum):
    """What is measured at a measuring place."""

    THICKNESS = "thickness"
    HEIGHT = "height"


class Material(StrEnum):
    """What the head is cast from."""

    GREY_IRON = "grey iron"
    COMPACTED_IRON = "compacted iron"
    ALUMINIUM = "aluminium"


class Rule(StrEnum):
    """How a limit decides: with the reading's uncertainty, or on the bare reading."""

    GUARDED = "guarded"
    SIMPLE = "simple"


class ToleranceRule(StrEnum):
    """How many of several finish values may exceed a limit: none, or one in six."""

    MAX = "max"
    SIXTEEN = "16 percent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A bore under the head, centred at (x, y) on the deck [mm].

    ``chamber_area_mm2`` is the area by which a deck cut shrinks the chamber; ``None`` takes
    the valve heads of the cylinder (a flat deck has no other recess).
    """

    name: str
    x_mm: float
    y_mm: float
    bore_mm: float
    chamber_area_mm2: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Valve:
    """A valve at (x, y) on the deck [mm]; angles from the plane across the axis [deg]."""

    name: str
    cylinder: str
    kind: ValveKind
    x_mm: float
    y_mm: float
    head_diameter_mm: float
    seat_angle_deg: float = 45.0
    top_angle_deg: float = 30.0
    throat_angle_deg: float = 60.0
    tilt_deg: float = 0.0

    @property
    def sink_ratio(self) -> float:
        """Recession gained per axial sinking: the cosine of the valve's tilt."""
        return cos(radians(self.tilt_deg))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stud:
    """A stud or bolt hole of the deck."""

    name: str
    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A passage that breaks the deck face."""

    name: str
    kind: OpeningKind
    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A measuring place on the deck."""

    name: str
    kind: PlaceKind
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit of a sheet, in the unit of its quantity.

    ``valve_kind`` narrows it to intake or exhaust valves; ``span_mm`` is the window of a
    local flatness.  At least one of ``low`` and ``high`` is given.
    """

    quantity: Quantity
    valve_kind: ValveKind | None = None
    low: float | None = None
    high: float | None = None
    aim: float | None = None
    span_mm: float | None = None
    rule: Rule = Rule.GUARDED
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gasket:
    """A kind of head gasket and the finish its joint needs, on the deck and on the block [um]."""

    name: str
    title: str
    ra_low_um: float | None = None
    ra_high_um: float | None = None
    rz_high_um: float | None = None
    wt_high_um: float | None = None
    rule: Rule = Rule.GUARDED
    source: str = ""

    def limits(self) -> "tuple[Limit, ...]":
        """What it asks of both faces of the joint."""
        asked = (
            (Quantity.FINISH_RA, self.ra_low_um, self.ra_high_um),
            (Quantity.FINISH_RZ, None, self.rz_high_um),
            (Quantity.WAVINESS_WT, None, self.wt_high_um),
        )
        return tuple(
            Limit(quantity=quantity, low=low, high=high, rule=self.rule, source=self.source)
            for quantity, low, high in asked
            if low is not None or high is not None
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Spring:
    """A valve spring as the sheet gives it; loads follow from its height."""

    rate_n_per_mm: float
    free_mm: float
    solid_mm: float
    lift_mm: float
    valve_kind: ValveKind | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRules:
    """What the shop's work can do and how well, lengths in mm.

    ``confidence_probability`` is per limit, one-sided.  ``largest_tilt_ratio`` bounds the
    slope of the new deck along each axis.  ``straighten_above_mm`` is the bow past which an
    overhead-cam head is straightened before it is cut.
    """

    confidence_probability: float = 0.95
    allowance_mm: float = 0.0127
    smallest_deck_cut_mm: float = 0.0508
    largest_deck_cut_mm: float | None = None
    smallest_seat_cut_mm: float = 0.0508
    smallest_face_cut_mm: float = 0.0
    smallest_tip_grind_mm: float = 0.0
    seat_depth_left_mm: float = 0.762
    face_cut_limit_mm: float = 0.508
    tip_grind_limit_mm: float = 0.254
    shims_mm: tuple[float, ...] = ()
    most_shims_count: int = 3
    washers_mm: tuple[float, ...] = ()
    most_washers_count: int = 2
    largest_tilt_ratio: float = 0.0
    u_deck_cut_mm: float = 0.00508
    u_seat_cut_mm: float = 0.00762
    straighten_above_mm: float | None = None
    finish_rule: ToleranceRule = ToleranceRule.MAX
    finish_cutoff_mm: float | None = None
    vacuum_hold_s: float = 30.0
    pressure_hold_s: float = 1200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Prices in the shop's own currency, times in minutes, lengths in mm.

    A part without a price (``None``) is not offered by the plan.
    """

    labour_per_hour: float = 0.0
    deck_min: float = 0.0
    seat_min: float = 0.0
    face_min: float = 0.0
    tip_min: float = 0.0
    shim_min: float = 0.0
    shim: float = 0.0
    washer_min: float = 0.0
    washer: float = 0.0
    valve_intake: float | None = None
    valve_exhaust: float | None = None
    insert: float | None = None
    insert_min: float = 0.0
    guide: float | None = None
    guide_min: float = 0.0
    ring: float = 0.0
    ring_min: float = 0.0
    new_valve_margin_mm: float | None = None
    insert_stock_mm: float | None = None
    new_casting: float | None = None
    send_back: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadSheet:
    """One spec sheet, frozen: everything that judging and planning a head rests on."""

    code: str
    title: str
    material: Material
    source: str
    outline_mm: tuple[tuple[float, float], ...]
    cylinders: tuple[Cylinder, ...]
    valves: tuple[Valve, ...]
    studs: tuple[Stud, ...] = ()
    openings: tuple[Opening, ...] = ()
    places: tuple[Place, ...] = ()
    limits: tuple[Limit, ...] = ()
    gaskets: tuple[Gasket, ...] = ()
    springs: tuple[Spring, ...] = ()
    engine: Engine | None = None
    ring: RingSpec | None = None
    work: WorkRules = field(default_factory=WorkRules)
    prices: Prices = field(default_factory=Prices)
    overhead_cam: bool = False

    def limit_for(self, quantity: Quantity, *, place: str = "") -> Limit | None:
        """The limit that rules a quantity at a place, or ``None`` when the sheet has none."""
        kind = self.valve(place).kind if FACTS[quantity].site is Site.VALVE else None
        rules = {limit.valve_kind: limit for limit in self.limits if limit.quantity is quantity}
        return rules.get(kind) or rules.get(None)

    def fitted(self, gasket: str = "") -> "HeadSheet":
        """The sheet as a head is judged by it.

        The finish limits are those of one of its gaskets, the first when none is named; limits of
        the compression ratio bound the chamber volume.  ``KeyError`` when it has no such gasket.
        """
        own: tuple[Limit, ...] = ()
        if self.gaskets or gasket:
            names = {each.name: each for each in self.gaskets}
            chosen = names[gasket] if gasket else self.gaskets[0]
            own = chosen.limits()
        kept = {limit.quantity for limit in own}
        limits = (*(each for each in self.limits if each.quantity not in kept), *own)
        ratio = self._ratio_limit()
        if ratio is not None:
            limits = tuple(_within(each, ratio) for each in limits)
            if not any(each.quantity is Quantity.CHAMBER_VOLUME for each in limits):
                limits = (*limits, ratio)
        return self if limits == self.limits else replace(self, limits=limits)

    def _ratio_limit(self) -> Limit | None:
        """Chamber volumes that keep the ratio in every cylinder."""
        if self.engine is None:
            return None
        spans = [self.engine.chamber_span_cm3(bore_mm=each.bore_mm) for each in self.cylinders]
        lows = [low for low, _ in spans if low is not None]
        highs = [high for _, high in spans if high is not None]
        if not (lows or highs):
            return None
        return Limit(
            quantity=Quantity.CHAMBER_VOLUME,
            low=max(lows, default=None),
            high=min(highs, default=None),
            source=self.engine.source or self.source,
        )

    def spring_for(self, place: str) -> Spring | None:
        """The spring under a valve, or ``None`` when the sheet gives none."""
        springs = {spring.valve_kind: spring for spring in self.springs}
        return springs.get(self.valve(place).kind) or springs.get(None)

    def valve(self, name: str) -> Valve:
        """The valve of that name; ``KeyError`` when the sheet has none."""
        for valve in self.valves:
            if valve.name == name:
                return valve
        raise KeyError(name)

    def sites_of(self, quantity: Quantity) -> tuple[str, ...]:
        """The places a quantity is read at, in walking order; ``("",)`` for the whole head."""
        match FACTS[quantity].site:
            case Site.VALVE:
                return tuple(valve.name for valve in self.valves)
            case Site.CYLINDER:
                return tuple(cylinder.name for cylinder in self.cylinders)
            case Site.THICKNESS:
                return self._places(PlaceKind.THICKNESS)
            case Site.HEIGHT:
                return self._places(PlaceKind.HEIGHT)
            case Site.HEAD:
                return ("",)

    def spot_mm(self, quantity: Quantity, *, place: str) -> tuple[float, float]:
        """Where on the deck a quantity is read [mm]; the middle of the outline for the head."""
        spots: list[Valve | Cylinder | Place] = [*self.valves, *self.cylinders, *self.places]
        for named in spots:
            if named.name == place and self._has_site(named, quantity):
                return named.x_mm, named.y_mm
        xs = [x for x, _ in self.outline_mm]
        ys = [y for _, y in self.outline_mm]
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2

    def _places(self, kind: PlaceKind) -> tuple[str, ...]:
        return tuple(place.name for place in self.places if place.kind is kind)

    @staticmethod
    def _has_site(named: "Valve | Cylinder | Place", quantity: Quantity) -> bool:
        site = FACTS[quantity].site
        if isinstance(named, Valve):
            return site is Site.VALVE
        if isinstance(named, Cylinder):
            return site is Site.CYLINDER
        return site.value == named.kind.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A gauge in the unit of what it reads ("mm", "um", "n", "cm3", "kpa").

    ``u`` is the standard uncertainty of one reading; ``u_bias`` the part of it that repeats
    the same in every reading and so does not shrink by repeating.
    """

    name: str
    suffix: str
    u: float
    resolution: float = 0.0
    u_bias: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One quantity at one place, the mean of ``repeats_count`` readings of it.

    ``value`` and ``u`` are in the quantity's unit; recession positive below the deck,
    height and injector protrusion positive above it.  ``u`` is the standard uncertainty of
    ``value`` (``None``: no gauge known).
    """

    quantity: Quantity
    place: str
    value: float
    u: float | None = None
    resolution: float | None = None
    repeats_count: int = 1
    u_bias: float = 0.0
    gauge: str = ""


def _within(limit: Limit, ratio: Limit) -> Limit:
    """A chamber limit narrowed to what the compression ratio allows."""
    if limit.quantity is not Quantity.CHAMBER_VOLUME:
        return limit
    lows = [low for low in (limit.low, ratio.low) if low is not None]
    highs = [high for high in (limit.high, ratio.high) if high is not None]
    return replace(limit, low=max(lows) if lows else None, high=min(highs) if highs else None)
