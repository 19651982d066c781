"""What a deck cut and seat cuts do to a chamber and its compression ratio."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

from castworthy.calc.chamber.room import (
    CM3_MM3,
    CompressionRatio,
    CylinderRoom,
    compression_ratio,
    disc_cm3,
)
from castworthy.calc.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveSink:
    """How far a valve of a cylinder sinks: seat cut and face cut together, along its axis."""

    diameter_mm: float
    sink_mm: float
    u_sink_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomCut:
    """Work on one cylinder's chamber.

    ``deck_cut_mm`` is the stock taken at this cylinder, ``area_mm2`` the chamber's opening in the
    deck (needed for a deck cut), ``valves`` those of this cylinder.
    """

    deck_cut_mm: float = 0.0
    area_mm2: float = 0.0
    valves: tuple[ValveSink, ...] = ()
    u_deck_cut_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RatioChange:
    """A cylinder before and after the work."""

    before: CompressionRatio
    after: CompressionRatio
    chamber_change_cm3: float
    ratio_change: float


def chamber_change_cm3(cut: RoomCut) -> float:
    """How a chamber's volume changes.

    Parameters
    ----------
    cut : RoomCut
        Deck cut and sunk valves.

    Returns
    -------
    float
        sum of pi/4 D^2 s - A c [cm3], negative where the chamber shrinks.

    References
    ----------
    Plane geometry; linear in the cuts while the chamber's wall is square to the deck.

    """
    sunk = sum(disc_cm3(diameter_mm=v.diameter_mm, height_mm=v.sink_mm) for v in cut.valves)
    return sunk - cut.area_mm2 * cut.deck_cut_mm / CM3_MM3


def room_after(room: CylinderRoom, *, cut: RoomCut) -> CylinderRoom:
    """A cylinder after work on its chamber.

    Parameters
    ----------
    room : CylinderRoom
        The cylinder before.
    cut : RoomCut
        Deck cut and sunk valves.

    Returns
    -------
    CylinderRoom
        The same with its new chamber volume and its uncertainty [cm3].

    Raises
    ------
    InputError
        If the deck cut is negative or has no opening, or takes more than the chamber.

    References
    ----------
    :func:`chamber_change_cm3`; JCGM 100:2008, 5.1.2.

    """
    if not (cut.deck_cut_mm == 0.0 or (cut.deck_cut_mm > 0.0 and cut.area_mm2 > 0.0)):
        raise InputError(
            "A deck cut is 0 or more over a chamber opening above 0, got "
            f"{cut.deck_cut_mm:.4f} mm and {cut.area_mm2:.1f} mm2."
        )
    volume = room.chamber_cm3 + chamber_change_cm3(cut)
    if volume < 0.0:
        raise InputError(
            f"Cylinder {room.name or '?'}: a cut of {cut.deck_cut_mm:.3f} mm takes more than the "
            f"whole chamber, got {volume:.2f} cm3 left; check the opening's area."
        )
    return replace(room, chamber_cm3=volume, u_chamber_cm3=_u_chamber(room, cut=cut))


def ratio_change(room: CylinderRoom, *, cut: RoomCut) -> RatioChange:
    """Compression ratio of a cylinder before and after the work.

    Parameters
    ----------
    room : CylinderRoom
        The cylinder before.
    cut : RoomCut
        Deck cut and sunk valves.

    Returns
    -------
    RatioChange
        Both ratios [-] and the change of the chamber [cm3].

    Raises
    ------
    InputError
        If the work cannot be.

    References
    ----------
    :func:`room_after`, :func:`castworthy.calc.chamber.room.compression_ratio`.

    """
    before, after = compression_ratio(room), compression_ratio(room_after(room, cut=cut))
    return RatioChange(
        before=before,
        after=after,
        chamber_change_cm3=chamber_change_cm3(cut),
        ratio_change=after.ratio - before.ratio,
    )


def deck_cut_for_chamber_mm(
    room: CylinderRoom, *, wanted_chamber_cm3: float, area_mm2: float, valves: Sequence[ValveSink]
) -> float:
    """Deck cut that brings a chamber to a wanted volume, the valves sunk as given.

    Parameters
    ----------
    room : CylinderRoom
        The cylinder before.
    wanted_chamber_cm3 : float
        Chamber volume wanted [cm3].
    area_mm2 : float
        The chamber's opening in the deck [mm2], above 0.
    valves : sequence of ValveSink
        Valves of the cylinder and how far they sink.

    Returns
    -------
    float
        (chamber now + sunk - wanted) / area [mm]; negative where metal would have to be put on.

    Raises
    ------
    InputError
        If the opening is not positive.

    References
    ----------
    :func:`chamber_change_cm3` turned round.

    """
    if not area_mm2 > 0.0:
        raise InputError(f"A chamber's opening is above 0, got {area_mm2:.1f} mm2.")
    sunk = sum(disc_cm3(diameter_mm=v.diameter_mm, height_mm=v.sink_mm) for v in valves)
    return (room.chamber_cm3 + sunk - wanted_chamber_cm3) * CM3_MM3 / area_mm2


def _u_chamber(room: CylinderRoom, *, cut: RoomCut) -> float | None:
    shares = [
        room.u_chamber_cm3,
        None if cut.u_deck_cut_mm is None else cut.area_mm2 * cut.u_deck_cut_mm / CM3_MM3,
        *(
            None
            if v.u_sink_mm is None
            else disc_cm3(diameter_mm=v.diameter_mm, height_mm=v.u_sink_mm)
            for v in cut.valves
        ),
    ]
    known = [share for share in shares if share is not None]
    return hypot(*known) if known else None
