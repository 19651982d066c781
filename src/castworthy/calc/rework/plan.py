"""The plan: the least work that brings every limit of a head in at once."""

from collections.abc import Collection, Sequence
from math import inf, isfinite

import numpy as np

from castworthy.calc.deck.derive import form_readings
from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet, Reading, Rule
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.build import build_model
from castworthy.calc.rework.conflict import ConflictSearch
from castworthy.calc.rework.finish import Draws, Finish
from castworthy.calc.rework.model import Model
from castworthy.calc.rework.polish import polished
from castworthy.calc.rework.problem import SLACK, Bound, bounds_of, guard_factor
from castworthy.calc.rework.relief import reliefs
from castworthy.calc.rework.results import NoPlan, Objective, Plan
from castworthy.calc.rework.search import Search, Span

SEED_COUNT = 20251
"""Seed of the odds when no generator is passed: the same head always shows the same odds."""


def make_plan(
    sheet: HeadSheet,
    *,
    readings: Sequence[Reading],
    objective: Objective = Objective.COST,
    fixed_deck_cut_mm: float | None = None,
    rings_owed: Collection[str] = (),
    rng: np.random.Generator | None = None,
    draws_count: int = 4000,
) -> Plan | NoPlan | Refused:
    """Find the work that brings every limit in and is best by an objective.

    Parameters
    ----------
    sheet : HeadSheet
        Limits, work rules and prices.
    readings : sequence of Reading
        What was measured, each (quantity, place) at most once, in the units of the quantities.
    objective : Objective
        ``COST``: least minutes times labour plus parts, ties to the smaller deck cut.
        ``DECK``: least deck cut, then cheapest.  ``SUREST``: largest smallest margin in its own
        standard uncertainty, then cheapest, then the smaller deck cut.
    fixed_deck_cut_mm : float, optional
        Holds the deck cut at this depth [mm], >= 0; 0 is no deck cut.
    rings_owed : collection of str
        Cylinders whose ring groove a deck cut made shallower and nobody recut since: they are
        recut and take a new ring in every plan.
    rng : Generator, optional
        Draws the odds; by default a generator of fixed seed 20251.
    draws_count : int
        Number of draws for the odds [-], > 0.

    Returns
    -------
    Plan, NoPlan or Refused
        Flatness follows from the heights where it was not read itself.  Limits are tightened by
        the normal quantile of the sheet's confidence times the predicted standard uncertainty,
        those under the simple rule are not.  A head that needs nothing has an empty plan whatever
        the objective.  ``Refused`` when there is nothing to
        plan on.

    Raises
    ------
    InputError
        If a reading is given twice, is read at no place of the sheet or is not a finite
        number, or an argument is out of its range.

    References
    ----------
    DOMAIN sections 3, 4 and 10; JCGM 106:2012, 8.3 (guarded acceptance); the arithmetic of the
    cuts is common practice, no source.

    """
    _check(sheet, readings=readings)
    _check_rings(sheet, rings_owed=rings_owed)
    _check_numbers(fixed_deck_cut_mm=fixed_deck_cut_mm, draws_count=draws_count)
    refused = _refused(sheet, readings=readings)
    if refused is not None:
        return refused
    readings = (*readings, *form_readings(sheet, readings=readings))
    model = build_model(sheet, readings=readings, rings_owed=rings_owed)
    draws = Draws(rng=np.random.default_rng(SEED_COUNT) if rng is None else rng, count=draws_count)
    planner = Planner(model, draws=draws, fixed_mm=fixed_deck_cut_mm)
    return planner.plan(objective) or planner.no_plan(objective)


class Planner:
    """Plans one head once its model is laid out."""

    def __init__(self, model: Model, *, draws: Draws, fixed_mm: float | None) -> None:
        """Lay the limits out; nothing is searched yet."""
        self.model = model
        self.draws = draws
        self.fixed_mm = fixed_mm
        self.bounds = bounds_of(model)

    def plan(self, objective: Objective, *, guarded: bool = True) -> Plan | None:
        """The best plan, or ``None``."""
        search = Search(self.model, bounds=self.bounds, guarded=guarded, fixed_mm=self.fixed_mm)
        if not self.fixed_mm and stands(self.model, bounds=self.bounds, guarded=guarded):
            x = np.zeros(len(self.model.columns.cost))
        else:
            answer = search.answer(objective)
            if answer is None:
                return None
            x = polished(self.model, answer=answer)
        finish = Finish(self.model, x, guarded=guarded)
        span = search.span or Span(low_mm=0.0, high_mm=0.0)
        return finish.plan(objective=objective, span=span, draws=self.draws)

    def no_plan(self, objective: Objective) -> NoPlan:
        """Why there is no plan, what would free the head, and the surest by bare limits."""
        fixed = self.fixed_mm
        search = ConflictSearch(
            self.model,
            low_mm=0.0 if fixed is None else fixed,
            high_mm=inf if fixed is None else fixed,
        )
        members = search.smallest() or frozenset()
        return NoPlan(
            objective=objective,
            conflict=tuple(search.named(index) for index in sorted(members)),
            relief=reliefs(search, members=sorted(members)),
            surest=self.plan(Objective.SUREST, guarded=False),
        )


def stands(model: Model, *, bounds: tuple[Bound, ...], guarded: bool) -> bool:
    """True when the head as read keeps every limit without any work."""
    k = guard_factor(model) if guarded else 0.0
    if model.owed:
        return False
    for bound in bounds:
        if bound.row is None:
            return False
        row = model.rows[bound.row]
        guard = k * (row.u or 0.0) if row.limit and row.limit.rule is Rule.GUARDED else 0.0
        room = bound.limit - row.value if bound.side == "high" else row.value - bound.limit
        if room - guard < -SLACK:
            return False
    return True


def _refused(sheet: HeadSheet, *, readings: Sequence[Reading]) -> Refused | None:
    if not sheet.limits:
        return Refused(
            code="no-limits",
            reason=f"Sheet {sheet.code} has no limit to plan by.",
            remedy="Write its limits down first.",
        )
    if not any(sheet.limit_for(r.quantity, place=r.place) for r in readings):
        return Refused(
            code="nothing-measured",
            reason="Nothing that the sheet limits has been measured on this head.",
            remedy="Measure it first.",
        )
    return None


def _check(sheet: HeadSheet, *, readings: Sequence[Reading]) -> None:
    sites = {quantity: set(sheet.sites_of(quantity)) for quantity in Quantity}
    seen: set[tuple[Quantity, str]] = set()
    for reading in readings:
        site = (reading.quantity, reading.place)
        if reading.place not in sites[reading.quantity]:
            raise InputError(
                f"{reading.quantity} cannot be read at {reading.place!r}: sheet {sheet.code} has "
                "no such place."
            )
        if site in seen:
            raise InputError(
                f"{reading.quantity} at {reading.place!r} is given twice; average repeats first."
            )
        if not isfinite(reading.value) or not (reading.u is None or 0.0 <= reading.u < 1e9):
            raise InputError(
                f"{reading.quantity} at {reading.place!r} needs a finite value and u >= 0 "
                f"(got {reading.value} with u {reading.u})."
            )
        seen.add(site)
    if not 0.5 < sheet.work.confidence_probability < 1.0:
        raise InputError(
            "confidence_probability must lie between 0.5 and 1 "
            f"(got {sheet.work.confidence_probability})."
        )


def _check_rings(sheet: HeadSheet, *, rings_owed: Collection[str]) -> None:
    unknown = sorted(set(rings_owed) - {each.name for each in sheet.cylinders})
    if unknown:
        raise InputError(
            f"rings_owed must name cylinders of sheet {sheet.code} (got {', '.join(unknown)})."
        )


def _check_numbers(*, fixed_deck_cut_mm: float | None, draws_count: int) -> None:
    if fixed_deck_cut_mm is not None and not 0.0 <= fixed_deck_cut_mm < 1e6:
        raise InputError(f"fixed_deck_cut_mm must be 0 or more (got {fixed_deck_cut_mm}).")
    if draws_count < 1:
        raise InputError(f"draws_count must be 1 or more (got {draws_count}).")
