"""The room above a piston and the compression ratio it gives."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi

from castworthy.calc.errors import InputError
from castworthy.calc.valvetrain.first_order import combined_u

CM3_MM3 = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderRoom:
    """A cylinder and the room above its piston at top dead centre.

    ``chamber_cm3`` is the head's, valves in place and up to the deck.  ``gasket_mm`` is the gasket
    as clamped.  ``bowl_cm3`` is the piston's bowl and pockets.  ``deck_clearance_mm`` is positive
    with the piston below the block's face and negative with it standing proud.
    """

    name: str
    bore_mm: float
    stroke_mm: float
    chamber_cm3: float
    gasket_bore_mm: float
    gasket_mm: float
    bowl_cm3: float = 0.0
    deck_clearance_mm: float = 0.0
    u_bore_mm: float | None = None
    u_chamber_cm3: float | None = None
    u_gasket_mm: float | None = None
    u_bowl_cm3: float | None = None
    u_deck_clearance_mm: float | None = None

    def __post_init__(self) -> None:
        sizes = (self.bore_mm, self.stroke_mm, self.gasket_bore_mm)
        rest = (self.chamber_cm3, self.gasket_mm, self.bowl_cm3)
        if not (min(sizes) > 0.0 and min(rest) >= 0.0):
            raise InputError(
                f"Cylinder {self.name or '?'}: bore, stroke and gasket bore are above 0 and no "
                f"volume or thickness is below, got {', '.join(f'{x:g}' for x in (*sizes, *rest))}."
            )

    @property
    def piston_to_head_mm(self) -> float:
        """Gap between the piston's crown and the head's deck at top dead centre."""
        return self.gasket_mm + self.deck_clearance_mm

    @property
    def u_piston_to_head_mm(self) -> float | None:
        """Standard uncertainty of that gap; ``None`` where neither part has one."""
        if self.u_gasket_mm is None and self.u_deck_clearance_mm is None:
            return None
        return hypot(self.u_gasket_mm or 0.0, self.u_deck_clearance_mm or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CompressionRatio:
    """The ratio (Vs + Vc) / Vc of a cylinder and the volumes it comes from."""

    name: str
    ratio: float
    u_ratio: float | None
    swept_cm3: float
    clearance_cm3: float
    u_clearance_cm3: float | None
    chamber_cm3: float
    gasket_cm3: float
    bowl_cm3: float
    deck_cm3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far the cylinders of an engine differ: largest less smallest."""

    lowest: CompressionRatio
    highest: CompressionRatio
    spread_ratio: float
    clearance_spread_cm3: float
    u_spread_ratio: float | None


def disc_cm3(*, diameter_mm: float, height_mm: float) -> float:
    """Volume of a disc: a bore's swept volume, a gasket's hole, a sunk valve's pocket.

    Parameters
    ----------
    diameter_mm : float
        Diameter [mm].
    height_mm : float
        Height [mm]; a negative height gives a negative volume.

    Returns
    -------
    float
        pi / 4 D^2 h [cm3].

    References
    ----------
    Plane geometry.

    """
    return pi / 4.0 * diameter_mm**2 * height_mm / CM3_MM3


def compression_ratio(room: CylinderRoom) -> CompressionRatio:
    """Compression ratio of a cylinder, with what is known of its uncertainty.

    Parameters
    ----------
    room : CylinderRoom
        The cylinder.

    Returns
    -------
    CompressionRatio
        Ratio [-] and volumes [cm3].

    Raises
    ------
    InputError
        If nothing is left above the piston.

    References
    ----------
    (Vs + Vc) / Vc, textbook; JCGM 100:2008, 5.1.2.

    """
    swept = disc_cm3(diameter_mm=room.bore_mm, height_mm=room.stroke_mm)
    gasket = disc_cm3(diameter_mm=room.gasket_bore_mm, height_mm=room.gasket_mm)
    deck = disc_cm3(diameter_mm=room.bore_mm, height_mm=room.deck_clearance_mm)
    clearance = room.chamber_cm3 + gasket + room.bowl_cm3 + deck
    if not clearance > 0.0:
        raise InputError(
            f"Cylinder {room.name or '?'}: some room is left above the piston, got "
            f"{clearance:.2f} cm3; check the deck clearance and its sign."
        )
    values = {
        "bore": room.bore_mm,
        "chamber": room.chamber_cm3,
        "gasket": room.gasket_mm,
        "bowl": room.bowl_cm3,
        "deck": room.deck_clearance_mm,
    }
    u = {
        "bore": room.u_bore_mm,
        "chamber": room.u_chamber_cm3,
        "gasket": room.u_gasket_mm,
        "bowl": room.u_bowl_cm3,
        "deck": room.u_deck_clearance_mm,
    }
    return CompressionRatio(
        name=room.name,
        ratio=(swept + clearance) / clearance,
        u_ratio=combined_u(lambda v: _ratio_of(v, room=room), values=values, u=u),
        swept_cm3=swept,
        clearance_cm3=clearance,
        u_clearance_cm3=combined_u(lambda v: _clearance_of(v, room=room), values=values, u=u),
        chamber_cm3=room.chamber_cm3,
        gasket_cm3=gasket,
        bowl_cm3=room.bowl_cm3,
        deck_cm3=deck,
    )


def chamber_for_ratio_cm3(room: CylinderRoom, *, wanted_ratio: float) -> float:
    """Chamber volume that gives a wanted compression ratio, all else as it is.

    Parameters
    ----------
    room : CylinderRoom
        The cylinder; its own chamber is left out.
    wanted_ratio : float
        Compression ratio wanted [-], above 1.

    Returns
    -------
    float
        Vs / (ratio - 1) less gasket, bowl and deck clearance [cm3].

    Raises
    ------
    InputError
        If the ratio is 1 or less, or would need a chamber below nothing.

    References
    ----------
    (Vs + Vc) / Vc turned round.

    """
    if not wanted_ratio > 1.0:
        raise InputError(f"A compression ratio is above 1, got {wanted_ratio:g}.")
    now = compression_ratio(room)
    wanted = now.swept_cm3 / (wanted_ratio - 1.0) - (now.clearance_cm3 - room.chamber_cm3)
    if wanted < 0.0:
        raise InputError(
            f"A ratio of {wanted_ratio:g} leaves no room for a chamber, got {wanted:.2f} cm3; "
            "look at gasket and bowl."
        )
    return wanted


def spread_of(rooms: Sequence[CylinderRoom]) -> Spread:
    """How far the cylinders' compression ratios differ.

    Parameters
    ----------
    rooms : sequence of CylinderRoom
        Two cylinders or more.

    Returns
    -------
    Spread
        Largest less smallest ratio [-], with its standard uncertainty for independent readings.

    Raises
    ------
    InputError
        If there are fewer than two cylinders.

    References
    ----------
    JCGM 100:2008, 5.1.2.

    """
    if len(rooms) < 2:
        raise InputError(f"A spread is between two cylinders or more, got {len(rooms)}.")
    ratios = sorted((compression_ratio(room) for room in rooms), key=lambda each: each.ratio)
    lowest, highest = ratios[0], ratios[-1]
    u = None
    if lowest.u_ratio is not None or highest.u_ratio is not None:
        u = hypot(lowest.u_ratio or 0.0, highest.u_ratio or 0.0)
    volumes = [each.clearance_cm3 for each in ratios]
    return Spread(
        lowest=lowest,
        highest=highest,
        spread_ratio=highest.ratio - lowest.ratio,
        clearance_spread_cm3=max(volumes) - min(volumes),
        u_spread_ratio=u,
    )


def _clearance_of(v: dict[str, float], *, room: CylinderRoom) -> float:
    gasket = disc_cm3(diameter_mm=room.gasket_bore_mm, height_mm=v["gasket"])
    deck = disc_cm3(diameter_mm=v["bore"], height_mm=v["deck"])
    return v["chamber"] + gasket + v["bowl"] + deck


def _ratio_of(v: dict[str, float], *, room: CylinderRoom) -> float:
    swept = disc_cm3(diameter_mm=v["bore"], height_mm=room.stroke_mm)
    return 1.0 + swept / _clearance_of(v, room=room)
