"""The release page: what blocks it, both states of the head, its record and papers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from castworthy.actions.setting.claim import faults_of
from castworthy.calc.head import Rule
from castworthy.calc.rework.results import After
from castworthy.records.blocks import Block
from castworthy.records.cautions import cautions_at
from castworthy.records.lookups.release import ReleasePage
from castworthy.records.standing import SpotStanding
from castworthy.units import Show
from castworthy.web.contexts.before_after import SHIPPED, BeforeAfter, bars_of
from castworthy.web.contexts.figures import counted, measure_link

_WAYS = {
    "measure": "Measure it",
    "plan": "To the plan",
    "machine": "To the work",
    "assemble": "To the assembly list",
    "prove": "To the tests",
}
_GROUP = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockLine:
    """One reason against the release, and the way to clear it."""

    words: str
    way: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper that can be printed now."""

    words: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """The signed release; ``digest`` in groups of four."""

    number: int
    by: str
    at: datetime
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """All of the release page."""

    record: Record | None
    blocks: tuple[BlockLine, ...]
    blocks_words: str
    bars: BeforeAfter
    not_checked: tuple[str, ...]
    papers: tuple[Paper, ...]
    cautions: tuple[str, ...]


def leaving_of(page: ReleasePage, *, show: Show, opened: str = "") -> Leaving:
    """The page, with the fold of the key ``opened`` drawn."""
    record = page.record
    return Leaving(
        record=None
        if record is None
        else Record(
            number=record.number,
            by=record.by,
            at=record.at,
            digest=_grouped(record.digest),
        ),
        blocks=tuple(_line(page.tag, block) for block in page.blocks),
        blocks_words=counted(len(page.blocks), "thing") + " to clear",
        bars=bars_of(
            tuple(_rows(page.standing.spots)),
            work={},
            telling=SHIPPED,
            sheet=page.standing.sheet,
            show=show,
            opened=opened,
        ),
        not_checked=page.not_checked,
        papers=tuple(_papers(page)),
        cautions=cautions_at("release"),
    )


def _grouped(digest: str) -> str:
    return " ".join(digest[start : start + _GROUP] for start in range(0, len(digest), _GROUP))


def _line(tag: str, block: Block) -> BlockLine:
    step = block.step.value
    address = (
        measure_link(tag, quantity=block.quantity, place=block.place)
        if block.quantity is not None
        else reverse(step.replace(" ", "-"), args=[tag])
    )
    return BlockLine(words=block.sentence, way=_WAYS[step], address=address)


def _rows(spots: Iterable[SpotStanding]) -> Iterable[After]:
    for spot in spots:
        limit = spot.limit
        if limit is None or spot.value is None or spot.stale:
            continue
        was = spot.received
        yield After(
            quantity=spot.quantity,
            place=spot.place,
            before=spot.value if was is None else was.value,
            before_u=spot.u if was is None else was.u,
            value=spot.value,
            u=spot.u,
            low=limit.low,
            high=limit.high,
            aim=limit.aim,
            rule=Rule(limit.rule),
            probability=spot.judgement.probability if spot.judgement else None,
            moved=was is not None and was.value != spot.value,
            binding=False,
        )


def _papers(page: ReleasePage) -> Iterable[Paper]:
    def paper(name: str, words: str) -> Paper:
        return Paper(words=words, address=reverse("paper", args=[page.tag, name]))

    if page.record is not None:
        yield paper("release", "Release record (PDF)")
    if page.planned:
        yield paper("traveller", "Traveller (PDF)")
    yield paper("tag", "Tag (PDF)")
    if page.casting and faults_of(page.standing):
        yield paper("claim", "Claim sheet (PDF)")
