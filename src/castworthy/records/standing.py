"""How a head stands: every place with its verdict, what is left to read, what comes next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from castworthy.calc.decision.head import required_sites
from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.loads import FROM_SPRING_HEIGHT, derived_readings
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.deck.derive import FROM_HEIGHTS, form_readings
from castworthy.calc.deck.walk import walking_order
from castworthy.calc.head import HeadSheet, Limit, Reading
from castworthy.calc.outcome import Estimate
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.results import Decision, OperationKind
from castworthy.records.measured import (
    Key,
    Measured,
    Taken,
    Worked,
    measured_from,
    takens_of,
    worked_of,
)
from castworthy.records.models import Head
from castworthy.records.rows import head_row
from castworthy.records.to_calc import sheet_for


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A quantity at a place: ``place`` is empty for the head as a whole."""

    quantity: Quantity
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotStanding:
    """How one quantity stands at one place.

    ``judgement`` is of the mean of ``current`` (``None``: not read, or no limit rules it).
    ``stale`` readings were taken before ``stale_by`` changed the place: they are shown hollow
    and count as not read.  ``derived`` values follow from the spring height or the deck's grid.
    ``received`` is what was read before any work moved it.  ``history`` holds every reading,
    replaced ones too, oldest first.
    """

    quantity: Quantity
    place: str
    required: bool
    limit: Limit | None
    judgement: Judgement | None
    value: float | None
    u: float | None
    received: Estimate | None
    stale: bool
    stale_by: Worked | None
    derived: bool
    current: tuple[Taken, ...]
    history: tuple[Taken, ...]

    @property
    def spot(self) -> Spot:
        """Its quantity and place."""
        return Spot(quantity=self.quantity, place=self.place)

    @property
    def read(self) -> bool:
        """True when a value stands: read, and not undone by later work."""
        return self.value is not None and not self.stale

    @property
    def verdict(self) -> Verdict:
        """The verdict as the deck and the run sheet mark it; a stale place is not measured."""
        if not self.read:
            return Verdict.MISSING
        return Verdict.INSIDE if self.judgement is None else self.judgement.verdict

    @property
    def last(self) -> Taken | None:
        """The newest reading that counts."""
        return self.current[-1] if self.current else None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityCount:
    """One line of the run sheet: how many places of a quantity stand, and how."""

    quantity: Quantity
    title: str
    read_count: int
    places_count: int
    outside_count: int
    close_count: int
    stale_count: int
    required: bool

    @property
    def complete(self) -> bool:
        """True when every place stands."""
        return self.read_count == self.places_count


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSlip:
    """A reading that was asked about and kept; ``question`` is what was asked."""

    spot: Spot
    question: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a head stands now.

    ``spots`` go in walking order, quantity by quantity, tested quantities left out.
    ``missing`` are the required spots that are not read or stale.  ``decision`` is empty until
    everything required is read; ``scrap`` is never said here, only by a plan that found no way.
    """

    tag: str
    sheet: HeadSheet
    spots: tuple[SpotStanding, ...]
    by_spot: Mapping[Key, SpotStanding]
    counts: tuple[QuantityCount, ...]
    missing: tuple[Spot, ...]
    next_place: Spot | None
    decision: Decision | None
    slips: tuple[KeptSlip, ...]
    worked: tuple[Worked, ...]

    @property
    def required_count(self) -> int:
        """Required readings in all."""
        return sum(spot.required for spot in self.spots)

    @property
    def read_count(self) -> int:
        """Required readings that stand."""
        return self.required_count - len(self.missing)

    @property
    def outside(self) -> tuple[SpotStanding, ...]:
        """Places outside their limits."""
        return tuple(s for s in self.spots if s.verdict is Verdict.OUTSIDE)

    @property
    def close(self) -> tuple[SpotStanding, ...]:
        """Places too close to call."""
        return tuple(s for s in self.spots if s.verdict is Verdict.CLOSE)

    def of(self, quantity: Quantity) -> tuple[SpotStanding, ...]:
        """The places of one quantity in walking order."""
        return tuple(s for s in self.spots if s.quantity is quantity)

    def next_after(self, spot: Spot) -> Spot | None:
        """The next place not read: of the same quantity first, then as the run sheet goes on."""
        rows = self.of(spot.quantity)
        at = next((i for i, row in enumerate(rows) if row.place == spot.place), -1)
        for row in (*rows[at + 1 :], *rows[: max(at, 0)]):
            if not row.read and not row.derived:
                return row.spot
        return self.next_place


def standing_of(tag: str) -> Standing:
    """How the head of that tag stands (three queries).

    Raises
    ------
    NotOnRecord
        If there is none.

    """
    return standing_for(head_row(tag))


def standing_for(head: Head) -> Standing:
    """How a head stands (two queries)."""
    return standing_from(
        tag=head.tag,
        sheet=sheet_for(head),
        takens=takens_of(head),
        worked=worked_of(head),
    )


def standing_from(
    *, tag: str, sheet: HeadSheet, takens: Sequence[Taken], worked: tuple[Worked, ...]
) -> Standing:
    """How a head with these readings and signed operations stands; pure."""
    measured = measured_from(takens, worked=worked, sheet=sheet)
    derived = {(r.quantity, r.place): r for r in _derived(sheet, measured=measured)}
    due = {site.key for site in walk(sheet) if site.required}
    if not _heights_due(measured, worked=worked):
        due -= {key for key in due if key[0] is Quantity.HEIGHT}
    spots = tuple(
        _spot(sheet, site=site, measured=measured, derived=derived, required=site.key in due)
        for site in walk(sheet)
        if site.key in due or site.key in measured or site.key in derived
    )
    missing = tuple(s.spot for s in spots if s.required and not s.read)
    return Standing(
        tag=tag,
        sheet=sheet,
        spots=spots,
        by_spot={(s.quantity, s.place): s for s in spots},
        counts=_counts(spots),
        missing=missing,
        next_place=missing[0] if missing else None,
        decision=None if missing else _decision(spots),
        slips=tuple(
            KeptSlip(spot=s.spot, question=taken.slip_kept, by=taken.by)
            for s in spots
            for taken in s.current
            if taken.slip_kept
        ),
        worked=worked,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A place a sheet lets one read: whether it must be, and the limit that rules it."""

    quantity: Quantity
    place: str
    required: bool
    limit: Limit | None

    @property
    def key(self) -> Key:
        """Quantity and place."""
        return self.quantity, self.place


_walks: dict[int, tuple[HeadSheet, tuple[Site, ...]]] = {}
_KEPT_COUNT = 256


def walk(sheet: HeadSheet) -> tuple[Site, ...]:
    """Every bench place of a sheet in walking order, deck heights among the required ones.

    Remembered for the sheets in memory.
    """
    known = _walks.get(id(sheet))
    if known is None or known[0] is not sheet:
        if len(_walks) >= _KEPT_COUNT:
            _walks.clear()
        known = (sheet, _walk(sheet))
        _walks[id(sheet)] = known
    return known[1]


def _walk(sheet: HeadSheet) -> tuple[Site, ...]:
    required = set(required_sites(sheet))
    return tuple(
        Site(
            quantity=quantity,
            place=place,
            required=(quantity, place) in required or quantity is Quantity.HEIGHT,
            limit=sheet.limit_for(quantity, place=place),
        )
        for quantity in Quantity
        if not FACTS[quantity].tested
        for place in _walked(sheet, quantity=quantity)
    )


def _walked(sheet: HeadSheet, *, quantity: Quantity) -> tuple[str, ...]:
    """The places of a quantity as a person walks them: a grid of heights there and back."""
    places = sheet.sites_of(quantity)
    if quantity is not Quantity.HEIGHT:
        return places
    spots = [sheet.spot_mm(quantity, place=place) for place in places]
    return tuple(places[index] for index in walking_order(spots))


def _derived(sheet: HeadSheet, *, measured: Mapping[Key, Measured]) -> tuple[Reading, ...]:
    """What follows from other readings: spring loads from heights, flatness from the grid.

    A grid that a cut has made a thing of the past says nothing of the deck as it is.
    """
    every = [m.reading for m in measured.values()]
    standing = [m.reading for m in measured.values() if not m.stale]
    flat = form_readings(sheet, readings=standing)
    known = {key[0] for key in measured if key[0] in FROM_HEIGHTS and not measured[key].stale}
    return (
        *derived_readings(sheet, readings=every),
        *(each for each in flat if each.quantity not in known),
    )


def _heights_due(measured: Mapping[Key, Measured], *, worked: Sequence[Worked]) -> bool:
    """Deck heights are wanted for the plan: not once the deck is cut, nor where a flatness
    figure alone was read.
    """
    if any(operation.kind is OperationKind.SURFACE for operation in worked):
        return False
    if any(quantity is Quantity.HEIGHT for quantity, _ in measured):
        return True
    return (Quantity.FLATNESS, "") not in measured


def _spot(
    sheet: HeadSheet,
    *,
    site: Site,
    measured: Mapping[Key, Measured],
    derived: Mapping[Key, Reading],
    required: bool,
) -> SpotStanding:
    found = measured.get(site.key)
    from_height = None if found else derived.get(site.key)
    spring = site.quantity in FROM_SPRING_HEIGHT
    source = found
    if from_height:
        source = measured.get((Quantity.SPRING_HEIGHT, site.place)) if spring else None
    reading = found.reading if found else from_height
    received = found.received if found else None
    return SpotStanding(
        quantity=site.quantity,
        place=site.place,
        required=required,
        limit=site.limit,
        judgement=None if reading is None else _judged(reading, site=site, sheet=sheet),
        value=None if reading is None else reading.value,
        u=None if reading is None else reading.u,
        received=None if received is None else Estimate(value=received.value, u=received.u),
        stale=bool(source and source.stale),
        stale_by=source.stale_by if source else None,
        derived=from_height is not None,
        current=found.current if found else (),
        history=found.history if found else (),
    )


def _judged(reading: Reading, *, site: Site, sheet: HeadSheet) -> Judgement | None:
    if site.limit is None:
        return None
    return judge_once(reading, site.limit, sheet.work.confidence_probability)


@lru_cache(maxsize=65536)
def judge_once(reading: Reading, limit: Limit, confidence_probability: float) -> Judgement:
    """``calc.decision.judge.judge``, remembered: the same reading gets the same answer."""
    return judge(reading, limit=limit, confidence_probability=confidence_probability)


def _counts(spots: Sequence[SpotStanding]) -> tuple[QuantityCount, ...]:
    by_quantity: dict[Quantity, list[SpotStanding]] = {}
    for spot in spots:
        by_quantity.setdefault(spot.quantity, []).append(spot)
    return tuple(
        QuantityCount(
            quantity=quantity,
            title=FACTS[quantity].title,
            read_count=sum(row.read for row in rows),
            places_count=len(rows),
            outside_count=sum(row.verdict is Verdict.OUTSIDE for row in rows),
            close_count=sum(row.verdict is Verdict.CLOSE for row in rows),
            stale_count=sum(row.stale for row in rows),
            required=any(row.required for row in rows),
        )
        for quantity, rows in by_quantity.items()
        if not (quantity in FROM_SPRING_HEIGHT and all(row.derived for row in rows))
    )


def _decision(spots: Sequence[SpotStanding]) -> Decision:
    verdicts = {spot.verdict for spot in spots}
    if Verdict.OUTSIDE in verdicts:
        return Decision.REWORK
    return Decision.UNDECIDED if Verdict.CLOSE in verdicts else Decision.CONFORMING
