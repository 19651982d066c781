"""Another deck cut, tried: what it would need and what it would break.  Nothing is stored."""

from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.plan import make_plan
from castworthy.calc.rework.results import NoPlan, Objective, Plan
from castworthy.records.predicted import readings_for_plan
from castworthy.records.ring_work import rings_owed
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for

DRAWS_COUNT = 1000
"""Enough for odds to a per cent while a slider moves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """The cheapest work with the deck cut held at ``depth_mm`` (0: no deck cut)."""

    depth_mm: float
    sheet: HeadSheet
    answer: Plan | NoPlan | Refused


def try_deck_cut(tag: str, *, depth_mm: float) -> Trial:
    """Plan a head with another deck cut.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet = sheet_for(head)
    answer = make_plan(
        sheet,
        readings=readings_for_plan(head, sheet=sheet),
        objective=Objective.COST,
        fixed_deck_cut_mm=depth_mm,
        rings_owed=rings_owed(head, sheet=sheet),
        draws_count=DRAWS_COUNT,
    )
    return Trial(depth_mm=depth_mm, sheet=sheet, answer=answer)
