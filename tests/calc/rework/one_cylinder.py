"""Heads of one cylinder and one valve, and their cheapest plan by brute force.

Written from DOMAIN section 3 alone, apart from the planner and from ``enumeration``: the ratio is
kept as a ratio, the ring groove, the injector, the tip and the spring's loads each as they are said
there.  Every choice of work is tried, with a linear programme for the amounts.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations_with_replacement, product
from math import cos, hypot, pi, radians, sqrt

import numpy as np
from scipy.optimize import brentq, linprog
from scipy.stats import norm

from castworthy.calc.engine import Engine
from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Limit,
    Material,
    Prices,
    Reading,
    Rule,
    Spring,
    Valve,
    ValveKind,
    WorkRules,
)
from castworthy.calc.quantity import Quantity

Q = Quantity
BORE, STROKE, GASKET, GASKET_BORE, BOWL = 90.0, 100.0, 1.2, 92.0, 18.0
RATE, FREE, SOLID, LIFT = 30.0, 50.0, 25.5, 10.5
STAND = (0.18, 0.26)
DEEPEST = 10.0
DECK, SEAT, FACE, TIP = range(4)


@dataclass(frozen=True)
class Case:
    sheet: HeadSheet
    readings: tuple[Reading, ...]
    deck_clearance_mm: float


def ratio_of(chamber_cm3: float, *, deck_clearance_mm: float) -> float:
    """(swept + clearance) / clearance, part by part [-]."""
    swept = pi / 4 * BORE**2 * STROKE
    gasket, deck = pi / 4 * GASKET_BORE**2 * GASKET, pi / 4 * BORE**2 * deck_clearance_mm
    clearance = (chamber_cm3 + BOWL) * 1000 + gasket + deck
    return (swept + clearance) / clearance


def chamber_of(ratio: float, *, deck_clearance_mm: float) -> float:
    """The chamber of that ratio, by trying [cm3]."""
    clearance = deck_clearance_mm
    return brentq(lambda v: ratio_of(v, deck_clearance_mm=clearance) - ratio, -15, 400)


class _Dice:
    """Random figures, and the limits and readings they made."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.limits: list[Limit] = []
        self.readings: list[Reading] = []

    def chance(self, probability: float) -> bool:
        return bool(self.rng.random() < probability)

    def pick(self, *options: float) -> float:
        return float(options[int(self.rng.integers(len(options)))])

    def read(self, quantity: Quantity, place: str, low: float, high: float, u: float) -> None:
        value = round(float(self.rng.uniform(low, high)), 4)
        known = u if self.chance(0.9) else None
        self.readings.append(Reading(quantity=quantity, place=place, value=value, u=known))

    def one_of(self, quantity: Quantity, place: str, u: float, *values: float) -> None:
        value = self.pick(*values)
        self.readings.append(Reading(quantity=quantity, place=place, value=value, u=u))

    def limit(self, quantity: Quantity, low: float | None, high: float | None) -> None:
        rule = Rule.SIMPLE if self.chance(0.2) else Rule.GUARDED
        self.limits.append(Limit(quantity=quantity, low=low, high=high, rule=rule))


def random_case(seed: int) -> Case:
    dice = _Dice(seed)
    pick = dice.pick
    deck_clearance = pick(-0.2, 0.3)
    _valve(dice)
    _joint(dice, deck_clearance_mm=deck_clearance)
    sheet = HeadSheet(
        code="S",
        title="One cylinder",
        material=Material.GREY_IRON,
        source="invented",
        outline_mm=((0, 0), (160, 0), (160, 80), (0, 80)),
        cylinders=(
            Cylinder(
                name="1", x_mm=80, y_mm=40, bore_mm=BORE, chamber_area_mm2=pick(1500.0, 2400.0)
            ),
        ),
        valves=(
            Valve(
                name="A",
                cylinder="1",
                kind=ValveKind.INTAKE,
                x_mm=60,
                y_mm=40,
                head_diameter_mm=pick(34.0, 38.0),
                tilt_deg=pick(0.0, 8.0),
            ),
        ),
        limits=tuple(dice.limits),
        springs=(Spring(rate_n_per_mm=RATE, free_mm=FREE, solid_mm=SOLID, lift_mm=LIFT),),
        engine=Engine(
            stroke_mm=STROKE,
            gasket_mm=GASKET,
            gasket_bore_mm=GASKET_BORE,
            bowl_cm3=BOWL,
            deck_clearance_mm=deck_clearance,
            ratio_low=16.2 if dice.chance(0.7) else None,
            ratio_high=17.2,
        ),
        work=_work(pick),
        prices=_prices(pick),
    )
    return Case(sheet=sheet, readings=tuple(dice.readings), deck_clearance_mm=deck_clearance)


def _valve(dice: _Dice) -> None:
    dice.limit(Q.RECESSION, 0.85, 1.15)
    dice.read(Q.RECESSION, "A", 0.72, 1.2, 0.006)
    if dice.chance(0.7):
        dice.limit(Q.TIP_HEIGHT, 49.8, 50.2)
        dice.read(Q.TIP_HEIGHT, "A", 49.75, 50.25, 0.01)
    if dice.chance(0.8):
        dice.limit(Q.SEAT_LOAD, 285.0, 330.0 if dice.chance(0.5) else None)
        dice.limit(Q.OPEN_LOAD, None, 630.0)
        dice.limit(Q.COIL_BIND, 3.0, None)
        dice.read(Q.SPRING_HEIGHT, "A", 39.5, 40.6, 0.02)


def _joint(dice: _Dice, *, deck_clearance_mm: float) -> None:
    if dice.chance(0.8):
        ends = (chamber_of(r, deck_clearance_mm=deck_clearance_mm) for r in (17.2, 16.1))
        dice.read(Q.CHAMBER_VOLUME, "1", *ends, 0.05)
    if dice.chance(0.6):
        dice.limit(Q.INJECTOR_PROTRUSION, 1.6, 2.0)
        dice.read(Q.INJECTOR_PROTRUSION, "1", 1.5, 2.2, 0.01)
    if dice.chance(0.6):
        dice.limits.append(Limit(quantity=Q.RING_STAND, low=STAND[0], high=STAND[1]))
        dice.one_of(Q.RING_STAND, "1", 0.005, 0.22, 0.22, 0.30)
    if dice.chance(0.5):
        dice.limits.append(Limit(quantity=Q.FLATNESS, high=0.08))
        dice.one_of(Q.FLATNESS, "", 0.004, 0.03, 0.12)


def _work(pick: Callable[..., float]) -> WorkRules:
    return WorkRules(
        confidence_probability=pick(0.9, 0.95),
        smallest_deck_cut_mm=0.05,
        largest_deck_cut_mm=pick(DEEPEST, 0.4),
        smallest_seat_cut_mm=pick(0.0, 0.05),
        smallest_face_cut_mm=pick(0.0, 0.03),
        smallest_tip_grind_mm=pick(0.0, 0.03),
        seat_depth_left_mm=pick(0.1, 0.5),
        face_cut_limit_mm=pick(0.0, 0.3),
        tip_grind_limit_mm=pick(0.0, 0.3),
        shims_mm=(0.381, 0.762) if pick(0, 1) else (),
        most_shims_count=2,
        washers_mm=(0.1, 0.25) if pick(0, 1) else (),
        most_washers_count=2,
        u_deck_cut_mm=pick(0.0, 0.005),
        u_seat_cut_mm=pick(0.0, 0.008),
    )


def _prices(pick: Callable[..., float]) -> Prices:
    return Prices(
        labour_per_hour=90.0,
        deck_min=pick(6.0, 45.0),
        seat_min=8.0,
        face_min=5.0,
        tip_min=4.0,
        shim_min=2.0,
        shim=0.8,
        washer_min=3.0,
        washer=1.5,
        insert=14.0 if pick(0, 1) else None,
        insert_min=15.0,
        insert_stock_mm=0.8,
        ring=pick(3.0, 12.0),
        ring_min=pick(5.0, 20.0),
    )


@dataclass(frozen=True)
class Work:
    """One choice: yes or no for each kind of work, and the stacks that go in."""

    cut: bool
    ring: bool
    seat: bool
    face: bool
    tip: bool
    insert: bool
    shims: tuple[float, ...]
    washers: tuple[float, ...]

    def cost(self, p: Prices) -> float:
        minutes = p.deck_min * self.cut + p.ring_min * self.ring + p.seat_min * self.seat
        minutes += p.face_min * self.face + p.tip_min * self.tip + p.insert_min * self.insert
        minutes += p.shim_min * len(self.shims) + p.washer_min * len(self.washers)
        parts = p.ring * self.ring + (p.insert or 0.0) * self.insert
        parts += p.shim * len(self.shims) + p.washer * len(self.washers)
        return minutes / 60.0 * p.labour_per_hour + parts


def cheapest(case: Case) -> tuple[float, float] | None:
    """Cost and deck cut [mm] of the cheapest plan, of those the one that cuts least."""
    best: tuple[float, float] | None = None
    for cost, work in sorted(
        ((w.cost(case.sheet.prices), w) for w in _choices(case)), key=lambda pair: pair[0]
    ):
        if best is not None and cost > best[0] + 1e-9:
            break
        deck_mm = _least_deck_mm(case, work)
        if deck_mm is not None and (best is None or deck_mm < best[1]):
            best = cost, deck_mm
    return best


def _choices(case: Case) -> Iterator[Work]:
    sheet, read = case.sheet, _by_site(case)
    flat, stand = read.get(Q.FLATNESS), read.get(Q.RING_STAND)
    doubt = 1.0 - sheet.work.confidence_probability
    must_cut = flat is not None and norm.cdf((0.08 - flat.value) / flat.u) <= doubt
    ring_out = stand is not None and (
        norm.cdf((STAND[1] - stand.value) / stand.u) - norm.cdf((STAND[0] - stand.value) / stand.u)
        <= doubt
    )
    washers = sheet.work.washers_mm if Q.INJECTOR_PROTRUSION in read else ()
    yes_no = (False, True)
    for cut, ring, seat, face, tip, insert, shims, washed in product(
        (True,) if must_cut else yes_no,
        yes_no if stand is not None else (False,),
        yes_no,
        yes_no,
        yes_no,
        yes_no if sheet.prices.insert is not None else (False,),
        _stacks(sheet.work.shims_mm),
        _stacks(washers),
    ):
        recut = stand is None or ring or not (cut or ring_out)
        if recut and (seat or not (face or insert)):
            yield Work(cut, ring, seat, face, tip, insert, shims, washed)


def _stacks(sizes: tuple[float, ...]) -> list[tuple[float, ...]]:
    return [s for n in range(3) for s in combinations_with_replacement(sizes, n)]


def _by_site(case: Case) -> dict[Quantity, Reading]:
    return {reading.quantity: reading for reading in case.readings}


def _least_deck_mm(case: Case, work: Work) -> float | None:
    rules, read = case.sheet.work, _by_site(case)
    stock = (case.sheet.prices.insert_stock_mm or 0.0) * work.insert
    flat = read.get(Q.FLATNESS)
    bare = rules.allowance_mm + (flat.value if flat else 0.0)
    spans = [
        (work.cut, max(rules.smallest_deck_cut_mm, bare), rules.largest_deck_cut_mm or DEEPEST),
        (work.seat, rules.smallest_seat_cut_mm, rules.seat_depth_left_mm + stock),
        (work.face, rules.smallest_face_cut_mm, rules.face_cut_limit_mm),
        (work.tip, rules.smallest_tip_grind_mm, rules.tip_grind_limit_mm),
    ]
    if any(done and low > high for done, low, high in spans):
        return None
    rows, rooms = _kept(case, work, stock_mm=stock)
    found = linprog(
        [1.0, 0.0, 0.0, 0.0],
        A_ub=rows,
        b_ub=np.array(rooms) + 1e-9,
        bounds=[(low, high) if done else (0.0, 0.0) for done, low, high in spans],
    )
    return float(found.x[DECK]) if found.status == 0 else None


def _kept(case: Case, work: Work, *, stock_mm: float) -> tuple[np.ndarray, list[float]]:
    """Every limit as a row over deck, seat, face and tip, and the room it leaves."""
    sheet, read = case.sheet, _by_site(case)
    z = norm.ppf(sheet.work.confidence_probability)
    u_deck = sheet.work.u_deck_cut_mm * work.cut
    u_sink = sheet.work.u_seat_cut_mm * sqrt(work.seat + work.face)
    valve, area = sheet.valves[0], sheet.cylinders[0].chamber_area_mm2 or 0.0
    tilt, head = cos(radians(valve.tilt_deg)), pi / 4 * valve.head_diameter_mm**2 / 1000
    height = -stock_mm - sum(work.shims)
    by_k = RATE * height
    moves = {
        Q.RECESSION: ((-1, tilt, tilt, 0), -tilt * stock_mm, hypot(u_deck, tilt * u_sink)),
        Q.TIP_HEIGHT: ((0, 1, 1, -1), -stock_mm, u_sink),
        Q.SEAT_LOAD: ((0, -RATE, -RATE, 0), -by_k, RATE * u_sink),
        Q.OPEN_LOAD: ((0, -RATE, -RATE, 0), -by_k, RATE * u_sink),
        Q.COIL_BIND: ((0, 1, 1, 0), height, u_sink),
        Q.INJECTOR_PROTRUSION: ((1, 0, 0, 0), -sum(work.washers), u_deck),
        Q.CHAMBER_VOLUME: (
            (-area / 1000, head, head, 0),
            -head * stock_mm,
            hypot(area / 1000 * u_deck, head * u_sink),
        ),
    }
    rows, rooms = [np.zeros(4)], [0.0]
    for quantity, low, high, rule in _limits(case):
        reading = read.get(quantity) or _of_spring(quantity, read.get(Q.SPRING_HEIGHT))
        if reading is None:
            continue
        row, still, u_work = moves[quantity]
        guard = z * hypot(reading.u or 0.0, u_work) if rule is Rule.GUARDED else 0.0
        value = reading.value + still
        if high is not None:
            rows.append(np.array(row, dtype=float))
            rooms.append(high - value - guard)
        if low is not None:
            rows.append(-np.array(row, dtype=float))
            rooms.append(value - low - guard)
    return np.array(rows), rooms


def _limits(case: Case) -> Iterator[tuple[Quantity, float | None, float | None, Rule]]:
    for limit in case.sheet.limits:
        if limit.quantity not in {Q.FLATNESS, Q.RING_STAND}:
            yield limit.quantity, limit.low, limit.high, limit.rule
    engine = case.sheet.engine
    assert engine is not None
    least, most = (
        None if ratio is None else chamber_of(ratio, deck_clearance_mm=case.deck_clearance_mm)
        for ratio in (engine.ratio_high, engine.ratio_low)
    )
    yield Q.CHAMBER_VOLUME, least, most, Rule.GUARDED


def _of_spring(quantity: Quantity, height: Reading | None) -> Reading | None:
    """Load or room of the spring at the height read, where it was not read itself."""
    if height is None:
        return None
    values = {
        Q.SEAT_LOAD: (RATE * (FREE - height.value), RATE),
        Q.OPEN_LOAD: (RATE * (FREE - (height.value - LIFT)), RATE),
        Q.COIL_BIND: (height.value - LIFT - SOLID, 1.0),
    }
    if quantity not in values:
        return None
    value, slope = values[quantity]
    u = None if height.u is None else slope * height.u
    return Reading(quantity=quantity, place=height.place, value=value, u=u)
