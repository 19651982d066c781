"""Where a head stands after work that was really taken, until it is measured again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import hypot, pi

from castworthy.calc.head import HeadSheet, Reading
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import OperationKind

_SINKS = (OperationKind.SEAT, OperationKind.FACE, OperationKind.INSERT)
_LOADS = (Quantity.SEAT_LOAD, Quantity.OPEN_LOAD)


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenCut:
    """One signed operation: ``taken_mm`` is the metal taken, or what was fitted in all."""

    kind: OperationKind
    place: str
    taken_mm: float


def predicted_reading(
    reading: Reading, *, sheet: HeadSheet, cuts: Sequence[TakenCut]
) -> Reading | None:
    """Move a reading by the operations signed since it was taken.

    Parameters
    ----------
    reading : Reading
        The reading, in the unit of its quantity.
    sheet : HeadSheet
        The head's sheet: geometry, springs and the uncertainty of each cut.
    cuts : sequence of TakenCut
        The operations that disturb this reading, lengths in mm, each with what it took.

    Returns
    -------
    Reading or None
        The reading with the uncertainty of the cuts added; ``None`` where no sum tells what
        the work left (finish, flatness, seat width, a new valve or guide): it must be
        measured.

    References
    ----------
    DOMAIN section 3 (what one cut moves), a level deck cut; JCGM 100:2008, 5.1.2 (independent
    parts add in quadrature); common practice, no source.

    """
    value, u = reading.value, reading.u
    for cut in cuts:
        change = _change(reading.quantity, place=reading.place, cut=cut, sheet=sheet)
        if change is None:
            return None
        value += change
        if u is not None:
            u = hypot(u, _u_of(reading.quantity, place=reading.place, cut=cut, sheet=sheet))
    return replace(reading, value=value, u=u)


def sinking_mm(cuts: Sequence[TakenCut]) -> float:
    """How far operations at one valve sink it along its axis.

    Parameters
    ----------
    cuts : sequence of TakenCut
        Operations at the valve; those that do not sink it count for nothing.

    Returns
    -------
    float
        Seat and face cuts less what a new insert brings [mm].

    References
    ----------
    DOMAIN section 3 (what one cut moves).

    """
    return sum(
        -each.taken_mm if each.kind is OperationKind.INSERT else each.taken_mm
        for each in cuts
        if each.kind in _SINKS
    )


def _change(quantity: Quantity, *, place: str, cut: TakenCut, sheet: HeadSheet) -> float | None:
    """What an operation adds to a quantity; ``None`` where only a reading tells."""
    if cut.kind is OperationKind.SURFACE:
        return _surfaced(quantity, place=place, taken_mm=cut.taken_mm, sheet=sheet)
    if cut.kind in _SINKS:
        return _sunk(quantity, place=place, cut=cut, sheet=sheet)
    if cut.kind is OperationKind.TIP and quantity is Quantity.TIP_HEIGHT:
        return -cut.taken_mm
    if cut.kind is OperationKind.SHIM:
        return _shimmed(quantity, place=place, shims_mm=cut.taken_mm, sheet=sheet)
    if cut.kind is OperationKind.WASHER and quantity is Quantity.INJECTOR_PROTRUSION:
        return -cut.taken_mm
    return None


def _surfaced(quantity: Quantity, *, place: str, taken_mm: float, sheet: HeadSheet) -> float | None:
    match quantity:
        case Quantity.RECESSION | Quantity.DECK_THICKNESS | Quantity.HEAD_HEIGHT:
            return -taken_mm
        case Quantity.INJECTOR_PROTRUSION:
            return taken_mm
        case Quantity.CHAMBER_VOLUME:
            return -chamber_area_mm2(place, sheet=sheet) * taken_mm / 1000.0
    return None


def _sunk(quantity: Quantity, *, place: str, cut: TakenCut, sheet: HeadSheet) -> float | None:
    sinks_mm = sinking_mm((cut,))
    valve = sheet.valve(cut.place)
    match quantity:
        case Quantity.RECESSION:
            return sinks_mm * valve.sink_ratio
        case Quantity.TIP_HEIGHT | Quantity.SPRING_HEIGHT | Quantity.COIL_BIND:
            return sinks_mm
        case Quantity.SEAT_LOAD | Quantity.OPEN_LOAD:
            return _load_change(place, lower_mm=-sinks_mm, sheet=sheet)
        case Quantity.CHAMBER_VOLUME:
            return pi / 4 * valve.head_diameter_mm**2 * sinks_mm / 1000.0
        case Quantity.MARGIN:
            return -cut.taken_mm if cut.kind is OperationKind.FACE else None
    return None


def _shimmed(quantity: Quantity, *, place: str, shims_mm: float, sheet: HeadSheet) -> float | None:
    if quantity in _LOADS:
        return _load_change(place, lower_mm=shims_mm, sheet=sheet)
    return -shims_mm if quantity in (Quantity.SPRING_HEIGHT, Quantity.COIL_BIND) else None


def _load_change(place: str, *, lower_mm: float, sheet: HeadSheet) -> float | None:
    spring = sheet.spring_for(place)
    return None if spring is None else spring.rate_n_per_mm * lower_mm


def chamber_area_mm2(cylinder: str, *, sheet: HeadSheet) -> float:
    """The area by which a deck cut shrinks a chamber: the sheet's, else its valve heads'.

    References
    ----------
    A flat deck has no other recess than its valves: common practice, no source.

    """
    own = next(c.chamber_area_mm2 for c in sheet.cylinders if c.name == cylinder)
    if own is not None:
        return own
    heads = (v.head_diameter_mm for v in sheet.valves if v.cylinder == cylinder)
    return pi / 4 * sum(diameter**2 for diameter in heads)


_U_OF: dict[OperationKind, Callable[[HeadSheet], float]] = {
    OperationKind.SURFACE: lambda sheet: sheet.work.u_deck_cut_mm,
    OperationKind.SEAT: lambda sheet: sheet.work.u_seat_cut_mm,
    OperationKind.FACE: lambda sheet: sheet.work.u_seat_cut_mm,
}


def _u_of(quantity: Quantity, *, place: str, cut: TakenCut, sheet: HeadSheet) -> float:
    """The cut's own standard uncertainty, in the unit of the quantity."""
    if cut.kind not in _U_OF:
        return 0.0
    one = TakenCut(kind=cut.kind, place=cut.place, taken_mm=_U_OF[cut.kind](sheet))
    return abs(_change(quantity, place=place, cut=one, sheet=sheet) or 0.0)
