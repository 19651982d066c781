"""What goes wrong when a limit cannot be kept, in shop words without figures."""

from castworthy.calc.quantity import Quantity

_Q = Quantity

_SHORTFALLS: dict[Quantity, tuple[str, str]] = {
    _Q.RECESSION: ("{place} stands too high: its seat runs out of depth", "{place} stays too deep"),
    _Q.DECK_THICKNESS: ("the deck gets too thin at {place}", "the deck stays too thick at {place}"),
    _Q.HEAD_HEIGHT: ("the head gets too low", "the head stays too tall"),
    _Q.FLATNESS: ("the deck is flatter than asked", "the deck stays out of flat"),
    _Q.LOCAL_FLATNESS: ("the deck is flatter than asked", "the deck stays locally out of flat"),
    _Q.FINISH_RA: ("the deck stays too smooth (Ra)", "the deck stays too rough (Ra)"),
    _Q.FINISH_RZ: ("the deck stays too smooth (Rz)", "the deck stays too rough (Rz)"),
    _Q.WAVINESS_WT: ("the deck's waviness stays too low (Wt)", "the deck stays wavy (Wt)"),
    _Q.TIP_HEIGHT: ("the tip of {place} ends too low", "the tip of {place} stands too tall"),
    _Q.SPRING_HEIGHT: (
        "the spring of {place} stands too short",
        "the spring of {place} stands too tall",
    ),
    _Q.SEAT_LOAD: (
        "the spring of {place} presses too little when shut",
        "the spring of {place} presses too hard when shut",
    ),
    _Q.OPEN_LOAD: (
        "the spring of {place} presses too little when open",
        "the spring of {place} presses too hard when open",
    ),
    _Q.COIL_BIND: (
        "the spring of {place} has too little room before coil bind",
        "the spring of {place} has too much room before coil bind",
    ),
    _Q.MARGIN: ("the margin of {place} gets too thin", "the margin of {place} stays too thick"),
    _Q.SEAT_WIDTH: ("the seat of {place} stays too narrow", "the seat of {place} stays too wide"),
    _Q.SEAT_RUNOUT: (
        "the seat run-out of {place} stays under its low limit",
        "the seat of {place} still runs out",
    ),
    _Q.GUIDE_CLEARANCE: (
        "the guide of {place} stays too tight",
        "the guide of {place} stays too loose",
    ),
    _Q.INJECTOR_PROTRUSION: (
        "the injector of cylinder {place} stands out too little",
        "the injector of cylinder {place} stands out too far",
    ),
    _Q.CHAMBER_VOLUME: (
        "the chamber of cylinder {place} gets too small",
        "the chamber of cylinder {place} stays too large",
    ),
    _Q.RING_STAND: (
        "the ring of cylinder {place} stands out too little",
        "the ring of cylinder {place} stands out too far",
    ),
    _Q.VACUUM_HOLD: ("{place} holds too little vacuum", "{place} holds too much vacuum"),
    _Q.PRESSURE_HOLD: ("the jacket does not hold", "the jacket holds too much pressure"),
}
"""For each quantity: what is said when its low, and when its high limit fails."""


def shortfall(quantity: Quantity, *, place: str, side: str) -> str:
    """What goes wrong when one side of a limit is not kept: ``2B stays too deep``."""
    low, high = _SHORTFALLS.get(quantity, ("{place} is too low", "{place} is too high"))
    return (low if side == "low" else high).format(place=place)
