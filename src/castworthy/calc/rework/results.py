"""What the plan answers, frozen.  Lengths mm, times min, prices in the shop's currency."""

from dataclasses import dataclass
from enum import StrEnum

from castworthy.calc.head import Rule
from castworthy.calc.quantity import Quantity


class Objective(StrEnum):
    """What a plan is best at."""

    COST = "cost"
    DECK = "deck"
    SUREST = "surest"


class OperationKind(StrEnum):
    """The shop's operations; the order here is the order of work."""

    CLEAN = "clean"
    CRACK_CHECK = "crack check"
    STRAIGHTEN = "straighten"
    GUIDE = "guide"
    SURFACE = "surface"
    RING_GROOVE = "ring groove"
    INSERT = "insert"
    VALVE = "new valve"
    FACE = "valve face"
    SEAT = "seat"
    TIP = "tip"
    WASH = "wash"
    RING = "ring"
    SHIM = "shim"
    WASHER = "washer"


class Decision(StrEnum):
    """What to do with a head."""

    CONFORMING = "conforming"
    REWORK = "rework"
    SCRAP = "scrap"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckCut:
    """The new deck plane.  ``depth_mm`` is fed from first touch on the highest spot;
    the plane is ``p0 + a x + b y`` against that spot's height, x and y from the deck's origin.
    """

    depth_mm: float
    p0_mm: float
    a_ratio: float = 0.0
    b_ratio: float = 0.0

    @property
    def level(self) -> bool:
        """True when the new plane is parallel to the datum."""
        return self.a_ratio == 0.0 and self.b_ratio == 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveWork:
    """What is done at one valve.  ``seat_cut_mm`` is the net axial sinking (negative where a
    new insert brings more than is cut); ``seat_metal_mm`` what the cutter takes.
    """

    seat_cut_mm: float = 0.0
    seat_metal_mm: float = 0.0
    face_cut_mm: float = 0.0
    tip_grind_mm: float = 0.0
    shims_mm: tuple[float, ...] = ()
    new_valve: bool = False
    new_insert: bool = False
    new_guide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """One quantity before and after the plan, in its own unit.

    ``binding`` when the (guarded) limit stops the plan here; ``moved`` when the plan changes it.
    """

    quantity: Quantity
    place: str
    before: float
    before_u: float | None
    value: float
    u: float | None
    low: float | None
    high: float | None
    aim: float | None
    rule: Rule
    probability: float | None
    moved: bool
    binding: bool

    @property
    def limited(self) -> bool:
        """Whether a limit rules it; a chamber volume may be read for the ratio alone."""
        return self.low is not None or self.high is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkStep:
    """One operation of the plan, in shop order.

    ``amount_mm`` is what is taken (or the shim's or washer's thickness); ``parts`` what is
    fitted; ``minutes`` and ``cost`` are its share of the plan's.
    """

    kind: OperationKind
    place: str = ""
    amount_mm: float | None = None
    parts: tuple[float, ...] = ()
    minutes: float = 0.0
    cost: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A rework plan that keeps every limit it is judged by.

    ``guarded`` is False for a plan that keeps the bare limits only (the guard band excluded
    every plan).  ``deck_cut_span_mm`` is the span of deck cuts with which some plan keeps every
    limit.  ``probability`` is the Monte Carlo share of cases in which all limits hold.
    ``unproved`` are quantities the work disturbs and only a new reading can answer; ``missing``
    those a limit asks for and nobody read; ``read_again`` readings too close to call that would
    force work if they were outside.
    """

    objective: Objective
    guarded: bool
    cost: float
    minutes: float
    deck: DeckCut | None
    valves: dict[str, ValveWork]
    washers_mm: dict[str, tuple[float, ...]]
    after: tuple[After, ...]
    work: tuple[WorkStep, ...]
    deck_cut_span_mm: tuple[float, float]
    probability: float
    smallest_margin: float | None
    deck_left_mm: float | None
    unproved: tuple[tuple[Quantity, str], ...] = ()
    missing: tuple[tuple[Quantity, str], ...] = ()
    read_again: tuple[tuple[Quantity, str], ...] = ()

    @property
    def empty(self) -> bool:
        """True when nothing has to be done."""
        return not self.work

    @property
    def binding(self) -> tuple[After, ...]:
        """The limits that stop the plan from being cheaper."""
        return tuple(row for row in self.after if row.binding)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """One limit of a set that excludes each other, with the bound that clashes."""

    quantity: Quantity
    place: str
    bound: str
    limit: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """One way to free an impossible head: how much one limit would have to give,
    or parts that are not on offer.

    ``together`` marks limits of which none frees the head alone: all of them must give.
    """

    quantity: Quantity | None
    place: str
    needed: float | None
    parts: str = ""
    bound: str = ""
    together: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPlan:
    """No work brings every limit in.  ``conflict`` is a smallest set of limits that exclude
    each other, ``relief`` what would free it; ``surest`` the best plan by bare limits when only
    the guard band excludes one.
    """

    objective: Objective
    conflict: tuple[Conflict, ...]
    relief: tuple[Relief, ...]
    surest: Plan | None = None

    def __bool__(self) -> bool:
        return False
