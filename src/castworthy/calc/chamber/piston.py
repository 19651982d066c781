"""Where the piston is, and how near a valve comes to it."""

from dataclasses import dataclass, replace
from math import cos, hypot, radians

import numpy as np
from numpy.typing import NDArray

from castworthy.calc.errors import InputError

PRACTICES = (
    "Turn the engine over by hand, twice round, before the starter ever turns it; stop where it "
    "binds.",
    "Prove the figure on the engine: clay on the crown, or a light spring under the valve and a "
    "dial, as the maker's manual says.",
    "Look at intake and exhaust: the exhaust is near while it closes, the intake as it opens.",
)
"""How a gap is proved.  Common practice, no source."""

CAUTION = (
    "A worn timing drive, a stretched belt and a hot engine take some of the gap away: what is "
    "wanted comes from the engine maker's manual."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crank:
    """Stroke and rod length, wrist pin on the cylinder's axis [mm]."""

    stroke_mm: float
    rod_mm: float

    def __post_init__(self) -> None:
        if not self.rod_mm > self.stroke_mm / 2.0 > 0.0:
            raise InputError(
                "A rod is longer than half the stroke, got "
                f"{self.rod_mm:.2f} mm and a stroke of {self.stroke_mm:.2f} mm."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveOverPiston:
    """A closed valve above the piston's crown at top dead centre.

    ``recession_mm`` is positive below the deck, ``pocket_mm`` the depth of the piston's pocket
    under the valve, ``deck_clearance_mm`` positive with the piston below the block's face.
    """

    gasket_mm: float
    deck_clearance_mm: float
    recession_mm: float
    pocket_mm: float = 0.0
    tilt_deg: float = 0.0
    u_gasket_mm: float | None = None
    u_deck_clearance_mm: float | None = None
    u_recession_mm: float | None = None
    u_pocket_mm: float | None = None

    @property
    def closed_gap_mm(self) -> float:
        """Gap with the valve closed and the piston at top dead centre."""
        return self.gasket_mm + self.deck_clearance_mm + self.recession_mm + self.pocket_mm

    @property
    def piston_to_head_mm(self) -> float:
        """Gap between the piston's crown and the deck at top dead centre."""
        return self.gasket_mm + self.deck_clearance_mm

    @property
    def u_piston_to_head_mm(self) -> float | None:
        """Standard uncertainty of that gap; ``None`` where neither part has one."""
        parts = [u for u in (self.u_gasket_mm, self.u_deck_clearance_mm) if u is not None]
        return hypot(*parts) if parts else None

    @property
    def u_gap_mm(self) -> float | None:
        """Standard uncertainty of the gap; ``None`` where no part has one."""
        parts = (
            self.u_gasket_mm,
            self.u_deck_clearance_mm,
            self.u_recession_mm,
            self.u_pocket_mm,
        )
        known = [part for part in parts if part is not None]
        return hypot(*known) if known else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PistonWork:
    """Work that moves a valve toward or away from its piston.

    ``sink_mm`` is seat cut and face cut together, along the valve's axis; ``gasket_mm`` the
    gasket fitted afterwards, as clamped, ``None`` for the same thickness.
    """

    deck_cut_mm: float = 0.0
    sink_mm: float = 0.0
    gasket_mm: float | None = None
    u_deck_cut_mm: float | None = None
    u_sink_mm: float | None = None

    def __post_init__(self) -> None:
        if not self.deck_cut_mm >= 0.0:
            raise InputError(f"A deck cut is 0 or more, got {self.deck_cut_mm:.4f} mm.")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LiftCurve:
    """Valve lift against crank angle, 0 at the top dead centre of the overlap; shape (n,)."""

    crank_deg: NDArray[np.float64]
    lift_mm: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveGap:
    """The least gap between valve and piston, and at which crank angle."""

    gap_mm: float
    u_gap_mm: float | None
    crank_deg: float
    lift_mm: float


def piston_drop_mm(crank_deg: float, *, crank: Crank) -> float:
    """How far a piston is below its top dead centre.

    Parameters
    ----------
    crank_deg : float
        Crank angle from top dead centre [deg].
    crank : Crank
        Stroke and rod.

    Returns
    -------
    float
        a (1 - cos t) + l - sqrt(l^2 - a^2 sin^2 t) with a half the stroke [mm].

    References
    ----------
    Slider-crank, as in Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine,
    chapter 2.

    """
    return float(_drop(np.asarray(crank_deg, dtype=float), crank=crank))


def after_work(place: ValveOverPiston, *, work: PistonWork) -> ValveOverPiston:
    """A valve over its piston after the work.

    Parameters
    ----------
    place : ValveOverPiston
        Heights before [mm].
    work : PistonWork
        Deck cut, sinking and gasket [mm].

    Returns
    -------
    ValveOverPiston
        Recession r - c + s cos(tilt), the new gasket, and their uncertainties [mm].

    References
    ----------
    DOMAIN section 3 (what one cut moves); JCGM 100:2008, 5.1.2.

    """
    lean = cos(radians(place.tilt_deg))
    u_sink = None if work.u_sink_mm is None else work.u_sink_mm * lean
    parts = [u for u in (place.u_recession_mm, work.u_deck_cut_mm, u_sink) if u is not None]
    return replace(
        place,
        gasket_mm=place.gasket_mm if work.gasket_mm is None else work.gasket_mm,
        recession_mm=place.recession_mm - work.deck_cut_mm + work.sink_mm * lean,
        u_recession_mm=hypot(*parts) if parts else None,
    )


def valve_gaps_mm(place: ValveOverPiston, *, crank: Crank, lifts: LiftCurve) -> NDArray[np.float64]:
    """The gap between a valve and the piston at every point of its lift curve.

    Parameters
    ----------
    place : ValveOverPiston
        Heights with the valve closed.
    crank : Crank
        Stroke and rod.
    lifts : LiftCurve
        Lift against crank angle.

    Returns
    -------
    ndarray
        Gaps [mm], shape (n,), negative where they meet.

    Raises
    ------
    InputError
        If the curve is empty, its columns differ in length, or a lift is negative.

    References
    ----------
    Plane geometry: gap = closed gap + drop - lift cos(tilt).

    """
    t, lift = np.asarray(lifts.crank_deg, dtype=float), np.asarray(lifts.lift_mm, dtype=float)
    if t.size == 0 or t.shape != lift.shape or not np.all(lift >= 0.0):
        raise InputError(
            "A lift curve has one lift of 0 or more for each crank angle, got "
            f"{t.size} angles and {lift.size} lifts."
        )
    gaps = place.closed_gap_mm + _drop(t, crank=crank) - lift * cos(radians(place.tilt_deg))
    return np.asarray(gaps, dtype=np.float64)


def gap_at_top_mm(place: ValveOverPiston, *, lift_mm: float) -> float:
    """The gap at top dead centre of the overlap with the valve lifted so far.

    Parameters
    ----------
    place : ValveOverPiston
        Heights with the valve closed.
    lift_mm : float
        Lift along the valve's axis [mm], 0 for a closed valve.

    Returns
    -------
    float
        Gap [mm], negative where they meet.

    References
    ----------
    Plane geometry: closed gap - lift cos(tilt).

    """
    return place.closed_gap_mm - lift_mm * cos(radians(place.tilt_deg))


def least_valve_gap(place: ValveOverPiston, *, crank: Crank, lifts: LiftCurve) -> ValveGap:
    """The least gap between a valve and the piston over its lift curve.

    Valve and piston are taken along the cylinder's axis at the points of the curve; between
    them the gap may be smaller, so give one every degree about top dead centre.

    Parameters
    ----------
    place : ValveOverPiston
        Heights with the valve closed.
    crank : Crank
        Stroke and rod.
    lifts : LiftCurve
        Lift against crank angle.

    Returns
    -------
    ValveGap
        Gap [mm], negative where they meet, with its crank angle.

    Raises
    ------
    InputError
        If the curve is empty, its columns differ in length, or a lift is negative.

    References
    ----------
    Plane geometry: gap = closed gap + drop - lift cos(tilt).  JCGM 100:2008, 5.1.2.

    """
    gaps = valve_gaps_mm(place, crank=crank, lifts=lifts)
    least = int(np.argmin(gaps))
    return ValveGap(
        gap_mm=float(gaps[least]),
        u_gap_mm=place.u_gap_mm,
        crank_deg=float(lifts.crank_deg[least]),
        lift_mm=float(lifts.lift_mm[least]),
    )


def _drop(crank_deg: NDArray[np.float64], *, crank: Crank) -> NDArray[np.float64]:
    a, rod = crank.stroke_mm / 2.0, crank.rod_mm
    t = np.radians(crank_deg)
    return np.asarray(a * (1.0 - np.cos(t)) + rod - np.sqrt(rod**2 - (a * np.sin(t)) ** 2))
