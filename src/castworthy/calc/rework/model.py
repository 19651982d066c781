"""The planner's model: its columns (what can be done) and rows (what that moves).

Every predicted quantity is ``value + sum of coefficient * column``; limits, guard bands and
objectives are laid over it by ``problem``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import hypot, inf

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.head import HeadSheet, Limit, Reading, Valve
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.surface import Surface

Terms = dict[int, float]

DEEPEST_CUT_MM = 10.0
"""Bound of the deck cut where neither the sheet nor a limit gives one."""


@dataclass(slots=True)
class Columns:
    """What can be chosen: bounds, integrality and cost of each column."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)

    def amount(self, upper_mm: float, *, lower_mm: float = 0.0) -> int:
        """Add a continuous column [mm]."""
        return self._add(lower_mm, upper_mm, cost=0.0, integer=False)

    def count(self, upper_count: int, *, cost: float) -> int:
        """Add an integer column that costs something per unit."""
        return self._add(0.0, upper_count, cost=cost, integer=True)

    def _add(self, lower: float, upper: float, *, cost: float, integer: bool) -> int:
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        self.cost.append(cost)
        return len(self.lower) - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveColumns:
    """Columns of one valve; ``None`` where a part is not on offer."""

    valve: Valve
    seat: int
    seat_used: int
    face: int
    face_used: int
    tip: int
    tip_used: int
    shims: tuple[int, ...]
    new_valve: int | None = None
    new_insert: int | None = None
    new_guide: int | None = None
    margin_gain_mm: float = 0.0
    insert_stock_mm: float = 0.0

    @property
    def sink(self) -> Terms:
        """How far the valve sinks along its own axis [mm]."""
        terms = {self.seat: 1.0, self.face: 1.0}
        if self.new_insert is not None:
            terms[self.new_insert] = -self.insert_stock_mm
        if self.new_valve is not None:
            terms[self.new_valve] = -self.margin_gain_mm
        return terms


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckColumns:
    """Columns of the deck cut; ``a`` and ``b`` are ``None`` when the shop does not tilt.

    Tilt is counted in mm over ``reach_mm``, so that its coefficients are near 1.
    """

    used: int
    depth: int
    a: int | None
    b: int | None
    origin_mm: tuple[float, float]
    reach_mm: float

    def stock(self, height_mm: float, *, spot_mm: tuple[float, float]) -> Terms:
        """Stock taken at a spot of that height against the highest [mm]."""
        terms = {self.used: height_mm, self.depth: 1.0}
        if self.a is not None and self.b is not None:
            terms[self.a] = (self.origin_mm[0] - spot_mm[0]) / self.reach_mm
            terms[self.b] = (self.origin_mm[1] - spot_mm[1]) / self.reach_mm
        return terms


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One predicted quantity.

    ``spread`` pairs the column that switches an operation on with the standard uncertainty the
    operation adds, signed, in the unit of the quantity.  ``rests_on`` is the reading behind the
    value and ``slope`` the value's change per unit of that reading.
    """

    quantity: Quantity
    place: str
    value: float
    u: float | None
    limit: Limit | None
    terms: Terms
    spread: tuple[tuple[int, float], ...]
    rests_on: tuple[Quantity, str]
    slope: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    """A rule of the work itself: ``low <= sum of terms <= high``; never given up."""

    terms: Terms
    low: float = -inf
    high: float = inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Trigger:
    """A limit that no cut shifts but some work cures: ``column`` must be chosen.

    ``column`` is ``None`` where no work on offer cures it.
    """

    quantity: Quantity
    place: str
    bound: str
    limit: float
    column: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """Everything the planner may choose and everything that follows from it.

    ``kept`` are readings with a limit that no column shifts; they stay as read unless an
    operation disturbs them.  ``owed`` are cylinders whose groove must be recut whatever else
    is done.
    """

    sheet: HeadSheet
    readings: Sequence[Reading]
    surface: Surface
    columns: Columns
    deck: DeckColumns
    valves: dict[str, ValveColumns]
    rings: dict[str, int]
    owed: frozenset[str]
    washers: dict[str, tuple[int, ...]]
    rows: tuple[Row, ...]
    work_rows: tuple[WorkRow, ...]
    cut_rows: tuple[WorkRow, ...]
    triggers: tuple[Trigger, ...]
    kept: tuple[Reading, ...]
    read_again: tuple[tuple[Quantity, str], ...]


def u_of(row: Row, *, x: NDArray[np.float64]) -> float:
    """Standard uncertainty of a row after what a choice does, in the unit of its quantity.

    Parameters
    ----------
    row : Row
        The row.
    x : (n,) array
        Value of each column.

    References
    ----------
    JCGM 100:2008, 5.1.2 (independent contributions add in square).

    """
    done = (u for column, u in row.spread if x[column] > 0.5)
    return hypot(row.u or 0.0, *done)
