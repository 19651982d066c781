"""The bench as its page shows it: rows in walking order, the deck as the map, the entry panel."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.phrases import reading_phrase, subject
from castworthy.calc.decision.words import (
    limit_sentence,
    remedy_sentence,
    short_verdict,
    verdict_sentence,
)
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.records.lookups.gauges import GaugeFacts
from castworthy.records.lookups.measure import MeasurePage
from castworthy.records.standing import SpotStanding
from castworthy.units import Show
from castworthy.web.contexts.figures import Figure, figure_of, measure_link, place_note

SIDES = (("below", "below"), ("flush", "flush"), ("above", "above"))
_USUAL_SIDE = {Quantity.RECESSION: "below", Quantity.INJECTOR_PROTRUSION: "above"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRow:
    """One place of the run sheet."""

    place: str
    short: str
    label: str
    note: str
    limit: str
    figure: Figure | None
    verdict: str
    words: str
    bar: SafeString
    readings_count: int
    history_count: int
    needed: bool
    stale: bool
    address: str
    history_address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeChoice:
    """A gauge with the line that tells what it is worth."""

    name: str
    line: str
    overdue: bool
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLine:
    """One quantity of the run sheet."""

    title: str
    count: str
    out_count: int
    address: str
    shown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Everything the bench page and its parts show."""

    tag: str
    title: str
    heading: str
    rows: tuple[BenchRow, ...]
    run: tuple[RunLine, ...]
    quantity: str
    place: str
    unit: str
    sides: tuple[tuple[str, str], ...]
    side: str
    gauges: tuple[GaugeChoice, ...]
    map: SafeString
    map_phone: SafeString
    complete: bool
    missing_count: int


def bench_of(page: MeasurePage, *, show: Show) -> Bench:
    """The bench of one head at one quantity."""
    facts = FACTS[page.quantity]
    limits = {row.limit for row in page.rows if row.limit is not None}
    said = "; ".join(dict.fromkeys(limit_sentence(limit, show=show) for limit in limits))
    return Bench(
        tag=page.tag,
        title=facts.title,
        heading=said or "the sheet sets no limit",
        rows=tuple(row_of(page, row, show=show) for row in page.rows),
        run=_run(page),
        quantity=page.quantity.value,
        place=page.spot.place if page.spot else (page.rows[0].place if page.rows else ""),
        unit=page.unit,
        sides=SIDES if page.sided else (),
        side=_USUAL_SIDE.get(page.quantity, ""),
        gauges=tuple(_gauge(gauge, chosen=gauge.name == page.gauge) for gauge in page.gauges),
        map=deck_map(page, show=show),
        map_phone=deck_map(page, show=show, compact=True),
        complete=not page.standing.missing,
        missing_count=len(page.standing.missing),
    )


def row_of(page: MeasurePage, row: SpotStanding, *, show: Show) -> BenchRow:
    """One place with its figure, its verdict and its bar."""
    quantity = row.quantity
    judged = row.judgement if row.read else None
    words = "measure again" if row.stale else "not measured"
    if judged is not None:
        words = short_verdict(judged, show=show)
    elif row.read:
        words = "follows from the spring height" if row.derived else "no limit"
    return BenchRow(
        place=row.place,
        short=row.place or "the head",
        label=subject(quantity, place=row.place),
        note=place_note(page.sheet, quantity=quantity, place=row.place),
        limit=limit_sentence(row.limit, show=show) if row.limit else "the sheet sets no limit",
        figure=None if row.value is None else figure_of(quantity, value=row.value, show=show),
        verdict=row.verdict.value,
        words=words,
        bar=_bar(row, show=show),
        readings_count=len(row.current),
        history_count=len(row.history),
        needed=not row.read and not row.derived,
        stale=row.stale,
        address=measure_link(page.tag, quantity=quantity, place=row.place),
        history_address=_history_link(page.tag, row),
    )


def sentences_of(row: SpotStanding, *, show: Show) -> tuple[str, ...]:
    """What a place's standing means, and what would settle it."""
    if row.judgement is None or row.value is None:
        if row.value is None:
            return ()
        phrase = reading_phrase(row.value, quantity=row.quantity, show=show)
        return (f"{subject(row.quantity, place=row.place)}: {phrase}.",)
    said = (
        verdict_sentence(row.judgement, show=show),
        remedy_sentence(row.judgement, show=show),
    )
    return tuple(sentence for sentence in said if sentence)


def deck_map(page: MeasurePage, *, show: Show, compact: bool = False) -> SafeString:
    """The deck with what is known of the quantity, what is next ringed."""
    marks = [
        DeckMark(
            quantity=row.quantity,
            place=row.place,
            verdict=row.verdict,
            text=_map_text(row, show=show),
            href=measure_link(page.tag, quantity=row.quantity, place=row.place),
            ringed=page.spot is not None and row.place == page.spot.place,
            stale=row.stale,
        )
        for row in page.rows
    ]
    drawn = deck_plan(page.sheet, marks=marks, compact=compact, show=None if compact else show)
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes


def _map_text(row: SpotStanding, *, show: Show) -> str:
    if row.value is None:
        return row.place
    suffix = FACTS[row.quantity].suffix
    return show.number(
        row.value, suffix=suffix, difference=row.quantity is not Quantity.HEAD_HEIGHT
    )


def _bar(row: SpotStanding, *, show: Show) -> SafeString:
    if row.limit is None:
        return SafeString("")
    marks = ()
    if row.value is not None:
        judgement = row.judgement
        verdict = row.verdict if judgement is None else judgement.verdict
        marks = (BarMark(value=row.value, u=row.u, verdict=verdict, solid=not row.stale),)
    limit = row.limit
    bar = LimitBar(
        low=limit.low,
        high=limit.high,
        aim=limit.aim,
        marks=marks,
        suffix=FACTS[row.quantity].suffix,
        show=show,
    )
    return mark_safe(limit_bar(bar))  # noqa: S308 - drawn by castworthy.charts, which escapes


def _run(page: MeasurePage) -> tuple[RunLine, ...]:
    lines = [
        RunLine(
            title=count.title,
            count=f"{count.read_count} / {count.places_count}",
            out_count=count.outside_count,
            address=measure_link(page.tag, quantity=count.quantity),
            shown=count.quantity is page.quantity,
        )
        for count in page.counts
    ]
    lines += [
        RunLine(
            title=other.title,
            count="not asked for",
            out_count=0,
            address=measure_link(page.tag, quantity=other.quantity),
            shown=other.quantity is page.quantity,
        )
        for other in page.others
    ]
    return tuple(lines)


def _gauge(gauge: GaugeFacts, *, chosen: bool) -> GaugeChoice:
    until = ""
    if gauge.overdue:
        until = ", its calibration has run out"
    elif gauge.calibrated_until:
        until = f", calibrated to {gauge.calibrated_until:%-d %b %Y}"
    about = f"{gauge.reads}, " if gauge.reads else ""
    line = f"{about}standard uncertainty {gauge.u:g} {gauge.unit}{until}."
    return GaugeChoice(
        name=gauge.name, line=line[:1].upper() + line[1:], overdue=gauge.overdue, chosen=chosen
    )


def _history_link(tag: str, row: SpotStanding) -> str:
    query = urlencode({"quantity": row.quantity.value, "place": row.place})
    return f"{reverse('measure-history', args=[tag])}?{query}"
