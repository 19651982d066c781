"""The limits of a sheet in words."""

from dataclasses import dataclass

from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.decision.words import limit_sentence
from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.quantity import FACTS
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitLine:
    """One limit: what it is of, what is allowed, where to aim, how it decides, who says so."""

    title: str
    words: str
    aim: str
    rule: str
    source: str


def limit_lines(sheet: HeadSheet, *, show: Show) -> tuple[LimitLine, ...]:
    """Every limit of the sheet, as the person reads lengths."""
    return tuple(_line(limit, show=show) for limit in sheet.limits)


def _line(limit: Limit, *, show: Show) -> LimitLine:
    aim = limit.aim
    return LimitLine(
        title=_title(limit, show=show),
        words=limit_sentence(limit, show=show),
        aim="" if aim is None else reading_phrase(aim, quantity=limit.quantity, show=show),
        rule=limit.rule.value,
        source=limit.source,
    )


def _title(limit: Limit, *, show: Show) -> str:
    title = FACTS[limit.quantity].title
    if limit.valve_kind is not None:
        title = f"{title}, {limit.valve_kind.value}"
    if limit.span_mm is not None:
        title = f"{title} over {show.value(limit.span_mm, suffix='mm')}"
    return title
