"""The bench as its page shows it: rows in walking order, the deck as the map, the entry panel."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.phrases import amount_phrase, reading_phrase, subject
from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.decision.words import (
    limit_sentence,
    remedy_sentence,
    short_verdict,
    verdict_sentence,
)
from castworthy.calc.deck.derive import FROM_HEIGHTS
from castworthy.calc.head import HeadSheet, Limit, Reading
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.rework.single import single_cut
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.records.lookups.gauges import GaugeFacts
from castworthy.records.lookups.measure import MeasurePage
from castworthy.records.standing import SpotStanding
from castworthy.records.traces import FINISH
from castworthy.units import Show, read_value
from castworthy.units.show import as_text
from castworthy.web.contexts.figures import Figure, figure_of, measure_link, place_note
from castworthy.web.contexts.plan import Link
from castworthy.web.contexts.sums.at_step import ways_of_quantity

SIDES = (("below", "below"), ("flush", "flush"), ("above", "above"))
_SAME = 1e-12
_MOST_CUT_MM = 2.54
"""Nobody takes 0.1 in off a head or a seat to save it (common practice, no source)."""
_TENTH_OF_AN_INCH = 2.54
_MAP_DIGITS = 3
_SIGNED = frozenset({Quantity.HEIGHT, Quantity.RING_STAND, Quantity.COIL_BIND})
_USUAL_SIDE = {Quantity.RECESSION: "below", Quantity.INJECTOR_PROTRUSION: "above"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRow:
    """One place of the run sheet."""

    key: str
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
    """One quantity of the run sheet; ``read_count`` of ``places_count`` places stand."""

    title: str
    read_count: int
    places_count: int
    out_count: int
    close_count: int
    address: str
    shown: bool
    asked: bool = True

    @property
    def complete(self) -> bool:
        """True when every place stands."""
        return self.asked and self.read_count == self.places_count


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Everything the bench page and its parts show.

    ``onward`` leads to the quantity that is read next once this one is complete; ``traced`` is
    True for what a surface trace gives, ``formed`` for what the deck's form gives, ``ringed``
    for the stand of a ring; ``sums`` lead to the sums of the quantity.
    """

    tag: str
    title: str
    heading: tuple[str, ...]
    rows: tuple[BenchRow, ...]
    run: tuple[RunLine, ...]
    others: tuple[RunLine, ...]
    quantity: str
    place: str
    unit: str
    sides: tuple[tuple[str, str], ...]
    side: str
    signed: bool
    gauges: tuple[GaugeChoice, ...]
    map: SafeString
    map_phone: SafeString
    map_unit: str
    complete: bool
    onward: RunLine | None
    traced: bool
    formed: bool
    ringed: bool
    sums: tuple[Link, ...]

    @property
    def spot(self) -> BenchRow | None:
        """The row the field belongs to when the page opens."""
        return next((row for row in self.rows if row.place == self.place), None)


def bench_of(page: MeasurePage, *, show: Show) -> Bench:
    """The bench of one head at one quantity."""
    return _bench(page, rows=page.rows, maps=("wide", "phone"), show=show)


def changed_of(page: MeasurePage, *, place: str, maps: tuple[str, ...], show: Show) -> Bench:
    """What a reading at one place changes: that row, the maps the page shows, the counts."""
    row = tuple(row for row in page.rows if row.place == place)
    return _bench(page, rows=row, maps=maps, show=show)


def _bench(
    page: MeasurePage, *, rows: tuple[SpotStanding, ...], maps: tuple[str, ...], show: Show
) -> Bench:
    run = _run(page)
    place = page.spot.place if page.spot else (page.rows[0].place if page.rows else "")
    return Bench(
        tag=page.tag,
        title=FACTS[page.quantity].title,
        heading=_heading(page.rows, show=show),
        rows=tuple(row_of(page, row, show=show) for row in rows),
        run=run,
        others=_others(page),
        quantity=page.quantity.value,
        place=place,
        unit=page.unit,
        sides=SIDES if page.sided else (),
        side=_USUAL_SIDE.get(page.quantity, ""),
        signed=page.quantity in _SIGNED,
        gauges=tuple(_gauge(gauge, chosen=gauge.name == page.gauge) for gauge in page.gauges),
        map=deck_map(page, show=show) if "wide" in maps else SafeString(),
        map_phone=deck_map(page, show=show, compact=True) if "phone" in maps else SafeString(),
        map_unit=map_unit(page, show=show),
        complete=not page.standing.missing,
        onward=_onward(page, run=run),
        traced=page.quantity in FINISH,
        formed=page.quantity in {Quantity.HEIGHT, Quantity.DECK_THICKNESS, *FROM_HEIGHTS},
        ringed=page.quantity is Quantity.RING_STAND,
        sums=ways_of_quantity(page.tag, quantity=page.quantity, place=place),
    )


def _heading(rows: tuple[SpotStanding, ...], *, show: Show) -> tuple[str, ...]:
    """The limits of a quantity in words, by kind of valve where they differ."""
    limits = tuple(dict.fromkeys(row.limit for row in rows if row.limit is not None))
    if not limits:
        return (_no_limit(rows),)
    return tuple(_limit_words(limit, show=show, named=len(limits) > 1) for limit in limits)


def _no_limit(rows: tuple[SpotStanding, ...]) -> str:
    if any(row.quantity is Quantity.HEIGHT for row in rows):
        return "against the reference plane: + above it, − below it"
    return "the sheet sets no limit"


def _limit_words(limit: Limit, *, show: Show, named: bool = False) -> str:
    said = limit_sentence(limit, show=show)
    if limit.aim is not None:
        said += f", aim {show.number(abs(limit.aim), suffix=FACTS[limit.quantity].suffix)}"
    if named and limit.valve_kind is not None:
        return f"{limit.valve_kind.value} {said}"
    return said


def row_of(page: MeasurePage, row: SpotStanding, *, show: Show) -> BenchRow:
    """One place with its figure, its verdict and its bar."""
    quantity = row.quantity
    judged = row.judgement if row.read else None
    words = "measure again" if row.stale else "not measured"
    if judged is not None:
        words = short_verdict(judged, show=show)
    elif row.read:
        words = "follows from the spring height" if row.derived else "read"
    short = _short(quantity, row.place)
    note = place_note(page.sheet, quantity=quantity, place=row.place)
    return BenchRow(
        key=f"row-{quantity.value}-{page.rows.index(row)}",
        place=row.place,
        short=short,
        label=f"{short} {note}".rstrip(),
        note=note,
        limit=_limit_words(row.limit, show=show) if row.limit else _no_limit((row,)),
        figure=_figure(row, show=show),
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


def _figure(row: SpotStanding, *, show: Show) -> Figure | None:
    """The number of a place; a deck height carries its sign."""
    if row.value is None:
        return None
    if row.quantity is not Quantity.HEIGHT:
        return figure_of(row.quantity, value=row.value, show=show)
    size = show.number(abs(row.value), suffix="mm")
    sign = "" if not size.strip("0.") else "+" if row.value > 0 else "−"
    return Figure(number=f"{sign}{size}", unit=show.unit("mm"))


def hint_of(sheet: HeadSheet, judgement: Judgement | None, *, show: Show) -> str:
    """Which one cut would bring a reading inside by itself; empty where none would."""
    if judgement is None or judgement.value is None:
        return ""
    reading = Reading(
        quantity=judgement.quantity,
        place=judgement.place,
        value=judgement.value,
        u=judgement.u,
    )
    cut = single_cut(sheet, reading=reading)
    if cut is None or cut.amount_mm > _MOST_CUT_MM:
        return ""
    amount = amount_phrase(cut.amount_mm, quantity=judgement.quantity, show=show)
    spare = amount_phrase(cut.to_spare_mm, quantity=judgement.quantity, show=show)
    if cut.kind is OperationKind.SURFACE:
        return f"Taking {amount} off the deck would bring it inside, {spare} to spare."
    return f"Cutting its seat {amount} deeper would bring it inside, {spare} to spare."


def typed_text(value: float, *, suffix: str, show: Show) -> str:
    """A value as a person would type it: the fewest digits that give it exactly."""
    unit = show.unit(suffix)
    for digits in range(10):
        text = as_text(value, suffix=suffix, unit=unit, digits=digits)
        read = read_value(text, suffix=suffix, bare_unit=unit).value
        if abs(read - value) <= _SAME * max(abs(value), 1.0):
            return text
    return f"{value!r} {suffix}"


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
    small = _small(page)
    marks = [
        DeckMark(
            quantity=row.quantity,
            place=row.place,
            verdict=row.verdict,
            text=_map_text(row, small=small, show=show),
            href=measure_link(page.tag, quantity=row.quantity, place=row.place),
            ringed=page.spot is not None and row.place == page.spot.place,
            stale=row.stale,
        )
        for row in page.rows
    ]
    drawn = deck_plan(
        page.sheet,
        marks=marks,
        compact=compact,
        show=None if compact else show,
        route_mm=_route(page) if page.quantity is Quantity.HEIGHT else (),
    )
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes


def _route(page: MeasurePage) -> tuple[tuple[float, float], ...]:
    """The way the grid is walked, place by place."""
    return tuple(page.sheet.spot_mm(row.quantity, place=row.place) for row in page.rows)


def map_unit(page: MeasurePage, *, show: Show) -> str:
    """The unit of the figures on the map: small sizes read in thou there, for want of room."""
    return show.unit(FACTS[page.quantity].suffix, difference=_small(page))


def _small(page: MeasurePage) -> bool:
    sizes = [
        abs(bound)
        for row in page.rows
        if row.limit is not None
        for bound in (row.limit.low, row.limit.high)
        if bound is not None
    ]
    return max(sizes, default=0.0) < _TENTH_OF_AN_INCH


def _map_text(row: SpotStanding, *, small: bool, show: Show) -> str:
    if row.value is None:
        return ""
    suffix = FACTS[row.quantity].suffix
    if small or show.metric or suffix != "mm":
        return show.number(row.value, suffix=suffix, difference=small)
    return show.number(row.value, suffix=suffix, digits=_MAP_DIGITS)


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
        title=limit_sentence(limit, show=show),
    )
    return mark_safe(limit_bar(bar))  # noqa: S308 - drawn by castworthy.charts, which escapes


def _run(page: MeasurePage) -> tuple[RunLine, ...]:
    return tuple(
        RunLine(
            title=count.title,
            read_count=count.read_count,
            places_count=count.places_count,
            out_count=count.outside_count,
            close_count=count.close_count,
            address=measure_link(page.tag, quantity=count.quantity),
            shown=count.quantity is page.quantity,
        )
        for count in page.counts
    )


def _others(page: MeasurePage) -> tuple[RunLine, ...]:
    return tuple(
        RunLine(
            title=other.title,
            read_count=0,
            places_count=0,
            out_count=0,
            close_count=0,
            address=measure_link(page.tag, quantity=other.quantity),
            shown=other.quantity is page.quantity,
            asked=False,
        )
        for other in page.others
    )


def _onward(page: MeasurePage, *, run: tuple[RunLine, ...]) -> RunLine | None:
    """What is read next, once nothing is left of the quantity shown."""
    left = {spot.quantity for spot in page.standing.missing}
    if page.quantity in left:
        return None
    following = (
        line for count, line in zip(page.counts, run, strict=True) if count.quantity in left
    )
    return next(following, None)


def _short(quantity: Quantity, place: str) -> str:
    if not place:
        return "The head"
    return f"Cylinder {place}" if FACTS[quantity].site is Site.CYLINDER else place


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
