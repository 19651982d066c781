"""From the solver's choice to a plan: work, values before and after, odds."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.decision.head import required_sites
from castworthy.calc.decision.judge import conformance_probability
from castworthy.calc.head import Limit, Reading, Rule
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.effects import disturbed_by
from castworthy.calc.rework.model import Model, Row, ValveColumns, u_of
from castworthy.calc.rework.monte_carlo import Predicted, holds_all
from castworthy.calc.rework.order import WorkList
from castworthy.calc.rework.problem import guard_factor, movable
from castworthy.calc.rework.results import (
    After,
    DeckCut,
    Objective,
    Plan,
    ValveWork,
    WorkStep,
)
from castworthy.calc.rework.search import Span

_AT_LIMIT = 2e-6
_SETTLING = (Quantity.DECK_THICKNESS, Quantity.HEAD_HEIGHT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Where the odds of a plan are drawn from, and how many times."""

    rng: np.random.Generator
    count: int


class Finish:
    """Reads a choice back as the work it means on one head."""

    def __init__(self, model: Model, x: NDArray[np.float64], *, guarded: bool) -> None:
        """Take the model, the choice and whether limits were tightened."""
        self.model = model
        self.x = x
        self.k = guard_factor(model) if guarded else 0.0
        self.guarded = guarded
        self.deck = self._deck()
        self.valves = {name: self._valve(v) for name, v in model.valves.items()}
        self.washers = {
            name: self._sizes(columns, model.sheet.work.washers_mm)
            for name, columns in model.washers.items()
        }
        self.work = self._work()
        self.disturbed = self._disturbed()

    def plan(self, *, objective: Objective, span: Span, draws: Draws) -> Plan:
        """The plan, its odds drawn anew."""
        steady = [r for r in self.model.kept if (r.quantity, r.place) not in self.disturbed]
        after = (*(self._after(row) for row in self.model.rows), *map(self._kept, steady))
        predicted = [*map(self._predicted, self._limited_rows()), *map(self._steady, steady)]
        return Plan(
            objective=objective,
            guarded=self.guarded,
            cost=sum(step.cost for step in self.work),
            minutes=sum(step.minutes for step in self.work),
            deck=self.deck,
            valves={name: work for name, work in self.valves.items() if work != ValveWork()},
            washers_mm={name: sizes for name, sizes in self.washers.items() if sizes},
            after=tuple(sorted(after, key=self._place_in_sheet)),
            work=self.work,
            deck_cut_span_mm=(span.low_mm, span.high_mm),
            probability=holds_all(predicted, rng=draws.rng, draws_count=draws.count),
            smallest_margin=self._smallest_margin(),
            deck_left_mm=self._deck_left(),
            unproved=self._unproved(),
            missing=self._missing(),
            read_again=tuple(s for s in self.model.read_again if s not in self.disturbed),
        )

    def _deck(self) -> DeckCut | None:
        deck = self.model.deck
        if not self._on(deck.used):
            return None
        depth = float(self.x[deck.depth])
        a = 0.0 if deck.a is None else float(self.x[deck.a]) / deck.reach_mm
        b = 0.0 if deck.b is None else float(self.x[deck.b]) / deck.reach_mm
        x, y = deck.origin_mm
        return DeckCut(depth_mm=depth, p0_mm=-depth - a * x - b * y, a_ratio=a, b_ratio=b)

    def _valve(self, v: ValveColumns) -> ValveWork:
        new_insert = self._on(v.new_insert)
        metal = float(self.x[v.seat])
        return ValveWork(
            seat_cut_mm=metal - v.insert_stock_mm if new_insert else metal,
            seat_metal_mm=metal,
            face_cut_mm=float(self.x[v.face]),
            tip_grind_mm=float(self.x[v.tip]),
            shims_mm=self._sizes(v.shims, self.model.sheet.work.shims_mm),
            new_valve=self._on(v.new_valve),
            new_insert=new_insert,
            new_guide=self._on(v.new_guide),
        )

    def _on(self, column: int | None) -> bool:
        return column is not None and bool(self.x[column] > 0.5)

    def _sizes(self, columns: tuple[int, ...], sizes_mm: tuple[float, ...]) -> tuple[float, ...]:
        pairs = zip(columns, sizes_mm, strict=False)
        return tuple(size for column, size in pairs for _ in range(int(self.x[column])))

    def _work(self) -> tuple[WorkStep, ...]:
        valves = self.model.valves.items()
        return WorkList(self.model).steps(
            deck=self.deck,
            valves=self.valves,
            seated={name for name, v in valves if self._on(v.seat_used)},
            rings=[name for name, column in self.model.rings.items() if self._on(column)],
            washers=self.washers,
        )

    def _disturbed(self) -> frozenset[tuple[Quantity, str]]:
        return frozenset().union(
            *(disturbed_by(self.model.sheet, kind=s.kind, place=s.place) for s in self.work)
        )

    def _limited_rows(self) -> Iterable[Row]:
        return (row for row in self.model.rows if row.limit is not None)

    def _value(self, row: Row) -> float:
        return float(row.value + sum(k * self.x[c] for c, k in row.terms.items()))

    def _after(self, row: Row) -> After:
        value, u = self._value(row), u_of(row, x=self.x)
        moved = any(self.x[column] != 0.0 for column in row.terms)
        known = u if row.u is not None or u > 0.0 else None
        limit = row.limit
        return After(
            quantity=row.quantity,
            place=row.place,
            before=row.value,
            before_u=row.u,
            value=value,
            u=known,
            low=None if limit is None else limit.low,
            high=None if limit is None else limit.high,
            aim=None if limit is None else limit.aim,
            rule=Rule.GUARDED if limit is None else limit.rule,
            probability=_probability(value, known, limit),
            moved=moved,
            binding=moved and bool(self.work) and self._at_limit(value, u, limit),
        )

    def _at_limit(self, value: float, u: float, limit: Limit | None) -> bool:
        if limit is None:
            return False
        guard = self.k * u if limit.rule is Rule.GUARDED else 0.0
        rooms = []
        if limit.low is not None:
            rooms.append(value - guard - limit.low)
        if limit.high is not None:
            rooms.append(limit.high - value - guard)
        return min(rooms) <= _AT_LIMIT

    @staticmethod
    def _limit_of(reading: Reading, model: Model) -> Limit:
        limit = model.sheet.limit_for(reading.quantity, place=reading.place)
        return limit or Limit(quantity=reading.quantity)

    def _kept(self, reading: Reading) -> After:
        limit = self._limit_of(reading, self.model)
        return After(
            quantity=reading.quantity,
            place=reading.place,
            before=reading.value,
            before_u=reading.u,
            value=reading.value,
            u=reading.u,
            low=limit.low,
            high=limit.high,
            aim=limit.aim,
            rule=limit.rule,
            probability=_probability(reading.value, reading.u, limit),
            moved=False,
            binding=False,
        )

    def _predicted(self, row: Row) -> Predicted:
        errors: dict[object, float] = {}
        if row.u:
            errors[row.rests_on] = row.u if row.slope > 0.0 else -row.u
        errors.update({column: u for column, u in row.spread if self._on(column)})
        limit = row.limit or Limit(quantity=row.quantity)
        return Predicted(value=self._value(row), low=limit.low, high=limit.high, errors=errors)

    def _steady(self, reading: Reading) -> Predicted:
        limit = self._limit_of(reading, self.model)
        site = (reading.quantity, reading.place)
        errors: dict[object, float] = {site: reading.u} if reading.u else {}
        return Predicted(value=reading.value, low=limit.low, high=limit.high, errors=errors)

    def _smallest_margin(self) -> float | None:
        margins: list[float] = []
        for row in self._limited_rows():
            u = u_of(row, x=self.x)
            if row.limit is None or u == 0.0 or not movable(self.model, row=row):
                continue
            value = self._value(row)
            if row.limit.low is not None:
                margins.append((value - row.limit.low) / u)
            if row.limit.high is not None:
                margins.append((row.limit.high - value) / u)
        return min(margins, default=None)

    def _deck_left(self) -> float | None:
        return min(
            (
                self._value(row) - row.limit.low
                for row in self._limited_rows()
                if row.quantity in _SETTLING and row.limit and row.limit.low is not None
            ),
            default=None,
        )

    def _unproved(self) -> tuple[tuple[Quantity, str], ...]:
        sheet = self.model.sheet
        rows = {(row.quantity, row.place) for row in self.model.rows}
        return tuple(
            (quantity, place)
            for quantity in Quantity
            for place in sheet.sites_of(quantity)
            if (quantity, place) in self.disturbed
            and (quantity, place) not in rows
            and sheet.limit_for(quantity, place=place) is not None
        )

    def _missing(self) -> tuple[tuple[Quantity, str], ...]:
        read = {(r.quantity, r.place) for r in self.model.readings}
        read |= {(row.quantity, row.place) for row in self.model.rows}
        return tuple(site for site in required_sites(self.model.sheet) if site not in read)

    def _place_in_sheet(self, after: After) -> tuple[int, int]:
        order = list(Quantity).index(after.quantity)
        return order, self.model.sheet.sites_of(after.quantity).index(after.place)


def _probability(value: float, u: float | None, limit: Limit | None) -> float | None:
    if u is None or limit is None:
        return None
    return conformance_probability(value, u=u, low=limit.low, high=limit.high)
