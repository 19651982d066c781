"""What breaks just below and just above the span of deck cuts that keeps every limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.rework.build import build_model
from castworthy.calc.rework.conflict import ConflictSearch
from castworthy.calc.rework.model import DEEPEST_CUT_MM
from castworthy.calc.rework.results import Conflict, Plan

_STEP_MM = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """The limits that exclude each other past each end of the span.

    ``None`` where the span has no such end (it begins without a deck cut, or nothing on the
    sheet stops a deeper one); empty where a rule of the work alone ends it.
    """

    below: tuple[Conflict, ...] | None
    above: tuple[Conflict, ...] | None


def span_edges(sheet: HeadSheet, *, readings: Sequence[Reading], plan: Plan) -> Edges:
    """Find what ends a plan's span of deck cuts.

    Parameters
    ----------
    sheet : HeadSheet
        The head's sheet.
    readings : sequence of Reading
        The readings the plan was made from, in the units of their quantities.
    plan : Plan
        The plan.

    References
    ----------
    No outside source.

    """
    low, high = plan.deck_cut_span_mm
    model = build_model(sheet, readings=readings)
    below: tuple[Conflict, ...] | None = None
    above: tuple[Conflict, ...] | None = None
    if low > 0.0:
        below = ConflictSearch(model, guarded=plan.guarded, high_mm=low - _STEP_MM).conflicts()
    if high < DEEPEST_CUT_MM - _STEP_MM:
        above = ConflictSearch(
            model, guarded=plan.guarded, low_mm=high + _STEP_MM, high_mm=inf
        ).conflicts()
    return Edges(below=below, above=above)
