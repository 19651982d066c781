"""The finish page as it is shown: limits, what decides, every trace with its cause, the cure."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import limit_sentence, short_verdict, verdict_sentence
from castworthy.calc.head import HeadSheet, Limit, ToleranceRule
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.texture.feed import FeedAdvice
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.records.finish_words import (
    cause_of,
    conditions_of,
    cure_words,
    feed_words,
    in_units_of,
    parameters_of,
    past_of,
    trace_about,
    warnings_of,
)
from castworthy.records.lookups.finish import Cure, FinishPage, JudgedTrace, judged_trace
from castworthy.records.traces import Decides, Face
from castworthy.units import Show

CHARTS = ("profile", "ratio", "spectrum")


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidingRow:
    """One finish limit with the value that decides it."""

    title: str
    figure: str
    words: str
    sentence: str
    verdict: str
    bar: SafeString
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceValue:
    """One judged value of a trace."""

    symbol: str
    figure: str
    verdict: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceCard:
    """One trace as its card shows it."""

    uuid: str
    title: str
    about: str
    counts: bool
    past: str
    verdict: str
    values: tuple[TraceValue, ...]
    cause: str
    kind: str
    conditions: str
    warnings: tuple[str, ...]
    parameters: tuple[tuple[str, str], ...]
    charts: tuple[str, ...]
    file_address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CureCard:
    """The feed to set, with what it rests on."""

    wanted: str
    sentence: str
    cautions: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    options: tuple[tuple[str, str, str], ...]
    refused: str
    machine: str
    nose: str
    turning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """Everything the page shows."""

    limits: tuple[str, ...]
    rule: str
    deck: tuple[DecidingRow, ...]
    block: tuple[DecidingRow, ...]
    traces: tuple[TraceCard, ...]
    map: SafeString
    map_phone: SafeString
    cure: CureCard | None
    length_words: str


def finish_of(page: FinishPage, *, place: str = "", show: Show) -> Finish:
    """The page of one head; ``place`` is the one about to be traced."""
    return Finish(
        limits=tuple(
            f"{FACTS[limit.quantity].title} {limit_sentence(limit, show=show)}"
            for limit in page.limits
        ),
        rule=_rule(page.sheet),
        deck=tuple(_decides(each, page=page, show=show) for each in page.deck),
        block=tuple(_decides(each, page=page, show=show) for each in page.block),
        traces=tuple(trace_card(each, show=show) for each in page.traces),
        map=_map(page, place=place, show=show, compact=False),
        map_phone=_map(page, place=place, show=show, compact=True),
        cure=None if page.cure is None else cure_card(page.cure, show=show),
        length_words="millimetres" if show.metric else "inches",
    )


def trace_card(judged: JudgedTrace, *, show: Show) -> TraceCard:
    """One trace: its values, what made the surface, how it was evaluated."""
    trace, result = judged.trace, judged.trace.result
    return TraceCard(
        uuid=str(trace.uuid),
        title=trace.place or ("the deck" if trace.face == Face.DECK else "the block"),
        about=trace_about(judged, show=show),
        counts=trace.counts,
        past=past_of(judged),
        verdict=judged.verdict.value if trace.counts else Verdict.MISSING.value,
        values=tuple(_value(each, show=show) for each in judged.judgements),
        cause=cause_of(judged, show=show),
        kind=result["made_by"]["kind"],
        conditions=conditions_of(judged, show=show),
        warnings=warnings_of(judged, show=show),
        parameters=parameters_of(judged, show=show),
        charts=tuple(reverse("trace-chart", args=[trace.uuid, name]) for name in CHARTS),
        file_address=reverse("trace-file", args=[trace.uuid]),
    )


def cure_card(cure: Cure, *, show: Show) -> CureCard:
    """The feed to set, in the reader's units."""
    wanted = reading_phrase(cure.ra_um, quantity=Quantity.FINISH_RA, show=show)
    common = {
        "wanted": wanted,
        "machine": cure.machine,
        "nose": show.value(cure.nose_mm, suffix="mm"),
        "turning": "" if cure.turning_rpm is None else f"{cure.turning_rpm:g} rpm",
    }
    if isinstance(cure.advice, Refused):
        return CureCard(
            **common,
            sentence="",
            cautions=(),
            facts=(),
            options=(),
            refused=in_units_of(cure.advice.sentence, show=show),
        )
    return CureCard(
        **common,
        sentence=cure_words(cure, show=show),
        cautions=tuple(in_units_of(each, show=show) for each in cure.advice.cautions),
        facts=_cure_facts(cure.advice, show=show),
        options=tuple(
            (
                show.value(option.nose_mm, suffix="mm"),
                feed_words(option.feed_mm, show=show),
                show.value(option.ideal_rt_um, suffix="um"),
            )
            for option in cure.advice.options
        ),
        refused="",
    )


def _cure_facts(advice: FeedAdvice, *, show: Show) -> tuple[tuple[str, str], ...]:
    facts = [("Feed a turn", feed_words(advice.feed_mm, show=show))]
    if advice.table_mm_per_min is not None:
        speed = advice.table_mm_per_min if show.metric else advice.table_mm_per_min / 25.4
        facts.append(("Table", f"{speed:.3g} {'mm' if show.metric else 'in'} a minute"))
    if advice.pass_min is not None:
        facts.append(("The pass", f"{advice.pass_min:.1f} min"))
    facts.append(("Ideal Rt", show.value(advice.ideal_rt_um, suffix="um")))
    if advice.interval_um is not None:
        low, high = (show.number(each, suffix="um") for each in advice.interval_um)
        facts.append(("Ra to expect", f"{low} to {high} {show.unit('um')}"))
    return tuple(facts)


def _rule(sheet: HeadSheet) -> str:
    if sheet.work.finish_rule is ToleranceRule.SIXTEEN:
        return "One value in six may exceed a limit (16 % rule)."
    return "No value may exceed a limit (max rule)."


def _decides(found: Decides, *, page: FinishPage, show: Show) -> DecidingRow:
    judged = next(
        each
        for each in judged_trace(found.trace, sheet=page.sheet).judgements
        if each.quantity is found.quantity
    )
    where = found.trace.place or found.trace.file_name
    about = f"from the trace {where}" if found.traces_count == 1 else ""
    return DecidingRow(
        title=FACTS[found.quantity].title,
        figure=reading_phrase(found.value_um, quantity=found.quantity, show=show),
        words=short_verdict(judged, show=show),
        sentence=verdict_sentence(judged, show=show),
        verdict=judged.verdict.value,
        bar=finish_bar(judged, limit=found.limit, show=show),
        about=about or f"{where} decides of {found.traces_count} traces",
    )


def finish_bar(judged: Judgement, *, limit: Limit, show: Show) -> SafeString:
    """The limit bar of a finish value."""
    bar = LimitBar(
        low=limit.low,
        high=limit.high,
        aim=limit.aim,
        marks=(BarMark(value=judged.value or 0.0, u=judged.u, verdict=judged.verdict),),
        suffix="um",
        show=show,
        title=limit_sentence(limit, show=show),
    )
    return mark_safe(limit_bar(bar))  # noqa: S308 - drawn by castworthy.charts, which escapes


def _value(judged: Judgement, *, show: Show) -> TraceValue:
    return TraceValue(
        symbol=FACTS[judged.quantity].title,
        figure=reading_phrase(judged.value or 0.0, quantity=judged.quantity, show=show),
        verdict=judged.verdict.value,
        words=short_verdict(judged, show=show),
    )


def _map(page: FinishPage, *, place: str, show: Show, compact: bool) -> SafeString:
    """The deck with what the traces say where they were taken, and the places still bare."""
    marks = []
    limited = {limit.quantity for limit in page.limits}
    shown = Quantity.FINISH_RA if Quantity.FINISH_RA in limited or not limited else min(limited)
    done: dict[str, JudgedTrace] = {}
    for judged in page.traces:
        trace = judged.trace
        if trace.face == Face.DECK and trace.x_mm is not None and not trace.set_aside:
            done.setdefault(trace.place, judged)
    spots = {each.name: (each.x_mm, each.y_mm) for each in page.places}
    for judged in done.values():
        trace = judged.trace
        spots.setdefault(trace.place, (trace.x_mm or 0.0, trace.y_mm or 0.0))
    for name, spot_mm in spots.items():
        found = done.get(name)
        marks.append(
            DeckMark(
                quantity=shown,
                place=name,
                verdict=found.verdict if found else Verdict.MISSING,
                text="" if found is None else show.number(found.trace.value_um[shown], suffix="um"),
                href=f"{reverse('finish', args=[page.tag])}?{urlencode({'place': name})}#take",
                ringed=name == place,
                stale=found is not None and not found.trace.counts,
                spot_mm=spot_mm,
            )
        )
    drawn = deck_plan(page.sheet, marks=marks, compact=compact, show=None if compact else show)
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes
