"""The ring page as it is shown: the deck with its grooves, every cylinder, what was read."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.decision.words import limit_sentence, short_verdict, verdict_sentence
from castworthy.calc.quantity import Quantity
from castworthy.calc.sealing.joint import Joint
from castworthy.calc.sealing.wire import PRACTICES
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.charts.rings import RingMark
from castworthy.records.cautions import CUTTING
from castworthy.records.lookups.ring import CylinderRing, PlacedRing, RingPage
from castworthy.records.ring_words import (
    PRACTICE,
    cut_sentences,
    design_cautions,
    fit_lines,
    fit_sentence,
    joint_clock,
    joint_words,
    land_line,
    land_words,
    left_words,
    read_words,
    share_sentence,
    small,
    wire_words,
)
from castworthy.units import Show

_FEW_LANDS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderCard:
    """One cylinder: what was read, where its groove and its joint lie, the wire to cut.

    ``kept`` is what looked wrong of the reading that stands and was kept all the same.
    """

    cylinder: str
    chosen: bool
    verdict: str
    words: str
    sentence: str
    read: str
    read_by: str
    kept: str
    bar: SafeString
    facts: tuple[tuple[str, str], ...]
    land: str
    joint: str
    lands: tuple[tuple[str, str], ...]
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One of the six stands; ``name`` is that of the deed's own field."""

    name: str
    label: str
    value: str
    wrong: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RingShown:
    """Everything the page shows; ``fit`` is empty where the sheet has no ring."""

    map: SafeString
    map_phone: SafeString
    fit: str
    lines: tuple[tuple[str, str, str], ...]
    share: str
    limit: str
    source: str
    cautions: tuple[str, ...]
    cuts: tuple[str, ...]
    wire: tuple[tuple[str, str, str], ...]
    wire_total: str
    cards: tuple[CylinderCard, ...]
    place: str
    unit: str
    practices: tuple[str, ...]
    mind: tuple[str, ...]


def ring_shown(page: RingPage, *, place: str, show: Show) -> RingShown:
    """The page of one head; ``place`` is the cylinder whose ring is read next."""
    design = page.design
    limit = "" if page.limit is None else f"Ring stand {limit_sentence(page.limit, show=show)}"
    return RingShown(
        map=_map(page, place=place, show=show, compact=False),
        map_phone=_map(page, place=place, show=show, compact=True),
        fit="" if design is None else fit_sentence(design, show=show),
        lines=() if design is None else fit_lines(design, show=show),
        share=share_sentence(page),
        limit=limit,
        source="" if design is None else design.spec.source,
        cautions=design_cautions(page, show=show),
        cuts=cut_sentences(page, show=show),
        wire=_wire(page, show=show),
        wire_total="" if design is None else wire_words(design.wire.total_mm, show=show),
        cards=tuple(_card(each, page=page, place=place, show=show) for each in page.cylinders),
        place=place,
        unit=show.unit("mm", difference=True),
        practices=(PRACTICE, *PRACTICES),
        mind=(CUTTING,),
    )


def next_place(page: RingPage) -> str:
    """The next cylinder whose ring is not read; the first once all are."""
    left = (each.cylinder for each in page.cylinders if not _stands(each))
    return next(left, page.cylinders[0].cylinder)


def ring_marks(page: RingPage, *, show: Show) -> tuple[RingMark, ...]:
    """The grooves of a head with their joints, for the deck."""
    return tuple(
        _ring_mark(each.placed, show=show) for each in page.cylinders if each.placed is not None
    )


def _ring_mark(placed: PlacedRing, *, show: Show) -> RingMark:
    ring, joint = placed.ring, placed.joint
    return RingMark(
        x_mm=ring.x_mm,
        y_mm=ring.y_mm,
        inner_mm=ring.inner_mm,
        outer_mm=ring.outer_mm,
        joint_deg=joint.angle_deg if isinstance(joint, Joint) else None,
        title=f"Groove of cylinder {ring.cylinder}. {joint_words(placed, show=show)}",
    )


def _stands(each: CylinderRing) -> bool:
    return each.standing is not None and each.standing.read


def _address(page: RingPage, cylinder: str) -> str:
    return f"{reverse('ring', args=[page.tag])}?{urlencode({'place': cylinder})}#read"


def _map(page: RingPage, *, place: str, show: Show, compact: bool) -> SafeString:
    marks = [
        DeckMark(
            quantity=Quantity.RING_STAND,
            place=each.cylinder,
            verdict=Verdict.MISSING if each.standing is None else each.standing.verdict,
            text=""
            if each.standing is None or each.standing.value is None
            else show.number(each.standing.value, suffix="mm", difference=True),
            href=_address(page, each.cylinder),
            ringed=each.cylinder == place,
            stale=each.standing is not None and each.standing.stale,
        )
        for each in page.cylinders
    ]
    drawn = deck_plan(
        page.sheet,
        marks=marks,
        compact=compact,
        show=None if compact else show,
        rings=ring_marks(page, show=show),
    )
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes


def _card(each: CylinderRing, *, page: RingPage, place: str, show: Show) -> CylinderCard:
    spot, placed = each.standing, each.placed
    judged = spot.judgement if spot is not None and spot.read else None
    last = None if spot is None else spot.last
    words = "not measured"
    if spot is not None and spot.stale:
        words = "measure again"
    elif judged is not None:
        words = short_verdict(judged, show=show)
    elif spot is not None and spot.read:
        words = "read"
    return CylinderCard(
        cylinder=each.cylinder,
        chosen=each.cylinder == place,
        verdict=Verdict.MISSING.value if spot is None else spot.verdict.value,
        words=words,
        sentence="" if judged is None else verdict_sentence(judged, show=show),
        read=read_words(each),
        read_by="" if last is None else last.by,
        kept="" if last is None or judged is None else last.slip_kept,
        bar=_bar(each, page=page, show=show),
        facts=() if placed is None else tuple(_facts(placed, show=show)),
        land="" if placed is None else land_words(placed, show=show),
        joint="" if placed is None else joint_words(placed, show=show),
        lands=()
        if placed is None
        else tuple(land_line(land, show=show) for land in placed.lands.lands[:_FEW_LANDS]),
        address=_address(page, each.cylinder),
    )


def _facts(placed: PlacedRing, *, show: Show) -> list[tuple[str, str]]:
    least = placed.lands.smallest
    facts = [
        ("Cut the wire to", wire_words(placed.wire.cut_length_mm, show=show)),
        ("Narrowest land", f"{show.value(least.land_mm, suffix='mm')} to {least.called}"),
    ]
    if left := left_words(placed, show=show):
        facts.append(("Deck left under it", left))
    if clock := joint_clock(placed):
        facts.append(("Joint", clock))
    return facts


def _bar(each: CylinderRing, *, page: RingPage, show: Show) -> SafeString:
    spot, limit = each.standing, page.limit
    if spot is None or spot.value is None or limit is None:
        return SafeString("")
    verdict = spot.verdict if spot.judgement is None else spot.judgement.verdict
    bar = LimitBar(
        low=limit.low,
        high=limit.high,
        aim=limit.aim,
        marks=(BarMark(value=spot.value, u=spot.u, verdict=verdict, solid=not spot.stale),),
        suffix="mm",
        show=show,
        title=f"{small(spot.value, show=show)}, {limit_sentence(limit, show=show)}",
    )
    return mark_safe(limit_bar(bar))  # noqa: S308 - drawn by castworthy.charts, which escapes


def _wire(page: RingPage, *, show: Show) -> tuple[tuple[str, str, str], ...]:
    """The wire list: cylinders that take the same length share a row."""
    if page.design is None:
        return ()
    alike: dict[tuple[float, float], list[str]] = {}
    for row in page.design.wire.rows:
        alike.setdefault((row.cut_length_mm, row.ring_length_mm), []).append(row.cylinder)
    return tuple(
        (
            f"{len(names)} of {wire_words(cut_mm, show=show)}",
            wire_words(finished_mm, show=show),
            ", ".join(names),
        )
        for (cut_mm, finished_mm), names in alike.items()
    )
