"""Which readings an operation makes stale."""

from castworthy.calc.errors import InputError
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import OperationKind

_VALVE_SINKS = (
    Quantity.RECESSION,
    Quantity.TIP_HEIGHT,
    Quantity.SPRING_HEIGHT,
    Quantity.SEAT_LOAD,
    Quantity.OPEN_LOAD,
    Quantity.COIL_BIND,
    Quantity.CHAMBER_VOLUME,
    Quantity.VACUUM_HOLD,
)
_SPRING = (
    Quantity.SPRING_HEIGHT,
    Quantity.SEAT_LOAD,
    Quantity.OPEN_LOAD,
    Quantity.COIL_BIND,
)

DISTURBS: dict[OperationKind, tuple[Quantity, ...]] = {
    OperationKind.CLEAN: (),
    OperationKind.CRACK_CHECK: (),
    OperationKind.STRAIGHTEN: (
        Quantity.HEIGHT,
        Quantity.FLATNESS,
        Quantity.LOCAL_FLATNESS,
        Quantity.WAVINESS_WT,
        Quantity.PRESSURE_HOLD,
    ),
    OperationKind.GUIDE: (
        Quantity.GUIDE_CLEARANCE,
        Quantity.SEAT_RUNOUT,
        Quantity.VACUUM_HOLD,
    ),
    OperationKind.SURFACE: (
        Quantity.HEIGHT,
        Quantity.RECESSION,
        Quantity.DECK_THICKNESS,
        Quantity.HEAD_HEIGHT,
        Quantity.FLATNESS,
        Quantity.LOCAL_FLATNESS,
        Quantity.FINISH_RA,
        Quantity.FINISH_RZ,
        Quantity.WAVINESS_WT,
        Quantity.INJECTOR_PROTRUSION,
        Quantity.CHAMBER_VOLUME,
        Quantity.RING_STAND,
        Quantity.PRESSURE_HOLD,
    ),
    OperationKind.RING_GROOVE: (Quantity.RING_STAND,),
    OperationKind.INSERT: (
        *_VALVE_SINKS,
        Quantity.SEAT_WIDTH,
        Quantity.SEAT_RUNOUT,
        Quantity.PRESSURE_HOLD,
    ),
    OperationKind.VALVE: (*_VALVE_SINKS, Quantity.MARGIN, Quantity.GUIDE_CLEARANCE),
    OperationKind.FACE: (*_VALVE_SINKS, Quantity.MARGIN),
    OperationKind.SEAT: (*_VALVE_SINKS, Quantity.SEAT_WIDTH, Quantity.SEAT_RUNOUT),
    OperationKind.TIP: (Quantity.TIP_HEIGHT,),
    OperationKind.WASH: (),
    OperationKind.RING: (Quantity.RING_STAND,),
    OperationKind.SHIM: _SPRING,
    OperationKind.WASHER: (Quantity.INJECTOR_PROTRUSION,),
}
"""The quantities each operation changes, at its own place or (on the deck) everywhere."""

_AT_HEAD = (OperationKind.SURFACE, OperationKind.STRAIGHTEN)


def disturbed_by(
    sheet: HeadSheet, *, kind: OperationKind, place: str
) -> frozenset[tuple[Quantity, str]]:
    """The (quantity, place) pairs whose readings an operation makes stale.

    An operation on the deck disturbs its quantities at every place; one at a valve disturbs
    them at that valve, and the chamber volume of its cylinder; proof tests count as readings.

    Raises
    ------
    InputError
        If the operation is not done at such a place on this sheet.

    References
    ----------
    DOMAIN section 3 (what one cut moves); common practice, no source.

    """
    quantities = DISTURBS[kind]
    if kind in _AT_HEAD:
        return frozenset((q, site) for q in quantities for site in sheet.sites_of(q))
    valves = {valve.name: valve.cylinder for valve in sheet.valves}
    cylinders = {cylinder.name for cylinder in sheet.cylinders}
    if quantities and place not in valves and place not in cylinders:
        raise InputError(f"Sheet {sheet.code} has no valve or cylinder {place!r} to {kind} at.")
    at = {Site.VALVE: place, Site.CYLINDER: valves.get(place, place), Site.HEAD: ""}
    return frozenset((q, at[FACTS[q].site]) for q in quantities)
