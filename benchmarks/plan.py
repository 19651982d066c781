"""The plan of a 32-valve head with 60 height points, beside a textbook formulation by scipy's milp.

Prints the median of each objective, of the slider's question and of a plain mixed-integer
program of the same head (no uncertainty nesting, no span, no odds, one branch): what the
planner's extra answers cost.  The target is 0.1 s for one plan on two cores.
"""

import time
from collections.abc import Callable
from statistics import median

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from castworthy.calc.head import (
    Cylinder,
    HeadSheet,
    Limit,
    Material,
    Place,
    PlaceKind,
    Prices,
    Reading,
    Valve,
    ValveKind,
    WorkRules,
)
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import Objective

ROUNDS = 15
CYLINDERS = 8
HEIGHTS = 60
Q = Quantity


def sheet() -> HeadSheet:
    """Eight cylinders of four valves, 60 height points, eight limits."""
    cylinders, valves, places = [], [], []
    for number in range(CYLINDERS):
        x = 90.0 + 140.0 * number
        cylinders.append(Cylinder(name=str(number + 1), x_mm=x, y_mm=110.0, bore_mm=110.0))
        for at, (dx, dy) in enumerate(((-20, 20), (20, 20), (-20, -20), (20, -20))):
            valves.append(
                Valve(
                    name=f"{number + 1}{'ABCD'[at]}",
                    cylinder=str(number + 1),
                    kind=ValveKind.INTAKE if at < 2 else ValveKind.EXHAUST,
                    x_mm=x + dx,
                    y_mm=110.0 + dy,
                    head_diameter_mm=37.0,
                )
            )
        places.append(Place(name=f"T{number + 1}", kind=PlaceKind.THICKNESS, x_mm=x, y_mm=30.0))
    for at in range(HEIGHTS):
        x, y = 20.0 + 73.0 * (at % 15), 15.0 + 60.0 * (at // 15)
        places.append(Place(name=f"H{at + 1}", kind=PlaceKind.HEIGHT, x_mm=x, y_mm=y))
    return HeadSheet(
        code="B32",
        title="Eight cylinders, 32 valves",
        material=Material.GREY_IRON,
        source="invented",
        outline_mm=((0, 0), (1160, 0), (1160, 220), (0, 220)),
        cylinders=tuple(cylinders),
        valves=tuple(valves),
        places=tuple(places),
        limits=(
            Limit(quantity=Q.RECESSION, low=0.83, high=1.18, aim=1.0),
            Limit(quantity=Q.DECK_THICKNESS, low=11.0),
            Limit(quantity=Q.HEAD_HEIGHT, low=129.7, high=130.4),
            Limit(quantity=Q.TIP_HEIGHT, low=54.0, high=55.4),
            Limit(quantity=Q.SPRING_HEIGHT, low=44.8, high=45.8),
            Limit(quantity=Q.MARGIN, low=1.1),
            Limit(quantity=Q.INJECTOR_PROTRUSION, low=1.6, high=2.0),
            Limit(quantity=Q.FLATNESS, high=0.05),
        ),
        work=WorkRules(shims_mm=(0.38, 0.76, 1.52), washers_mm=(0.25, 0.5)),
        prices=Prices(
            labour_per_hour=95,
            deck_min=45,
            seat_min=8,
            face_min=5,
            tip_min=4,
            shim_min=2,
            shim=0.8,
            washer_min=3,
            washer=1.2,
            valve_intake=38,
            valve_exhaust=46,
            insert=14,
            insert_min=15,
            new_valve_margin_mm=1.52,
            insert_stock_mm=1.52,
            new_casting=1140,
        ),
    )


def readings(head: HeadSheet, *, rng: np.random.Generator) -> tuple[Reading, ...]:
    """A head with a wavy deck and valves that lie too deep and too high."""

    def read(quantity: Quantity, place: str, value: float, u: float) -> Reading:
        return Reading(quantity=quantity, place=place, value=float(value), u=u)

    rows = [read(Q.HEAD_HEIGHT, "", 130.2, 0.01), read(Q.FLATNESS, "", 0.08, 0.005)]
    for valve in head.valves:
        rows += [
            read(Q.RECESSION, valve.name, rng.normal(1.08, 0.11), 0.01),
            read(Q.TIP_HEIGHT, valve.name, rng.normal(54.7, 0.1), 0.01),
            read(Q.SPRING_HEIGHT, valve.name, rng.normal(45.3, 0.1), 0.02),
            read(Q.MARGIN, valve.name, rng.normal(1.35, 0.03), 0.02),
        ]
    for cylinder in head.cylinders:
        rows.append(read(Q.INJECTOR_PROTRUSION, cylinder.name, rng.normal(1.78, 0.04), 0.01))
    for place in head.places:
        if place.kind is PlaceKind.THICKNESS:
            rows.append(read(Q.DECK_THICKNESS, place.name, rng.normal(11.6, 0.05), 0.05))
        else:
            rows.append(read(Q.HEIGHT, place.name, rng.normal(0.0, 0.01), 0.002))
    return tuple(rows)


def textbook(head: HeadSheet, taken: tuple[Reading, ...]) -> float:
    """Deck cut and seat cuts against recession only, all in one plain program; its cost."""
    depth = {r.place: r.value for r in taken if r.quantity is Q.RECESSION}
    names = list(depth)
    n = len(names)
    low, high, most = 0.83, 1.18, head.work.seat_depth_left_mm
    rate = head.prices.labour_per_hour / 60
    cost = np.concatenate([[0.0, rate * 45], np.full(n, rate * 8), np.zeros(n)])
    rows, floor, ceiling = [], [], []
    for at, name in enumerate(names):
        row = np.zeros(2 + 2 * n)
        row[0], row[2 + n + at] = -1.0, 1.0
        rows.append(row)
        floor.append(low - depth[name])
        ceiling.append(high - depth[name])
        used = np.zeros(2 + 2 * n)
        used[2 + n + at], used[2 + at] = 1.0, -most
        rows.append(used)
        floor.append(-np.inf)
        ceiling.append(0.0)
    cut = np.zeros(2 + 2 * n)
    cut[0], cut[1] = 1.0, -2.0
    rows.append(cut)
    floor.append(-np.inf)
    ceiling.append(0.0)
    answer = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), floor, ceiling),
        bounds=Bounds(0, np.concatenate([[2.0, 1.0], np.ones(n), np.full(n, most)])),
        integrality=np.concatenate([[0, 1], np.ones(n), np.zeros(n)]),
    )
    return float(answer.fun)


def timed(deed: Callable[[], object]) -> float:
    """Median milliseconds over the rounds."""
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        deed()
        taken.append((time.perf_counter() - start) * 1e3)
    return median(taken)


def main() -> None:
    """Measure and print."""
    head = sheet()
    taken = readings(head, rng=np.random.default_rng(7))
    first = make_plan(head, readings=taken)
    print(f"{len(head.valves)} valves, {HEIGHTS} height points, plan found: {bool(first)}")
    for objective in Objective:
        ms = timed(lambda objective=objective: make_plan(head, readings=taken, objective=objective))
        print(f"  {objective.value:<8} {ms:8.1f} ms")
    depth = first.deck.depth_mm if first and first.deck else 0.1
    ms = timed(
        lambda: make_plan(head, readings=taken, fixed_deck_cut_mm=depth + 0.01, draws_count=1000)
    )
    print(f"  slider   {ms:8.1f} ms")
    print(f"  textbook {timed(lambda: textbook(head, taken)):8.1f} ms (recession alone)")


if __name__ == "__main__":
    main()
