"""The ring page: the wire in its groove, lands and joint of every cylinder, what was read."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot

import numpy as np

from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.calc.ring_spec import RingSpec
from castworthy.calc.sealing.groove import Groove, RingFit, fit_of
from castworthy.calc.sealing.joint import Joint, joint_of
from castworthy.calc.sealing.lands import RingLands, deck_left_mm, lands_of
from castworthy.calc.sealing.sheet import groove_of, tolerances_of
from castworthy.calc.sealing.tolerances import (
    RingShares,
    Stack,
    Tolerances,
    draw_rings,
    stack_of,
)
from castworthy.calc.sealing.wire import Ring, WireList, WireRow, rings_of, wire_list
from castworthy.records.lookups.gauges import GaugeFacts, gauges_for
from castworthy.records.measured import Worked
from castworthy.records.models import Head, Operation, OperationState
from castworthy.records.rows import head_row
from castworthy.records.standing import SpotStanding, Standing, standing_for
from castworthy.records.to_calc import sheet_for

RINGS_COUNT = 100_000
SEED = 20_261
"""Where the draws start, so that the same sheet has the same answer."""

NEAR_MM = 15.0
"""A deck thickness read this near the groove stands for the deck under it.
Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RingDesign:
    """What the sheet's ring comes to; ``shares`` are of rings drawn within the tolerances."""

    spec: RingSpec
    groove: Groove
    fit: RingFit
    stack: Stack
    shares: RingShares
    wire: WireList


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedRing:
    """One ring on the deck: its lands, its joint, its wire, and the deck left under its groove.

    ``deck_left_mm`` is ``None`` where no thickness near the groove was read; it rests on
    ``thickness_place``.
    """

    ring: Ring
    lands: RingLands
    joint: Joint | Refused
    wire: WireRow
    deck_left_mm: float | None
    thickness_place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderRing:
    """One cylinder: its ring on the deck, and how its stand was read.

    ``deck_cut_mm`` was taken off the deck since the groove was cut or last measured;
    ``grooved`` when either is on record.
    """

    cylinder: str
    placed: PlacedRing | None
    standing: SpotStanding | None
    deck_cut_mm: float
    grooved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RingPage:
    """Everything the ring page shows; ``design`` is ``None`` where the sheet has no ring.

    ``planned_cut_mm`` is a deck cut that is planned and not signed off yet.
    """

    tag: str
    title: str
    sheet: HeadSheet
    limit: Limit | None
    design: RingDesign | None
    cylinders: tuple[CylinderRing, ...]
    planned_cut_mm: float | None
    gauges: tuple[GaugeFacts, ...]
    gauge: str


def ring_page(tag: str) -> RingPage:
    """The sealing rings of one head.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet, standing = sheet_for(head), standing_for(head)
    limit = sheet.limit_for(Quantity.RING_STAND)
    placed = _placed(sheet, standing=standing)
    cylinders = tuple(
        _cylinder(each.name, standing=standing, placed=placed.get(each.name))
        for each in sheet.cylinders
    )
    return RingPage(
        tag=tag,
        title=sheet.title,
        sheet=sheet,
        limit=limit,
        design=None if sheet.ring is None else design_of(sheet, limit=limit),
        cylinders=cylinders,
        planned_cut_mm=_planned_cut(head),
        gauges=gauges_for("mm"),
        gauge=_last_gauge(cylinders),
    )


def design_of(sheet: HeadSheet, *, limit: Limit | None) -> RingDesign | None:
    """What the ring of a sheet comes to; ``None`` where it has none."""
    spec = sheet.ring
    if spec is None:
        return None
    groove, tolerances = groove_of(spec), tolerances_of(spec)
    low, high = (None, None) if limit is None else (limit.low, limit.high)
    return RingDesign(
        spec=spec,
        groove=groove,
        fit=fit_of(groove),
        stack=stack_of(groove, tolerances=tolerances, stand_low_mm=low, stand_high_mm=high),
        shares=_shares(groove, tolerances, low, high),
        wire=wire_list(_rings(sheet, spec=spec)),
    )


@lru_cache(maxsize=64)
def _shares(
    groove: Groove, tolerances: Tolerances, low_mm: float | None, high_mm: float | None
) -> RingShares:
    return draw_rings(
        groove,
        tolerances=tolerances,
        rng=np.random.default_rng(SEED),
        rings_count=RINGS_COUNT,
        stand_low_mm=low_mm,
        stand_high_mm=high_mm,
    )


def _rings(sheet: HeadSheet, *, spec: RingSpec) -> tuple[Ring, ...]:
    return rings_of(sheet, diameter_mm=spec.groove_diameter_mm, width_mm=spec.groove_width_mm)


def _placed(sheet: HeadSheet, *, standing: Standing) -> dict[str, PlacedRing]:
    spec = sheet.ring
    if spec is None:
        return {}
    rings = _rings(sheet, spec=spec)
    every = lands_of(
        sheet,
        rings=rings,
        insert_wall_mm=spec.insert_wall_mm,
        fire_ring_diameter_mm=spec.fire_ring_mm,
    )
    found = {}
    for ring, lands, wire in zip(rings, every, wire_list(rings).rows, strict=True):
        left_mm, place = _deck_left(ring, spec=spec, standing=standing)
        found[ring.cylinder] = PlacedRing(
            ring=ring,
            lands=lands,
            joint=joint_of(ring, sheet=sheet, lands=lands),
            wire=wire,
            deck_left_mm=left_mm,
            thickness_place=place,
        )
    return found


def _deck_left(ring: Ring, *, spec: RingSpec, standing: Standing) -> tuple[float | None, str]:
    """The least deck under a groove by the thicknesses read near it, less what was cut since."""
    found: list[tuple[float, str]] = []
    for spot in standing.of(Quantity.DECK_THICKNESS):
        x, y = standing.sheet.spot_mm(Quantity.DECK_THICKNESS, place=spot.place)
        off_mm = abs(hypot(x - ring.x_mm, y - ring.y_mm) - ring.diameter_mm / 2.0)
        if spot.value is None or spot.value <= 0.0 or off_mm > NEAR_MM:
            continue
        left_mm = deck_left_mm(
            thickness_mm=spot.value,
            depth_mm=spec.groove_depth_mm,
            deck_cut_mm=_cut_since(standing.worked, number=_epoch(spot)),
        )
        found.append((left_mm, spot.place))
    return min(found, default=(None, ""))


def _cylinder(name: str, *, standing: Standing, placed: PlacedRing | None) -> CylinderRing:
    spot = standing.by_spot.get((Quantity.RING_STAND, name))
    grooved = [
        each.number
        for each in standing.worked
        if each.kind is OperationKind.RING_GROOVE and each.place == name
    ]
    read = spot is not None and bool(spot.current)
    since = max((*grooved, _epoch(spot) if spot is not None else 0), default=0)
    return CylinderRing(
        cylinder=name,
        placed=placed,
        standing=spot,
        deck_cut_mm=_cut_since(standing.worked, number=since),
        grooved=read or bool(grooved),
    )


def _cut_since(worked: Sequence[Worked], *, number: int) -> float:
    """What signed deck cuts after operation ``number`` took off [mm]."""
    return sum(
        each.taken_mm or 0.0
        for each in worked
        if each.kind is OperationKind.SURFACE and each.number > number
    )


def _epoch(spot: SpotStanding) -> int:
    """How many operations were signed before the reading that stands."""
    return spot.last.epoch if spot.last is not None else 0


def _planned_cut(head: Head) -> float | None:
    return (
        Operation.objects.filter(
            head=head, state=OperationState.PLANNED, kind=OperationKind.SURFACE.value
        )
        .values_list("planned_mm", flat=True)
        .first()
    )


def _last_gauge(cylinders: Sequence[CylinderRing]) -> str:
    """The gauge rings of this head were last read with; empty when none was named."""
    takens = [t for each in cylinders if each.standing for t in each.standing.current]
    return max(takens, key=lambda taken: taken.id).gauge if takens else ""
