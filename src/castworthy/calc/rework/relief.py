"""What would free an impossible head: a limit that gives, or parts that are not on offer."""

from collections.abc import Iterable
from dataclasses import replace

from castworthy.calc.head import Prices
from castworthy.calc.rework.build import build_model
from castworthy.calc.rework.conflict import ConflictSearch
from castworthy.calc.rework.model import Model
from castworthy.calc.rework.problem import Bounds, bounds_of
from castworthy.calc.rework.results import Objective, Relief
from castworthy.calc.rework.search import Search
from castworthy.units.phrase import listed

USUAL_INSERT_STOCK_MM = 1.524
"""Stock a new insert is taken to bring where the sheet names none (60 thou, DOMAIN's example)."""


def reliefs(search: ConflictSearch, *, members: Bounds) -> tuple[Relief, ...]:
    """Every way found to free a head whose conflict has those members.

    First each limit that frees it alone; where none does, the limits that must give together;
    then parts that are not on offer.
    """
    alone = [relief for index in members if (relief := _give(search, index)) is not None]
    if not alone:
        alone = list(_give_together(search))
    return (*alone, *_parts(search))


def _give(search: ConflictSearch, index: int) -> Relief | None:
    given = search.give((index,))
    if given is None:
        return None
    return _relief(search, index, given.get(index, 0.0))


def _give_together(search: ConflictSearch) -> Iterable[Relief]:
    given = search.give(range(len(search.bounds))) or {}
    for index, amount in given.items():
        yield replace(_relief(search, index, amount), together=len(given) > 1)


def _relief(search: ConflictSearch, index: int, amount: float) -> Relief:
    bound = search.bounds[index]
    if bound.trigger is not None:
        reading = next(
            r
            for r in search.model.readings
            if r.quantity is bound.quantity and r.place == bound.place
        )
        amount = abs(reading.value - bound.limit) + search.guard.factor * (reading.u or 0.0)
    return Relief(quantity=bound.quantity, place=bound.place, needed=amount, bound=bound.side)


def _parts(search: ConflictSearch) -> Iterable[Relief]:
    """Parts not on offer that would free the head: one kind alone, else all kinds together."""
    prices = search.model.sheet.prices
    missing = _missing_parts(prices)
    tries = [{name: value} for name, value in missing.items()]
    found = [named for one in tries if (named := _with_parts(search, one))]
    if not found and len(missing) > 1:
        found = [named for named in (_with_parts(search, missing),) if named]
    for named in found:
        yield Relief(quantity=None, place="", needed=None, parts=named)


def _missing_parts(prices: Prices) -> dict[str, float]:
    wanted = ["insert"] if prices.insert is None or prices.insert_stock_mm is None else []
    if prices.guide is None:
        wanted.append("guide")
    if prices.new_valve_margin_mm is not None:
        wanted += [
            name for name in ("valve_intake", "valve_exhaust") if getattr(prices, name) is None
        ]
    return dict.fromkeys(wanted, 1.0)


def _with_parts(search: ConflictSearch, parts: dict[str, float]) -> str:
    """The fewest of those parts that free the head, named; empty when they do not."""
    sheet = search.model.sheet
    prices = sheet.prices
    offered = {
        name: 0.0
        for name in ("insert", "guide", "valve_intake", "valve_exhaust")
        if getattr(prices, name) is not None
    }
    counted = Prices(
        **{**offered, **parts},
        new_valve_margin_mm=prices.new_valve_margin_mm,
        insert_stock_mm=prices.insert_stock_mm or USUAL_INSERT_STOCK_MM,
    )
    model = build_model(
        replace(sheet, prices=counted),
        readings=search.model.readings,
        rings_owed=search.model.owed,
    )
    low, high = search.low_mm, search.high_mm
    fixed = low if low == high else None
    found = Search(
        model,
        bounds=bounds_of(model),
        guarded=search.guard.factor > 0.0,
        fixed_mm=fixed,
    ).answer(Objective.COST)
    if found is None:
        return ""
    return _named(model, {c for c in range(len(model.columns.cost)) if found.x[c] > 0.5}, parts)


def _named(model: Model, chosen: set[int], parts: dict[str, float]) -> str:
    places: dict[str, list[str]] = {"insert": [], "valve": [], "guide": []}
    for name, v in model.valves.items():
        if "insert" in parts and v.new_insert in chosen:
            places["insert"].append(name)
        if f"valve_{v.valve.kind.value}" in parts and v.new_valve in chosen:
            places["valve"].append(name)
        if "guide" in parts and v.new_guide in chosen:
            places["guide"].append(name)
    return " and ".join(
        f"new {part}s in {listed(tuple(at))}" if len(at) > 1 else f"a new {part} in {at[0]}"
        for part, at in places.items()
        if at
    )
