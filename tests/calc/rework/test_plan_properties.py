"""What holds of every plan, checked by plain arithmetic on random heads."""

from collections.abc import Iterator
from dataclasses import replace
from math import cos, pi, radians, sqrt

import numpy as np
import pytest
from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator
from scipy.stats import norm
from small_heads import Case, random_case

from castworthy.calc.head import Limit, Reading, Rule, Valve
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import Objective, OperationKind, Plan, ValveWork

Q = Quantity
SLACK = 3e-6


def plans(seeds: range, **kinds: bool) -> Iterator[tuple[Case, Plan]]:
    for seed in seeds:
        case = random_case(seed, **kinds)
        for objective in Objective:
            plan = make_plan(case.sheet, readings=case.readings, objective=objective)
            if isinstance(plan, Plan):
                yield case, plan


class Applied:
    """A plan carried out on paper: DOMAIN section 3, one quantity after the other."""

    def __init__(self, case: Case, plan: Plan) -> None:
        self.case, self.plan, self.sheet = case, plan, case.sheet
        self.read = {(r.quantity, r.place): r for r in case.readings}
        heights = [r for r in case.readings if r.quantity is Q.HEIGHT]
        self.height = lambda x, y: 0.0
        self.points: list[tuple[float, float]] = []
        if heights:
            where = {p.name: (p.x_mm, p.y_mm) for p in self.sheet.places}
            top = max(r.value for r in heights)
            self.points = [where[r.place] for r in heights]
            z = [r.value - top for r in heights]
            linear = LinearNDInterpolator(self.points, z)
            near = NearestNDInterpolator(self.points, z)
            self.height = lambda x, y: float(
                linear(x, y) if np.isfinite(linear(x, y)) else near(x, y)
            )

    def stock(self, x: float, y: float) -> float:
        deck = self.plan.deck
        if deck is None:
            return 0.0
        return self.height(x, y) - (deck.p0_mm + deck.a_ratio * x + deck.b_ratio * y)

    def work(self, name: str) -> ValveWork:
        return self.plan.valves.get(name, ValveWork())

    def gain(self, valve: Valve) -> float:
        if not self.work(valve.name).new_valve:
            return 0.0
        return self.sheet.prices.new_valve_margin_mm - self.read[Q.MARGIN, valve.name].value

    def sink(self, valve: Valve) -> float:
        work = self.work(valve.name)
        return work.seat_cut_mm + work.face_cut_mm - self.gain(valve)

    def value(self, quantity: Quantity, place: str, before: float) -> float:
        x, y = self.sheet.spot_mm(quantity, place=place)
        if quantity in {Q.DECK_THICKNESS, Q.HEAD_HEIGHT}:
            return before - self.stock(x, y)
        if quantity is Q.INJECTOR_PROTRUSION:
            return before + self.stock(x, y) - sum(self.plan.washers_mm.get(place, ()))
        if quantity is Q.CHAMBER_VOLUME:
            return before + self.volume_change(place, self.stock(x, y))
        valve = self.sheet.valve(place)
        work, sink = self.work(place), self.sink(valve)
        rate = self.sheet.spring_for(place).rate_n_per_mm
        longer = sink - sum(work.shims_mm)
        return {
            Q.RECESSION: before - self.stock(x, y) + sink * cos(radians(valve.tilt_deg)),
            Q.TIP_HEIGHT: before + sink - work.tip_grind_mm,
            Q.MARGIN: before - work.face_cut_mm + self.gain(valve),
            Q.SPRING_HEIGHT: before + longer,
            Q.COIL_BIND: before + longer,
            Q.SEAT_LOAD: before - rate * longer,
            Q.OPEN_LOAD: before - rate * longer,
        }[quantity]

    def volume_change(self, name: str, stock: float) -> float:
        cylinder = next(c for c in self.sheet.cylinders if c.name == name)
        own = [v for v in self.sheet.valves if v.cylinder == name]
        areas = [pi / 4 * v.head_diameter_mm**2 for v in own]
        area = cylinder.chamber_area_mm2 or sum(areas)
        sunk = sum(a * self.sink(v) for a, v in zip(areas, own, strict=True))
        return (sunk - area * stock) / 1000.0


MOVED = {
    Q.RECESSION,
    Q.DECK_THICKNESS,
    Q.HEAD_HEIGHT,
    Q.TIP_HEIGHT,
    Q.SPRING_HEIGHT,
    Q.SEAT_LOAD,
    Q.OPEN_LOAD,
    Q.COIL_BIND,
    Q.MARGIN,
    Q.INJECTOR_PROTRUSION,
    Q.CHAMBER_VOLUME,
}


@pytest.mark.parametrize(
    ("seeds", "kinds"),
    [
        (range(0, 80), {}),
        (range(120, 160), {"tilt": True}),
        (range(160, 200), {"chamber": True}),
    ],
    ids=["level", "tilted", "chamber"],
)
def test_a_plan_applied_by_plain_arithmetic_meets_every_limit(seeds: range, kinds: dict) -> None:
    count = 0
    for case, plan in plans(seeds, **kinds):
        count += 1
        paper = Applied(case, plan)
        k = norm.ppf(case.sheet.work.confidence_probability)
        for row in plan.after:
            if row.quantity not in MOVED:
                assert row.value == row.before
                continue
            value = paper.value(row.quantity, row.place, row.before)
            assert row.value == pytest.approx(value, abs=1e-6)
            guard = k * (row.u or 0.0) if row.rule is Rule.GUARDED else 0.0
            slack = SLACK * 31.0
            assert row.low is None or value - guard >= row.low - slack
            assert row.high is None or value + guard <= row.high + slack
    assert count > 30


def test_the_work_keeps_the_rules_of_the_shop() -> None:
    for case, plan in plans(range(0, 80)):
        work, prices = case.sheet.work, case.sheet.prices
        paper = Applied(case, plan)
        if plan.deck is not None:
            assert plan.deck.depth_mm >= work.smallest_deck_cut_mm - SLACK
            assert plan.deck.depth_mm <= (work.largest_deck_cut_mm or 10.0) + SLACK
            for x, y in paper.points:
                assert paper.stock(x, y) >= work.allowance_mm - SLACK
        for name, done in plan.valves.items():
            brought = prices.insert_stock_mm if done.new_insert else 0.0
            assert done.seat_cut_mm == pytest.approx(done.seat_metal_mm - brought, abs=1e-12)
            assert done.seat_metal_mm <= work.seat_depth_left_mm + brought + SLACK
            for amount, low, high in (
                (done.seat_metal_mm, work.smallest_seat_cut_mm, 9.0),
                (done.face_cut_mm, work.smallest_face_cut_mm, work.face_cut_limit_mm),
                (done.tip_grind_mm, work.smallest_tip_grind_mm, work.tip_grind_limit_mm),
            ):
                assert amount == 0.0 or low - SLACK <= amount <= high + SLACK
            assert len(done.shims_mm) <= work.most_shims_count
            assert not (done.new_valve and done.face_cut_mm > 0.0)
            seats = [s.place for s in plan.work if s.kind is OperationKind.SEAT]
            if done.face_cut_mm > 0.0 or done.new_insert or done.new_guide:
                assert name in seats


def test_the_cost_is_minutes_times_labour_plus_parts() -> None:
    for case, plan in plans(range(0, 80)):
        p = case.sheet.prices
        minutes, parts = 0.0, 0.0
        for step in plan.work:
            kind = case.sheet.valve(step.place).kind.value if step.place in set("ABC") else ""
            n = len(step.parts)
            minutes += {
                OperationKind.SURFACE: p.deck_min,
                OperationKind.SEAT: p.seat_min,
                OperationKind.FACE: p.face_min,
                OperationKind.TIP: p.tip_min,
                OperationKind.INSERT: p.insert_min,
                OperationKind.GUIDE: p.guide_min,
                OperationKind.SHIM: n * p.shim_min,
                OperationKind.WASHER: n * p.washer_min,
            }.get(step.kind, 0.0)
            parts += {
                OperationKind.INSERT: p.insert,
                OperationKind.GUIDE: p.guide,
                OperationKind.VALVE: p.valve_intake if kind == "intake" else p.valve_exhaust,
                OperationKind.SHIM: n * p.shim,
                OperationKind.WASHER: n * p.washer,
            }.get(step.kind) or 0.0
        assert plan.minutes == pytest.approx(minutes)
        assert plan.cost == pytest.approx(minutes / 60.0 * p.labour_per_hour + parts)
        assert plan.cost == pytest.approx(sum(step.cost for step in plan.work))


def test_tightening_a_limit_never_lowers_the_cost() -> None:
    rng = np.random.default_rng(7)
    raised = 0
    for seed in range(0, 70):
        case = random_case(seed)
        i = int(rng.integers(len(case.sheet.limits)))
        limits = list(case.sheet.limits)
        limits[i] = tightened(limits[i], float(rng.uniform(0.02, 0.2)))
        tighter = replace(case.sheet, limits=tuple(limits))
        before = make_plan(case.sheet, readings=case.readings)
        after = make_plan(tighter, readings=case.readings)
        if not isinstance(after, Plan):
            continue
        assert isinstance(before, Plan)
        assert after.cost >= before.cost - 1e-9
        raised += after.cost > before.cost
    assert raised > 0


def tightened(limit: Limit, share: float) -> Limit:
    open_ended = limit.low is None or limit.high is None
    by = 0.02 if open_ended else share * (limit.high - limit.low)
    low = None if limit.low is None else limit.low + by
    high = None if limit.high is None or limit.low is None else limit.high - by
    return replace(limit, low=low, high=limit.high if high is None else high)


@pytest.mark.parametrize("objective", list(Objective))
def test_a_conforming_head_gets_an_empty_plan(objective: Objective) -> None:
    for seed in range(0, 40):
        case = conforming(random_case(seed))
        plan = make_plan(case.sheet, readings=case.readings, objective=objective)

        assert isinstance(plan, Plan)
        assert plan.empty
        assert (plan.cost, plan.minutes, plan.deck, plan.valves) == (0, 0, None, {})
        assert plan.deck_cut_span_mm[0] == 0.0


def conforming(case: Case) -> Case:
    """The same head with every reading well inside its limit."""
    spring = case.sheet.springs[0]
    good = {
        Q.RECESSION: 1.0,
        Q.DECK_THICKNESS: 10.3,
        Q.HEAD_HEIGHT: 100.05,
        Q.FLATNESS: 0.03,
        Q.FINISH_RA: 0.4,
        Q.TIP_HEIGHT: 50.0,
        Q.SPRING_HEIGHT: 40.0,
        Q.OPEN_LOAD: spring.rate_n_per_mm * (spring.free_mm - 40.0 + spring.lift_mm),
        Q.MARGIN: 1.4,
        Q.SEAT_RUNOUT: 0.02,
        Q.GUIDE_CLEARANCE: 0.05,
        Q.INJECTOR_PROTRUSION: 1.8,
        Q.CHAMBER_VOLUME: 4.35,
    }
    return replace(
        case,
        readings=tuple(replace(r, value=good.get(r.quantity, r.value)) for r in case.readings),
    )


def test_shifting_all_heights_changes_nothing() -> None:
    for seed in range(120, 150):
        case = random_case(seed, tilt=True)
        for shift in (0.5, -3.25):
            moved = tuple(
                replace(r, value=r.value + shift) if r.quantity is Q.HEIGHT else r
                for r in case.readings
            )
            one = make_plan(case.sheet, readings=case.readings)
            other = make_plan(case.sheet, readings=moved)
            assert bool(one) == bool(other)
            if isinstance(one, Plan) and isinstance(other, Plan):
                assert other.cost == pytest.approx(one.cost, abs=1e-9)
                assert (other.deck is None) == (one.deck is None)
                if one.deck is not None and other.deck is not None:
                    assert other.deck.depth_mm == pytest.approx(one.deck.depth_mm, abs=1e-6)


def test_the_predicted_uncertainty_adds_what_each_operation_brings() -> None:
    for case, plan in plans(range(0, 60)):
        work = case.sheet.work
        for row in plan.after:
            if row.quantity is not Q.RECESSION:
                continue
            done = [s.kind for s in plan.work if s.place == row.place]
            tilt = cos(radians(case.sheet.valve(row.place).tilt_deg))
            cuts = (OperationKind.SEAT in done) + (OperationKind.FACE in done)
            expected = sqrt(
                (row.before_u or 0.0) ** 2
                + (work.u_deck_cut_mm if plan.deck else 0.0) ** 2
                + cuts * (tilt * work.u_seat_cut_mm) ** 2
            )
            assert (row.u or 0.0) == pytest.approx(expected, abs=1e-12)


def test_the_same_head_gets_the_same_answer() -> None:
    case = random_case(4)
    one = make_plan(case.sheet, readings=case.readings)

    assert make_plan(case.sheet, readings=case.readings) == one


def test_a_reading_without_a_limit_does_not_matter() -> None:
    case = next(c for c in map(random_case, range(50)) if make_plan(c.sheet, readings=c.readings))
    extra = Reading(quantity=Q.SEAT_WIDTH, place="A", value=99.0, u=0.1)
    one = make_plan(case.sheet, readings=case.readings)
    other = make_plan(case.sheet, readings=(*case.readings, extra))

    assert isinstance(one, Plan)
    assert isinstance(other, Plan)
    assert (other.cost, other.deck) == (one.cost, one.deck)
