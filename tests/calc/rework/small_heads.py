"""Small random heads for the planner's proof: two or three valves, every kind of work in turn."""

from dataclasses import dataclass

import numpy as np

from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Limit,
    Material,
    Place,
    PlaceKind,
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


@dataclass(frozen=True)
class Case:
    sheet: HeadSheet
    readings: tuple[Reading, ...]


class _Dice:
    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.readings: list[Reading] = []

    def chance(self, probability: float) -> bool:
        return bool(self.rng.random() < probability)

    def between(self, low: float, high: float, digits: int = 4) -> float:
        return round(float(self.rng.uniform(low, high)), digits)

    def pick(self, *options: float) -> float:
        return float(options[int(self.rng.integers(len(options)))])

    def read(self, quantity: Quantity, place: str, value: float, u: float) -> None:
        known = None if self.chance(0.1) else u
        self.readings.append(Reading(quantity=quantity, place=place, value=value, u=known))

    def rule(self) -> Rule:
        return Rule.SIMPLE if self.chance(0.15) else Rule.GUARDED


def random_case(seed: int, *, valves: int = 2, chamber: bool = False, tilt: bool = False) -> Case:
    dice = _Dice(seed)
    cylinders = 1 if chamber else min(valves, 2)
    places, limits = _deck(dice, tilt=tilt)
    limits += _valves(dice, valves)
    if dice.chance(0.4):
        limits.append(_limit(dice, Q.INJECTOR_PROTRUSION, 1.6, 2.0))
        dice.read(Q.INJECTOR_PROTRUSION, "1", dice.between(1.5, 2.1), 0.01)
    if chamber:
        limits.append(_limit(dice, Q.CHAMBER_VOLUME, 4.0, 4.7))
        dice.read(Q.CHAMBER_VOLUME, "1", dice.between(4.0, 4.9), 0.03)
    if dice.chance(0.15):
        limits.append(Limit(quantity=Q.FINISH_RA, high=0.6))
        dice.readings.append(
            Reading(quantity=Q.FINISH_RA, place="", value=dice.pick(0.3, 1.1), u=0.01)
        )
    sheet = HeadSheet(
        code="S",
        title="A small head",
        material=Material.GREY_IRON,
        source="invented",
        outline_mm=((0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)),
        cylinders=tuple(
            Cylinder(
                name=str(i + 1),
                x_mm=60.0 + 80.0 * i,
                y_mm=50.0,
                bore_mm=80.0,
                chamber_area_mm2=dice.pick(900.0, 2000.0) if dice.chance(0.5) else None,
            )
            for i in range(cylinders)
        ),
        valves=tuple(
            Valve(
                name="ABC"[i],
                cylinder=str(i % cylinders + 1),
                kind=ValveKind.INTAKE if i % 2 == 0 else ValveKind.EXHAUST,
                x_mm=40.0 + 55.0 * i,
                y_mm=35.0 + 20.0 * (i % 2),
                head_diameter_mm=dice.pick(34.0, 38.0),
                tilt_deg=dice.pick(0.0, 0.0, 12.0),
            )
            for i in range(valves)
        ),
        places=tuple(places),
        limits=tuple(limits),
        springs=(Spring(rate_n_per_mm=30.0, free_mm=50.0, solid_mm=26.0, lift_mm=10.0),),
        work=_work(dice, tilt=tilt),
        prices=_prices(dice),
    )
    return Case(sheet=sheet, readings=tuple(dice.readings))


def _limit(dice: _Dice, quantity: Quantity, low: float | None, high: float | None) -> Limit:
    return Limit(quantity=quantity, low=low, high=high, rule=dice.rule())


def _deck(dice: _Dice, *, tilt: bool) -> tuple[list[Place], list[Limit]]:
    places: list[Place] = []
    limits: list[Limit] = []
    for i in range(int(dice.rng.integers(0, 3))):
        places.append(
            Place(name=f"T{i}", kind=PlaceKind.THICKNESS, x_mm=50.0 + 90.0 * i, y_mm=60.0)
        )
        dice.read(Q.DECK_THICKNESS, f"T{i}", dice.between(10.05, 10.4), 0.01)
    if places:
        limits.append(_limit(dice, Q.DECK_THICKNESS, 10.0, None))
    if dice.chance(0.3):
        limits.append(_limit(dice, Q.HEAD_HEIGHT, 99.8, 100.3))
        dice.read(Q.HEAD_HEIGHT, "", dice.between(99.85, 100.35), 0.01)
    if tilt or dice.chance(0.5):
        corners = ((0, 0), (200, 0), (200, 100), (0, 100), (90, 48))
        for i, (x, y) in enumerate(corners):
            places.append(Place(name=f"H{i}", kind=PlaceKind.HEIGHT, x_mm=x, y_mm=y))
            dice.read(Q.HEIGHT, f"H{i}", dice.between(-0.04, 0.04), 0.002)
    elif dice.chance(0.5):
        limits.append(Limit(quantity=Q.FLATNESS, high=0.08))
        dice.readings.append(
            Reading(quantity=Q.FLATNESS, place="", value=dice.pick(0.03, 0.06, 0.12), u=0.004)
        )
    return places, limits


def _valves(dice: _Dice, valves: int) -> list[Limit]:
    names = "ABC"[:valves]
    limits = [_limit(dice, Q.RECESSION, 0.85, 1.15)]
    spread = dice.pick(0.1, 0.25, 0.5)
    for name in names:
        dice.read(Q.RECESSION, name, round(dice.between(1 - spread, 1 + spread), 4), 0.006)
    if dice.chance(0.5):
        limits.append(_limit(dice, Q.TIP_HEIGHT, 49.8, 50.2))
        for name in names:
            dice.read(Q.TIP_HEIGHT, name, dice.between(49.75, 50.3), 0.01)
    limits += _springs(dice, names)
    if dice.chance(0.5):
        limits.append(_limit(dice, Q.MARGIN, 1.2, None))
        for name in names:
            dice.read(Q.MARGIN, name, dice.between(1.15, 1.7), 0.01)
    return limits + _forced(dice)


def _springs(dice: _Dice, names: str) -> list[Limit]:
    limits: list[Limit] = []
    if dice.chance(0.5):
        limits.append(_limit(dice, Q.SPRING_HEIGHT, 39.7, 40.3))
        limits.append(_limit(dice, Q.SEAT_LOAD, 285.0, None))
        limits.append(_limit(dice, Q.COIL_BIND, 1.0, None))
        for name in names:
            dice.read(Q.SPRING_HEIGHT, name, dice.between(39.5, 40.8), 0.02)
            if dice.chance(0.2):
                dice.read(Q.OPEN_LOAD, name, dice.between(580.0, 640.0), 4.0)
        if dice.chance(0.5):
            limits.append(_limit(dice, Q.OPEN_LOAD, 570.0, 640.0))
    return limits


def _forced(dice: _Dice) -> list[Limit]:
    limits: list[Limit] = []
    if dice.chance(0.2):
        limits.append(Limit(quantity=Q.SEAT_RUNOUT, high=0.05))
        dice.readings.append(Reading(quantity=Q.SEAT_RUNOUT, place="A", value=0.09, u=0.003))
    if dice.chance(0.1):
        limits.append(Limit(quantity=Q.GUIDE_CLEARANCE, high=0.1))
        dice.readings.append(Reading(quantity=Q.GUIDE_CLEARANCE, place="B", value=0.2, u=0.003))
    return limits


def _work(dice: _Dice, *, tilt: bool) -> WorkRules:
    return WorkRules(
        confidence_probability=dice.pick(0.9, 0.95, 0.99),
        allowance_mm=0.0127,
        smallest_deck_cut_mm=dice.pick(0.03, 0.0508),
        largest_deck_cut_mm=dice.between(0.15, 0.6) if dice.chance(0.3) else None,
        smallest_seat_cut_mm=dice.pick(0.0, 0.0508),
        smallest_face_cut_mm=dice.pick(0.0, 0.03),
        smallest_tip_grind_mm=dice.pick(0.0, 0.03),
        seat_depth_left_mm=dice.pick(0.0, 0.1, 0.4),
        face_cut_limit_mm=dice.pick(0.0, 0.3),
        tip_grind_limit_mm=dice.pick(0.0, 0.25),
        shims_mm=(0.381, 0.762) if dice.chance(0.4) else (),
        most_shims_count=int(dice.pick(1, 2)),
        washers_mm=(0.1, 0.25) if dice.chance(0.5) else (),
        most_washers_count=2,
        largest_tilt_ratio=0.0005 if tilt else 0.0,
        u_deck_cut_mm=dice.pick(0.0, 0.005),
        u_seat_cut_mm=dice.pick(0.0, 0.008),
    )


def _prices(dice: _Dice) -> Prices:
    free = dice.chance(0.1)
    return Prices(
        labour_per_hour=0.0 if free else 95.0,
        deck_min=dice.pick(5.0, 45.0),
        seat_min=dice.pick(8.0, 20.0),
        face_min=5.0,
        tip_min=4.0,
        shim_min=2.0,
        shim=0.8,
        washer_min=3.0,
        washer=1.5,
        valve_intake=dice.pick(8.0, 38.0) if dice.chance(0.4) else None,
        valve_exhaust=46.0 if dice.chance(0.4) else None,
        insert=14.0 if dice.chance(0.4) else None,
        insert_min=15.0,
        guide=9.0 if dice.chance(0.6) else None,
        guide_min=10.0,
        new_valve_margin_mm=1.6,
        insert_stock_mm=dice.pick(0.3, 1.5),
    )
