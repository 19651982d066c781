"""The planner's answer by brute force, written from DOMAIN sections 3 and 10 alone.

Shares no code with the planner: every combination of yes/no and counted work is tried, and for
each one a linear programme (``scipy.optimize.linprog``) over the amounts cut.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations_with_replacement, product
from math import cos, inf, pi, radians, sqrt

import numpy as np
from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator
from scipy.optimize import linprog
from scipy.stats import norm

from castworthy.calc.head import HeadSheet, Reading, Rule
from castworthy.calc.quantity import Quantity

Q = Quantity
FORCE_DECK = {Q.FLATNESS, Q.LOCAL_FLATNESS, Q.WAVINESS_WT, Q.FINISH_RA, Q.FINISH_RZ}
FORCE_SEAT = {Q.SEAT_RUNOUT, Q.SEAT_WIDTH}
D, A, B, T = 0, 1, 2, 3


@dataclass(frozen=True)
class ValveChoice:
    seat: bool = False
    face: bool = False
    tip: bool = False
    valve: bool = False
    insert: bool = False
    guide: bool = False
    shims: tuple[float, ...] = ()


@dataclass(frozen=True)
class Choice:
    cut: bool
    valves: tuple[ValveChoice, ...]
    washers: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Best:
    cost: float
    deck_mm: float
    margin: float = 0.0


class Enumeration:
    """All plans of a small head.  ``drop`` leaves limits out: (quantity, place, side)."""

    def __init__(
        self,
        sheet: HeadSheet,
        readings: tuple[Reading, ...],
        *,
        guarded: bool = True,
        only: frozenset[tuple[Quantity, str, str]] | None = None,
        fixed_mm: float | None = None,
    ) -> None:
        self.sheet, self.readings, self.only = sheet, readings, only
        self.read = {(r.quantity, r.place): r for r in readings}
        self.k = norm.ppf(sheet.work.confidence_probability) if guarded else 0.0
        self.fixed_mm = fixed_mm
        self._heights()

    # what the sheet asks

    def _heights(self) -> None:
        rows = [r for r in self.readings if r.quantity is Q.HEIGHT]
        xs, ys = zip(*self.sheet.outline_mm, strict=True)
        self.middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        self.points: list[tuple[float, float, float]] = []
        self.origin = self.middle
        if rows:
            top = max(r.value for r in rows)
            where = {p.name: (p.x_mm, p.y_mm) for p in self.sheet.places}
            self.points = [(*where[r.place], r.value - top) for r in rows]
            self.origin = next((x, y) for x, y, h in self.points if h == 0.0)
            xy = [(x, y) for x, y, _ in self.points]
            heights = [h for *_, h in self.points]
            self.linear = LinearNDInterpolator(xy, heights)
            self.nearest = NearestNDInterpolator(xy, heights)

    def height(self, x: float, y: float) -> float:
        if not self.points:
            return 0.0
        inside = float(self.linear(x, y))
        return inside if np.isfinite(inside) else float(self.nearest(x, y))

    def wants(self, quantity: Quantity, place: str, side: str) -> bool:
        return self.only is None or (quantity, place, side) in self.only

    @cached_property
    def outside(self) -> set[tuple[Quantity, str, str]]:
        """Readings that no cut shifts, outside their limit by the conformance probability."""
        found = set()
        for r in self.readings:
            limit = self.sheet.limit_for(r.quantity, place=r.place)
            if limit is None or r.quantity not in FORCE_DECK | FORCE_SEAT | {Q.GUIDE_CLEARANCE}:
                continue
            low = -inf if limit.low is None else limit.low
            high = inf if limit.high is None else limit.high
            p = norm.cdf((high - r.value) / r.u) - norm.cdf((low - r.value) / r.u)
            if p <= 1 - self.sheet.work.confidence_probability:
                found.add((r.quantity, r.place, "high" if r.value > high else "low"))
        return {f for f in found if self.wants(*f)}

    def movable(self, quantity: Quantity, place: str) -> bool:
        """Whether any work on offer shifts a quantity at all."""
        if quantity in {Q.RECESSION, Q.DECK_THICKNESS, Q.HEAD_HEIGHT, Q.INJECTOR_PROTRUSION}:
            return True
        if quantity is Q.CHAMBER_VOLUME:
            return True
        work = self.sheet.work
        choices = list(self.choices_at([v.name for v in self.sheet.valves].index(place)))
        new_valve = any(c.valve for c in choices)
        if quantity is Q.MARGIN:
            return work.face_cut_limit_mm > 0 or new_valve
        sinks = work.seat_depth_left_mm > 0 or work.face_cut_limit_mm > 0 or new_valve
        sinks = sinks or any(c.insert for c in choices)
        if quantity is Q.TIP_HEIGHT:
            return sinks or work.tip_grind_limit_mm > 0
        return sinks or bool(work.shims_mm)

    # the work there is to choose from

    def choices_at(self, index: int) -> Iterator[ValveChoice]:
        valve = self.sheet.valves[index]
        work, prices = self.sheet.work, self.sheet.prices
        price = prices.valve_intake if valve.kind.value == "intake" else prices.valve_exhaust
        guide = (Q.GUIDE_CLEARANCE, valve.name, "high") in self.outside
        forced = guide or any(q in FORCE_SEAT and p == valve.name for q, p, _ in self.outside)
        if guide and prices.guide is None:
            return
        new_valve = price is not None and (Q.MARGIN, valve.name) in self.read
        new_insert = prices.insert is not None and prices.insert_stock_mm is not None
        stacks = [
            stack
            for n in range(work.most_shims_count + 1)
            for stack in combinations_with_replacement(work.shims_mm, n)
        ]
        for seat, face, tip, valve_, insert, shims in product(
            (False, True),
            (False, True),
            (False, True),
            (False, True) if new_valve else (False,),
            (False, True) if new_insert else (False,),
            dict.fromkeys(stacks),
        ):
            if ((face or insert or forced) and not seat) or (face and valve_):
                continue
            yield ValveChoice(seat, face, tip, valve_, insert, guide, shims)

    def washer_choices(self) -> Iterator[tuple[tuple[float, ...], ...]]:
        work = self.sheet.work
        stacks = [
            s
            for n in range(work.most_washers_count + 1)
            for s in combinations_with_replacement(work.washers_mm, n)
        ]
        per = [
            list(dict.fromkeys(stacks)) if (Q.INJECTOR_PROTRUSION, c.name) in self.read else [()]
            for c in self.sheet.cylinders
        ]
        return product(*per)

    def cost(self, choice: Choice) -> float:
        p = self.sheet.prices
        minutes = p.deck_min if choice.cut else 0.0
        parts = 0.0
        for valve, c in zip(self.sheet.valves, choice.valves, strict=True):
            price = p.valve_intake if valve.kind.value == "intake" else p.valve_exhaust
            minutes += p.seat_min * c.seat + p.face_min * c.face + p.tip_min * c.tip
            minutes += p.insert_min * c.insert + p.guide_min * c.guide + p.shim_min * len(c.shims)
            parts += (price or 0.0) * c.valve + (p.insert or 0.0) * c.insert
            parts += (p.guide or 0.0) * c.guide + p.shim * len(c.shims)
        for stack in choice.washers:
            minutes += p.washer_min * len(stack)
            parts += p.washer * len(stack)
        return minutes / 60.0 * p.labour_per_hour + parts

    # one combination as a linear programme

    def programme(
        self, choice: Choice, *, valves: tuple[int, ...] | None = None, margins: bool = False
    ) -> "Programme":
        return Programme(self, choice, valves=valves, margins=margins)

    def choices(self, *, sift: bool = True) -> list[tuple[float, Choice]]:
        """Every combination, cheapest first; sifted: whose valves could each stand alone."""
        found = []
        fixed = self.fixed_mm
        for cut in (False, True):
            if any(q in FORCE_DECK for q, *_ in self.outside) and not cut:
                continue
            if fixed is not None and cut != (fixed > 0):
                continue
            per_valve = [
                [c for c in self.choices_at(i) if not sift or self._alone(cut, i, c)]
                for i in range(len(self.sheet.valves))
            ]
            for washers in self.washer_choices():
                for valves in product(*per_valve):
                    choice = Choice(cut=cut, valves=valves, washers=washers)
                    found.append((self.cost(choice), choice))
        return sorted(found, key=lambda pair: pair[0])

    def _alone(self, cut: bool, index: int, c: ValveChoice) -> bool:
        valves = tuple(c if i == index else ValveChoice() for i in range(len(self.sheet.valves)))
        bare = Choice(cut=cut, valves=valves, washers=((),) * len(self.sheet.cylinders))
        return self.programme(bare, valves=(index,)).solve({D: 1.0}) is not None

    # answers

    def least_cost(self) -> Best | None:
        best: Best | None = None
        for cost, choice in self.choices():
            if best is not None and cost > best.cost + 1e-7:
                break
            x = self.programme(choice).solve({D: 1.0})
            if x is not None and (best is None or x[D] < best.deck_mm):
                best = Best(cost=cost, deck_mm=x[D])
        return best

    def least_deck(self) -> Best | None:
        best: Best | None = None
        for cost, choice in self.choices():
            x = self.programme(choice).solve({D: 1.0})
            if x is None:
                continue
            if best is None or x[D] < best.deck_mm - 1e-7:
                best = Best(cost=cost, deck_mm=x[D])
        return best

    def deck_span(self) -> tuple[float, float] | None:
        low, high = inf, -inf
        for _, choice in self.choices():
            programme = self.programme(choice)
            x = programme.solve({D: 1.0})
            if x is None:
                continue
            low = min(low, x[D])
            most = programme.solve({D: -1.0})
            high = max(high, x[D] if most is None else most[D])
        return None if high < low else (low, high)

    def surest(self) -> Best | None:
        best: Best | None = None
        for cost, choice in self.choices():
            x = self.programme(choice, margins=True).solve({T: -1.0})
            if x is not None and (best is None or x[T] > best.margin + 1e-6):
                best = Best(cost=cost, deck_mm=x[D], margin=x[T])
        if best is None:
            return None
        top = best.margin
        best = None
        for cost, choice in self.choices():
            if best is not None and cost > best.cost + 1e-7:
                break
            programme = self.programme(choice, margins=True)
            x = programme.solve({D: 1.0}, least_margin=top - 2e-7)
            if x is not None and (best is None or x[D] < best.deck_mm):
                best = Best(cost=cost, deck_mm=x[D], margin=top)
        return best

    def possible(self) -> bool:
        """Whether any plan exists: a few cheap tries first, then all of them."""
        tries = self.choices(sift=False)[:8]
        if any(self.programme(choice).solve({D: 1.0}) is not None for _, choice in tries):
            return True
        return any(self.programme(c).solve({D: 1.0}) is not None for _, c in self.choices())


class Programme:
    """The amounts of one combination: deck plane, and seat, face and tip metal of each valve."""

    def __init__(
        self, head: Enumeration, choice: Choice, *, valves: tuple[int, ...] | None, margins: bool
    ) -> None:
        self.head, self.choice, self.margins = head, choice, margins
        self.alone = valves is not None
        self.n = 4 + 3 * len(head.sheet.valves)
        self.upper_rows: list[tuple[np.ndarray, float]] = []
        self.bounds: list[tuple[float, float]] = [(0.0, 0.0)] * self.n
        self.bounds[T] = (0.0, 100.0 if margins else 0.0)
        self.broken = False
        self._deck()
        for i in range(len(head.sheet.valves)) if valves is None else valves:
            self._amounts(i)
            self._valve(i)
        if not self.alone:
            self._rest()

    def _deck(self) -> None:
        head, work = self.head, self.head.sheet.work
        if not self.choice.cut:
            return
        top = 10.0 if work.largest_deck_cut_mm is None else work.largest_deck_cut_mm
        flat = head.read.get((Q.FLATNESS, ""))
        least = work.smallest_deck_cut_mm
        if not head.points:
            clean = work.allowance_mm + (flat.value if flat else 0.0)
            least = max(least, clean)
        if head.fixed_mm is not None:
            self.broken = not least - 1e-9 <= head.fixed_mm <= top + 1e-9
            least = top = head.fixed_mm
        self.broken = self.broken or least > top + 1e-9
        self.bounds[D] = (least, max(top, least))
        tilt = work.largest_tilt_ratio
        self.bounds[A] = self.bounds[B] = (-tilt, tilt)
        for x, y, _ in head.points:
            self._at_least(self._stock(x, y), work.allowance_mm)
        if tilt:
            for x, y in head.sheet.outline_mm:
                self._at_least(self._stock(x, y), 0.0 if head.points else clean)

    def _stock(self, x: float, y: float) -> tuple[np.ndarray, float]:
        """Stock at a spot as (coefficients, constant)."""
        row = np.zeros(self.n)
        if not self.choice.cut:
            return row, 0.0
        row[D] = 1.0
        row[A] = -(x - self.head.origin[0])
        row[B] = -(y - self.head.origin[1])
        return row, self.head.height(x, y)

    def _at_least(self, term: tuple[np.ndarray, float], least: float) -> None:
        self.upper_rows.append((-term[0], term[1] - least))

    def _amounts(self, i: int) -> None:
        work, prices = self.head.sheet.work, self.head.sheet.prices
        c = self.choice.valves[i]
        stock = (prices.insert_stock_mm or 0.0) if c.insert else 0.0
        spans = (
            (c.seat, work.smallest_seat_cut_mm, work.seat_depth_left_mm + stock),
            (c.face, work.smallest_face_cut_mm, work.face_cut_limit_mm),
            (c.tip, work.smallest_tip_grind_mm, work.tip_grind_limit_mm),
        )
        for j, (done, low, high) in enumerate(spans):
            if done and low > high + 1e-12:
                self.broken = True
            elif done:
                self.bounds[4 + 3 * i + j] = (low, high)

    def _valve(self, i: int) -> None:
        head = self.head
        sheet, valve, c = head.sheet, head.sheet.valves[i], self.choice.valves[i]
        work, prices = sheet.work, sheet.prices
        seat, face, tip = (4 + 3 * i + j for j in range(3))
        margin = head.read.get((Q.MARGIN, valve.name))
        gain = prices.new_valve_margin_mm - margin.value if c.valve and margin else 0.0
        sink = np.zeros(self.n)
        sink[seat] = sink[face] = 1.0
        still = -gain - ((prices.insert_stock_mm or 0.0) if c.insert else 0.0)
        u_sink = work.u_seat_cut_mm * sqrt(c.seat + c.face)
        stock, constant = self._stock(valve.x_mm, valve.y_mm)
        tilt = cos(radians(valve.tilt_deg))
        u_deck = work.u_deck_cut_mm * self.choice.cut
        u_own = sqrt((tilt * u_sink) ** 2 + u_deck**2)
        self._limit(Q.RECESSION, valve.name, tilt * sink - stock, tilt * still - constant, u_own)
        ground = sink.copy()
        ground[tip] = -1.0
        self._limit(Q.TIP_HEIGHT, valve.name, ground, still, u_sink)
        cut = np.zeros(self.n)
        cut[face] = -1.0
        self._limit(Q.MARGIN, valve.name, cut, gain, work.u_seat_cut_mm * c.face)
        self._spring(valve.name, sink, still - sum(c.shims), u_sink)

    def _spring(self, name: str, sink: np.ndarray, still: float, u_sink: float) -> None:
        head = self.head
        self._limit(Q.SPRING_HEIGHT, name, sink, still, u_sink)
        height = head.read.get((Q.SPRING_HEIGHT, name))
        spring = head.sheet.spring_for(name)
        assert spring is not None
        k = spring.rate_n_per_mm
        for quantity, slope, at in (
            (Q.SEAT_LOAD, -k, lambda length: k * (spring.free_mm - length)),
            (Q.OPEN_LOAD, -k, lambda length: k * (spring.free_mm - length + spring.lift_mm)),
            (Q.COIL_BIND, 1.0, lambda length: length - spring.lift_mm - spring.solid_mm),
        ):
            own = head.read.get((quantity, name))
            if own is None and height is not None:
                u = None if height.u is None else abs(slope) * height.u
                own = Reading(quantity=quantity, place=name, value=at(height.value), u=u)
            self._limit(
                quantity, name, slope * sink, slope * still, abs(slope) * u_sink, reading=own
            )

    def _rest(self) -> None:
        head, sheet = self.head, self.head.sheet
        u_deck = sheet.work.u_deck_cut_mm * self.choice.cut
        spots = {p.name: (p.x_mm, p.y_mm) for p in sheet.places if p.kind.value == "thickness"}
        for name, (x, y) in spots.items():
            stock, constant = self._stock(x, y)
            self._limit(Q.DECK_THICKNESS, name, -stock, -constant, u_deck)
        stock, constant = self._stock(*head.middle)
        self._limit(Q.HEAD_HEIGHT, "", -stock, -constant, u_deck)
        for cylinder, washers in zip(sheet.cylinders, self.choice.washers, strict=True):
            stock, constant = self._stock(cylinder.x_mm, cylinder.y_mm)
            added = constant - sum(washers)
            self._limit(Q.INJECTOR_PROTRUSION, cylinder.name, stock, added, u_deck)
            self._chamber(cylinder.name, cylinder.chamber_area_mm2, stock, constant)

    def _chamber(self, name: str, area: float | None, stock: np.ndarray, constant: float) -> None:
        sheet, work, prices = self.head.sheet, self.head.sheet.work, self.head.sheet.prices
        own = [(i, v) for i, v in enumerate(sheet.valves) if v.cylinder == name]
        areas = {i: pi / 4 * v.head_diameter_mm**2 for i, v in own}
        if area is None:
            area = sum(areas.values())
        row, still = -area / 1000 * stock, -area / 1000 * constant
        variance = (area / 1000 * work.u_deck_cut_mm * self.choice.cut) ** 2
        for i, v in own:
            c = self.choice.valves[i]
            row[4 + 3 * i] += areas[i] / 1000
            row[5 + 3 * i] += areas[i] / 1000
            margin = self.head.read.get((Q.MARGIN, v.name))
            gain = prices.new_valve_margin_mm - margin.value if c.valve and margin else 0.0
            insert = (prices.insert_stock_mm or 0.0) if c.insert else 0.0
            still -= areas[i] / 1000 * (gain + insert)
            variance += (areas[i] / 1000 * work.u_seat_cut_mm) ** 2 * (c.seat + c.face)
        self._limit(Q.CHAMBER_VOLUME, name, row, still, sqrt(variance))

    def _limit(
        self,
        quantity: Quantity,
        place: str,
        row: np.ndarray,
        still: float,
        u_work: float,
        *,
        reading: Reading | None = None,
    ) -> None:
        head = self.head
        reading = reading or head.read.get((quantity, place))
        limit = head.sheet.limit_for(quantity, place=place)
        if reading is None or limit is None:
            return
        u = sqrt((reading.u or 0.0) ** 2 + u_work**2)
        guard = head.k * u if limit.rule is Rule.GUARDED else 0.0
        value = reading.value + still
        for side, bound, sign in (("low", limit.low, -1.0), ("high", limit.high, 1.0)):
            if bound is None or not head.wants(quantity, place, side):
                continue
            self.upper_rows.append((sign * row, sign * (bound - value) - guard))
            if self.margins and u > 0 and head.movable(quantity, place):
                grown = sign * row
                grown[T] = u
                self.upper_rows.append((grown, sign * (bound - value)))

    def solve(
        self, aims: dict[int, float], *, least_margin: float | None = None
    ) -> np.ndarray | None:
        if self.broken:
            return None
        bounds = list(self.bounds)
        if least_margin is not None:
            bounds[T] = (least_margin, 100.0)
        c = np.zeros(self.n)
        for column, weight in aims.items():
            c[column] = weight
        # A row without amounts either holds or not; the rest is the solver's.
        live = []
        for row, high in self.upper_rows:
            if np.any(row):
                live.append((row, high))
            elif high < -1e-6:
                return None
        if not live:
            live = [(np.zeros(self.n), 0.0)]
        result = linprog(
            c,
            A_ub=np.array([row for row, _ in live]),
            b_ub=np.array([high for _, high in live]),
            bounds=bounds,
        )
        return result.x if result.status == 0 else None
