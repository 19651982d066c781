"""Where on its groove a ring begins and ends: beside a stud, clear of what could leak."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import acos, asin, atan2, cos, degrees, hypot, pi, sin

from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet, Opening, Stud
from castworthy.calc.outcome import Refused
from castworthy.calc.sealing.lands import Land, RingLands
from castworthy.calc.sealing.wire import Ring
from castworthy.units import Show

CLEAR_MM = 3.0
"""Metal kept between a joint and the edge of any passage.  Common practice, no source."""

NARROW_MM = 12.0
"""Distance kept between a joint and the narrowest land.  Common practice, no source."""

_ALLOWANCE = 1e-9
_DIGITS = 6
_ALL_ROUND = 2.0 * pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """The place of a ring's joint: angle counter-clockwise from the right, spot on the deck.

    ``stud_mm`` is from the joint to the middle of the nearest stud, ``passage_mm`` to the
    edge of the nearest passage (``None`` where the deck has none).
    """

    cylinder: str
    angle_deg: float
    x_mm: float
    y_mm: float
    stud: str
    stud_mm: float
    passage: str
    passage_mm: float | None
    narrow: tuple[Land, ...]

    @property
    def clock(self) -> str:
        """The place on the ring as on a clock's face, as drawn on the sheet."""
        return clock_words(self.angle_deg)


def joint_of(
    ring: Ring,
    *,
    sheet: HeadSheet,
    lands: RingLands,
    clear_mm: float = CLEAR_MM,
    narrow_mm: float = NARROW_MM,
) -> Joint | Refused:
    """The best place of a joint: nearest a stud, clear of passages and of the narrowest land.

    Clamping is greatest beside a stud.  Going round the centreline, the distance to a stud
    grows steadily to both sides of its direction, so the nearest clear place is either
    straight at a stud or at the end of an arc that a passage or the narrowest land takes
    away; each of these is tried.  Of places equally near the one farthest from the narrowest
    land is taken, then the one farthest from passages.

    Parameters
    ----------
    ring
        the groove
    sheet
        the head: studs and openings
    lands
        the lands of this ring
    clear_mm
        metal kept between the joint and a passage [mm], scalar, >= 0
    narrow_mm
        distance kept from the narrowest land [mm], scalar, >= 0

    Returns
    -------
    Joint or Refused
        refused where the sheet has no stud or no place is clear

    Raises
    ------
    InputError
        If a distance is negative.

    References
    ----------
    Common practice, no source: the joint starts beside a head bolt because clamping is
    greatest there.  Plane geometry.

    """
    if not (clear_mm >= 0.0 and narrow_mm >= 0.0):
        raise InputError(
            f"Distances kept clear are 0 mm or more, got {clear_mm:g} and {narrow_mm:g} mm."
        )
    if not sheet.studs:
        return Refused(
            code="no-studs",
            reason=f"The joint of cylinder {ring.cylinder} cannot be placed: the sheet has no "
            "studs.",
            remedy="Add the studs to the sheet.",
        )
    narrow = lands.narrowest_places
    arcs = [*_passage_arcs(ring, sheet.openings, clear_mm), *_narrow_arcs(ring, narrow, narrow_mm)]
    tried = [*(_direction(ring, stud) for stud in sheet.studs), *_ends(arcs)]
    clear = [angle for angle in tried if all(_is_clear(angle, arc) for arc in arcs)]
    if not clear:
        return Refused(
            code="no-clear-place",
            reason=f"The joint of cylinder {ring.cylinder} cannot be placed: all of its groove "
            "lies close to a passage or to its narrowest land.",
            remedy="Choose another diameter, or keep less distance.",
        )
    choices = [_joint(ring, angle, sheet=sheet, narrow=narrow) for angle in clear]
    return min(choices, key=_preference)


def joint_sentence(joint: Joint, *, show: Show) -> str:
    """Where a joint goes and why, in words.

    Parameters
    ----------
    joint
        the place
    show
        the units of the sentence

    Returns
    -------
    str
        the place, the stud, and what it keeps clear of

    References
    ----------
    Common practice, no source.

    """
    x, y = (show.number(v, suffix="mm", digits=2) for v in (joint.x_mm, joint.y_mm))
    stud = show.value(joint.stud_mm, suffix="mm", digits=2)
    said = (
        f"Cylinder {joint.cylinder}: start the ring at {joint.clock} ({x}, {y} {show.unit('mm')}), "
        f"beside stud {joint.stud}, {stud} from its middle, where clamping is greatest"
    )
    if joint.passage_mm is not None:
        off = show.value(joint.passage_mm, suffix="mm", digits=2)
        said += f"; the nearest passage, {joint.passage}, is {off} away"
    if joint.narrow:
        places = " and ".join(
            f"to {each.called} at {clock_words(each.angle_deg or 0.0)}" for each in joint.narrow
        )
        said += f"; it keeps clear of the narrow land {places}"
    return f"{said}."


def clock_words(angle_deg: float) -> str:
    """An angle as a place on a clock's face: 90 degrees is 12 o'clock.

    Parameters
    ----------
    angle_deg
        angle counter-clockwise from the right [deg], scalar

    Returns
    -------
    str
        to the nearest half hour

    References
    ----------
    Common practice, no source.

    """
    halves = round((90.0 - angle_deg) / 15.0) % 24
    hour, half = divmod(halves, 2)
    return f"half past {hour or 12}" if half else f"{hour or 12} o'clock"


Arc = tuple[float, float]
"""Part of a ring that is not clear: its middle and its half width [rad]."""


def _passage_arcs(ring: Ring, openings: Sequence[Opening], clear: float) -> Iterator[Arc]:
    R = ring.diameter_mm / 2.0
    for opening in openings:
        dx, dy = opening.x_mm - ring.x_mm, opening.y_mm - ring.y_mm
        D, reach = hypot(dx, dy), opening.diameter_mm / 2.0 + clear
        if reach >= D + R:
            yield 0.0, _ALL_ROUND
        elif abs(D - R) < reach:
            yield atan2(dy, dx), acos((D * D + R * R - reach * reach) / (2.0 * D * R))


def _narrow_arcs(ring: Ring, narrow: Sequence[Land], keep: float) -> Iterator[Arc]:
    share = keep / ring.diameter_mm
    half = 2.0 * asin(share) if share <= 1.0 else _ALL_ROUND
    for land in narrow:
        if land.angle_deg is not None:
            yield land.angle_deg / 180.0 * pi, half


def _ends(arcs: Sequence[Arc]) -> Iterator[float]:
    for middle, half in arcs:
        yield middle - half
        yield middle + half


def _is_clear(angle: float, arc: Arc) -> bool:
    middle, half = arc
    return _between(angle, middle) >= half - _ALLOWANCE


def _between(one: float, other: float) -> float:
    """The angle between two directions, 0 to pi."""
    turn = abs(one - other) % (2.0 * pi)
    return min(turn, 2.0 * pi - turn)


def _direction(ring: Ring, stud: Stud) -> float:
    return atan2(stud.y_mm - ring.y_mm, stud.x_mm - ring.x_mm)


def _joint(ring: Ring, angle: float, *, sheet: HeadSheet, narrow: tuple[Land, ...]) -> Joint:
    R = ring.diameter_mm / 2.0
    x, y = ring.x_mm + R * cos(angle), ring.y_mm + R * sin(angle)
    stud_mm, stud = min((hypot(s.x_mm - x, s.y_mm - y), s.name) for s in sheet.studs)
    passage_mm, passage = min(
        ((hypot(o.x_mm - x, o.y_mm - y) - o.diameter_mm / 2.0, o.name) for o in sheet.openings),
        default=(None, ""),
    )
    return Joint(
        cylinder=ring.cylinder,
        angle_deg=degrees(angle) % 360.0,
        x_mm=x,
        y_mm=y,
        stud=stud,
        stud_mm=stud_mm,
        passage=passage,
        passage_mm=passage_mm,
        narrow=narrow,
    )


def _preference(joint: Joint) -> tuple[float, ...]:
    """Nearest a stud, then far from narrow lands, then far from passages, then in order."""
    angle = joint.angle_deg / 180.0 * pi
    off = min(
        (_between(angle, (n.angle_deg or 0.0) / 180.0 * pi) for n in joint.narrow), default=pi
    )
    passage = 0.0 if joint.passage_mm is None else joint.passage_mm
    return (
        round(joint.stud_mm, _DIGITS),
        -round(off, _DIGITS),
        -round(passage, _DIGITS),
        round(joint.angle_deg, _DIGITS),
    )
