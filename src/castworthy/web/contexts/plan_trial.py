"""Another deck cut than the plan's: the slider, and what would happen."""

from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.explain import conflict_sentences, odds_sentence
from castworthy.calc.rework.results import NoPlan, Plan
from castworthy.units import Show
from castworthy.web.contexts.plan_cards import Fact, percent
from castworthy.web.contexts.work_lines import work_summary
from castworthy.web.templatetags.castworthy import bench_time, money

_RAIL = 1000.0
_LEAST_REACH_MM = 0.1016
_DEEPEST_MM = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """The range and number field, figures in the person's unit.

    ``span_x`` and ``span_width`` are where the cuts that keep every limit lie on a rail of 1000.
    """

    unit: str
    value: str
    most: str
    step: str
    span_x: float
    span_width: float
    span_sentence: str
    answer: "Trial | None"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What a deck cut of that depth would do.  ``ending`` colours the sentence."""

    ending: str
    headline: str
    sentence: str
    facts: tuple[Fact, ...] = ()
    lines: tuple[str, ...] = ()


def slider_for(
    plan: Plan, *, sheet: HeadSheet, span_sentence: str, answer: Trial | None, show: Show
) -> Slider:
    """The slider of a plan: as far as the span and the sheet make sense."""
    low_mm, high_mm = plan.deck_cut_span_mm
    high_mm = min(high_mm, _DEEPEST_MM)
    depth_mm = plan.deck.depth_mm if plan.deck else 0.0
    unit = show.unit("mm", difference=True)
    most_mm = _most_mm(sheet, high_mm=high_mm, depth_mm=depth_mm)
    return Slider(
        unit=unit,
        value=show.number(depth_mm, suffix="mm", difference=True),
        most=show.number(most_mm, suffix="mm", difference=True),
        step="0.1" if unit == "thou" else "0.005",
        span_x=round(_RAIL * low_mm / most_mm, 1),
        span_width=round(max(_RAIL * (high_mm - low_mm) / most_mm, 0.0), 1),
        span_sentence=span_sentence,
        answer=answer,
    )


def trial_of(
    result: Plan | NoPlan | Refused, *, depth_mm: float, currency: str, show: Show
) -> Trial:
    """What came of trying a depth."""
    cut = show.value(depth_mm, suffix="mm", difference=True)
    taking = f"Taking {cut} off the deck" if depth_mm else "Leaving the deck as it is"
    if isinstance(result, Refused):
        return Trial(ending="close", headline="That cannot be judged.", sentence=result.sentence)
    if isinstance(result, NoPlan):
        first, *rest = conflict_sentences(result, show=show)
        return Trial(
            ending="outside",
            headline=f"{taking} breaks a limit.",
            sentence=first,
            lines=tuple(rest),
        )
    work = work_summary(result.work, show=show)
    return Trial(
        ending="inside" if result.guarded else "close",
        headline=f"{taking} keeps every limit." if result.guarded else f"{taking} is not sure.",
        sentence=f"Work: {work}." if work else "Nothing else has to be done.",
        facts=(
            Fact(name="Cost", value=money(result.cost, currency)),
            Fact(name="Bench time", value=bench_time(result.minutes)),
            Fact(name="Holds every limit", value=percent(result.probability)),
        ),
        lines=() if result.guarded else (odds_sentence(result),),
    )


def _most_mm(sheet: HeadSheet, *, high_mm: float, depth_mm: float) -> float:
    """Half as far again as the span, never past what the sheet's largest cut makes sensible."""
    reach = max(1.5 * high_mm, 1.25 * depth_mm, _LEAST_REACH_MM)
    largest = sheet.work.largest_deck_cut_mm
    return reach if largest is None else min(reach, max(1.25 * largest, _LEAST_REACH_MM))
