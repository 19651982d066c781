"""The metal left between a ring's groove and everything else of the deck."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import atan2, degrees, hypot

from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet
from castworthy.calc.sealing.wire import Ring
from castworthy.units import Show

_ALLOWANCE_MM = 1e-9

Corner = tuple[float, float]


class LandTo(StrEnum):
    """What a groove's edge may come close to."""

    BORE = "bore"
    SEAT = "seat"
    STUD = "stud"
    OPENING = "opening"
    GROOVE = "groove"
    EDGE = "edge"


_CALLED = {
    LandTo.BORE: "the bore of cylinder {name}",
    LandTo.SEAT: "the seat of {name}",
    LandTo.STUD: "stud hole {name}",
    LandTo.OPENING: "passage {name}",
    LandTo.GROOVE: "the groove of cylinder {name}",
    LandTo.EDGE: "the edge of the deck",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Land:
    """Metal between a groove and one thing [mm]; negative by how far the groove breaks in.

    ``angle_deg`` is where on the ring, counter-clockwise from the right; ``None`` where the
    thing is concentric and the land the same all round.
    """

    to: LandTo
    name: str
    land_mm: float
    angle_deg: float | None

    @property
    def called(self) -> str:
        """What the land leads to, in words."""
        return _CALLED[self.to].format(name=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class RingLands:
    """Every land of one ring, the smallest first.

    ``fire_ring_mm`` is the distance from the groove to the circle of the gasket's own fire
    ring, 0 or less where the groove lies under it; ``None`` where none was given.
    """

    cylinder: str
    lands: tuple[Land, ...]
    fire_ring_mm: float | None

    @property
    def smallest(self) -> Land:
        """The narrowest land."""
        return self.lands[0]

    @property
    def narrowest_places(self) -> tuple[Land, ...]:
        """The narrowest of the lands that are narrow in one place only; several when alike."""
        placed = [each for each in self.lands if each.angle_deg is not None]
        least = min((each.land_mm for each in placed), default=0.0)
        return tuple(each for each in placed if each.land_mm <= least + 1e-6)


def lands_of(
    sheet: HeadSheet,
    *,
    rings: Sequence[Ring],
    insert_wall_mm: float = 0.0,
    fire_ring_diameter_mm: float | None = None,
) -> tuple[RingLands, ...]:
    """Lands from the edges of every groove to everything on the deck, by exact geometry.

    Parameters
    ----------
    sheet
        the head: bores, valves, studs, openings, outline
    rings
        the grooves
    insert_wall_mm
        how far a seat insert reaches past its valve's head all round [mm], scalar, >= 0
    fire_ring_diameter_mm
        diameter of the gasket's own fire ring [mm], round each bore; ``None`` for none

    Returns
    -------
    tuple of RingLands
        one for each ring, in their order

    Raises
    ------
    InputError
        If the wall of the insert is negative or the fire ring has no diameter.

    References
    ----------
    A groove of centre c between the radii Ri and Ro and a round hole of radius r whose
    centre lies D away are max(D - r - Ro, Ri - D - r) apart: plane geometry.

    """
    if not insert_wall_mm >= 0.0:
        raise InputError(f"The wall of a seat insert is 0 mm or more, got {insert_wall_mm:g} mm.")
    if fire_ring_diameter_mm is not None and not fire_ring_diameter_mm > 0.0:
        raise InputError(
            f"The gasket's fire ring has a diameter above 0 mm, got {fire_ring_diameter_mm:g} mm."
        )
    return tuple(
        RingLands(
            cylinder=ring.cylinder,
            lands=tuple(sorted(_lands(ring, sheet, rings, insert_wall_mm), key=_by_size)),
            fire_ring_mm=None
            if fire_ring_diameter_mm is None
            else _to_circle(ring, radius=fire_ring_diameter_mm / 2.0),
        )
        for ring in rings
    )


def deck_left_mm(*, thickness_mm: float, depth_mm: float, deck_cut_mm: float = 0.0) -> float:
    """Deck that is left under a groove.

    Parameters
    ----------
    thickness_mm
        thickness of the deck at the groove [mm], scalar, > 0
    depth_mm
        depth of the groove [mm], scalar, >= 0
    deck_cut_mm
        stock still to be taken off the deck before the groove is cut [mm], scalar, >= 0

    Returns
    -------
    float
        metal between the groove's floor and the jacket [mm]; negative where it breaks through

    Raises
    ------
    InputError
        If a length is out of range.

    References
    ----------
    Plain subtraction; no outside source.

    """
    if not (thickness_mm > 0.0 and depth_mm >= 0.0 and deck_cut_mm >= 0.0):
        raise InputError(
            "A deck has a thickness above 0 mm, a groove and a cut 0 mm or more, got "
            f"{thickness_mm:g}, {depth_mm:g} and {deck_cut_mm:g} mm."
        )
    return thickness_mm - deck_cut_mm - depth_mm


def land_sentence(lands: RingLands, *, show: Show) -> str:
    """The narrowest land of a ring in one sentence, and how the gasket's fire ring lies.

    Parameters
    ----------
    lands
        every land of the ring
    show
        the units of the sentence

    Returns
    -------
    str
        what is narrowest or broken into

    References
    ----------
    No outside source.

    """
    least = lands.smallest
    size = show.value(abs(least.land_mm), suffix="mm")
    name = f"The groove of cylinder {lands.cylinder}"
    if least.land_mm < -_ALLOWANCE_MM:
        said = f"{name} breaks into {least.called} by {size}."
    elif least.land_mm <= _ALLOWANCE_MM:
        said = f"{name} touches {least.called}."
    else:
        said = f"{name} leaves {size} to {least.called}, its narrowest land."
    if lands.fire_ring_mm is None:
        return said
    if lands.fire_ring_mm <= 0.0:
        return f"{said} It lies under the gasket's own fire ring."
    off = show.value(lands.fire_ring_mm, suffix="mm")
    return f"{said} It misses the gasket's own fire ring by {off}: they do not bear on each other."


def _by_size(land: Land) -> tuple[float, str, str]:
    return land.land_mm, land.to.value, land.name


def _lands(
    ring: Ring, sheet: HeadSheet, rings: Sequence[Ring], insert_wall: float
) -> Iterator[Land]:
    for bore in sheet.cylinders:
        yield _to_hole(ring, LandTo.BORE, bore.name, (bore.x_mm, bore.y_mm), bore.bore_mm / 2.0)
    for valve in sheet.valves:
        r = valve.head_diameter_mm / 2.0 + insert_wall
        yield _to_hole(ring, LandTo.SEAT, valve.name, (valve.x_mm, valve.y_mm), r)
    for stud in sheet.studs:
        spot = (stud.x_mm, stud.y_mm)
        yield _to_hole(ring, LandTo.STUD, stud.name, spot, stud.diameter_mm / 2.0)
    for opening in sheet.openings:
        spot = (opening.x_mm, opening.y_mm)
        yield _to_hole(ring, LandTo.OPENING, opening.name, spot, opening.diameter_mm / 2.0)
    for other in rings:
        if other.cylinder != ring.cylinder:
            spot = (other.x_mm, other.y_mm)
            yield _to_hole(ring, LandTo.GROOVE, other.cylinder, spot, other.outer_mm)
    if len(sheet.outline_mm) > 2:
        yield _to_edge(ring, sheet.outline_mm)


def _to_hole(ring: Ring, to: LandTo, name: str, spot: Corner, r: float) -> Land:
    dx, dy = spot[0] - ring.x_mm, spot[1] - ring.y_mm
    D = hypot(dx, dy)
    return Land(
        to=to,
        name=name,
        land_mm=max(D - r - ring.outer_mm, ring.inner_mm - D - r),
        angle_deg=None if D <= _ALLOWANCE_MM else degrees(atan2(dy, dx)) % 360.0,
    )


def _to_circle(ring: Ring, *, radius: float) -> float:
    """Distance from the groove to a concentric circle; negative where it lies over it."""
    return max(radius - ring.outer_mm, ring.inner_mm - radius)


def _to_edge(ring: Ring, corners: tuple[Corner, ...]) -> Land:
    """The land to the outline: the nearest of its sides, or how far the centre lies outside."""
    centre = (ring.x_mm, ring.y_mm)
    sides = list(pairwise((*corners, corners[0])))
    near = min((_nearest(centre, a, b) for a, b in sides), key=lambda p: _apart(centre, p))
    D = _apart(centre, near)
    within = _encloses(sides, centre)
    angle = degrees(atan2(near[1] - centre[1], near[0] - centre[0])) % 360.0
    return Land(
        to=LandTo.EDGE,
        name="",
        land_mm=(D if within else -D) - ring.outer_mm,
        angle_deg=angle,
    )


def _apart(a: Corner, b: Corner) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def _nearest(spot: Corner, a: Corner, b: Corner) -> Corner:
    """The point of a side nearest a spot."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    length2 = ux * ux + uy * uy
    if length2 == 0.0:
        return a
    t = ((spot[0] - a[0]) * ux + (spot[1] - a[1]) * uy) / length2
    t = min(max(t, 0.0), 1.0)
    return a[0] + t * ux, a[1] + t * uy


def _encloses(sides: Sequence[tuple[Corner, Corner]], spot: Corner) -> bool:
    odd = False
    for a, b in sides:
        if (a[1] > spot[1]) != (b[1] > spot[1]):
            odd ^= spot[0] < a[0] + (spot[1] - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
    return odd
