"""Words for quantities: where they are read, what too much and too little of them is called."""

from dataclasses import dataclass

from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.units import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """What is said of a quantity: ``{place}`` and ``{by}`` are filled in.

    ``high_limit`` and ``low_limit`` name its limits.
    """

    subject: str
    above: str
    below: str
    high_limit: str = "high limit"
    low_limit: str = "low limit"


WORDINGS: dict[Quantity, Wording] = {
    Quantity.HEIGHT: Wording(
        subject="The deck at {place}",
        above="The deck at {place} is too high by {by}",
        below="The deck at {place} is too low by {by}",
    ),
    Quantity.RECESSION: Wording(
        subject="{place}",
        above="{place} is too deep by {by}",
        below="{place} stands too high: {by} short of the shallow limit",
        high_limit="deep limit",
        low_limit="shallow limit",
    ),
    Quantity.DECK_THICKNESS: Wording(
        subject="The deck at {place}",
        above="The deck at {place} is too thick by {by}",
        below="The deck at {place} is too thin by {by}",
        low_limit="least thickness",
        high_limit="greatest thickness",
    ),
    Quantity.HEAD_HEIGHT: Wording(
        subject="The head's height",
        above="The head is too tall by {by}",
        below="The head is too low by {by}",
        low_limit="least height",
        high_limit="greatest height",
    ),
    Quantity.FLATNESS: Wording(
        subject="The deck's flatness",
        above="The deck is out of flat by {by} more than allowed",
        below="The deck's flatness is {by} under its low limit",
    ),
    Quantity.LOCAL_FLATNESS: Wording(
        subject="The deck's local flatness",
        above="The deck is locally out of flat by {by} more than allowed",
        below="The deck's local flatness is {by} under its low limit",
    ),
    Quantity.FINISH_RA: Wording(
        subject="The deck's finish (Ra)",
        above="The deck is too rough by {by} (Ra)",
        below="The deck is too smooth by {by} (Ra)",
        high_limit="rough limit",
        low_limit="smooth limit",
    ),
    Quantity.FINISH_RZ: Wording(
        subject="The deck's finish (Rz)",
        above="The deck is too rough by {by} (Rz)",
        below="The deck is too smooth by {by} (Rz)",
        high_limit="rough limit",
        low_limit="smooth limit",
    ),
    Quantity.WAVINESS_WT: Wording(
        subject="The deck's waviness (Wt)",
        above="The deck is too wavy by {by} (Wt)",
        below="The deck's waviness is {by} under its low limit (Wt)",
    ),
    Quantity.TIP_HEIGHT: Wording(
        subject="The tip of {place}",
        above="The tip of {place} stands too tall by {by}",
        below="The tip of {place} is too low by {by}",
    ),
    Quantity.SPRING_HEIGHT: Wording(
        subject="The spring of {place}",
        above="The spring of {place} stands too tall by {by}",
        below="The spring of {place} stands too short by {by}",
    ),
    Quantity.SEAT_LOAD: Wording(
        subject="The seat load of {place}",
        above="The spring of {place} presses too hard when shut by {by}",
        below="The spring of {place} presses too little when shut by {by}",
    ),
    Quantity.OPEN_LOAD: Wording(
        subject="The open load of {place}",
        above="The spring of {place} presses too hard when open by {by}",
        below="The spring of {place} presses too little when open by {by}",
    ),
    Quantity.COIL_BIND: Wording(
        subject="The coil-bind margin of {place}",
        above="The spring of {place} has {by} more room before coil bind than allowed",
        below="The spring of {place} has {by} too little room before coil bind",
    ),
    Quantity.MARGIN: Wording(
        subject="The margin of {place}",
        above="The margin of {place} is too thick by {by}",
        below="The margin of {place} is too thin by {by}",
        low_limit="least margin",
    ),
    Quantity.SEAT_WIDTH: Wording(
        subject="The seat of {place}",
        above="The seat of {place} is too wide by {by}",
        below="The seat of {place} is too narrow by {by}",
    ),
    Quantity.SEAT_RUNOUT: Wording(
        subject="The seat run-out of {place}",
        above="The seat of {place} runs out by {by} too much",
        below="The seat run-out of {place} is {by} under its low limit",
    ),
    Quantity.GUIDE_CLEARANCE: Wording(
        subject="The guide of {place}",
        above="The guide of {place} is too loose by {by}",
        below="The guide of {place} is too tight by {by}",
        high_limit="loose limit",
        low_limit="tight limit",
    ),
    Quantity.INJECTOR_PROTRUSION: Wording(
        subject="The injector of cylinder {place}",
        above="The injector of cylinder {place} stands out too far by {by}",
        below="The injector of cylinder {place} stands out too little by {by}",
    ),
    Quantity.CHAMBER_VOLUME: Wording(
        subject="The chamber of cylinder {place}",
        above="The chamber of cylinder {place} is too large by {by}",
        below="The chamber of cylinder {place} is too small by {by}",
    ),
    Quantity.RING_STAND: Wording(
        subject="The ring of cylinder {place}",
        above="The ring of cylinder {place} stands out too far by {by}",
        below="The ring of cylinder {place} stands out too little by {by}",
    ),
    Quantity.VACUUM_HOLD: Wording(
        subject="The vacuum at {place}",
        above="{place} holds {by} more vacuum than the high limit",
        below="{place} holds {by} too little vacuum",
    ),
    Quantity.PRESSURE_HOLD: Wording(
        subject="The pressure in the jacket",
        above="The jacket holds {by} more pressure than the high limit",
        below="The jacket holds {by} too little pressure",
    ),
}
"""The words of every quantity."""

_SIDES = {
    Quantity.RECESSION: ("below the deck", "above the deck", "flush with the deck"),
    Quantity.INJECTOR_PROTRUSION: ("above the deck", "below the deck", "flush with the deck"),
    Quantity.RING_STAND: ("above the deck", "below the deck", "flush with the deck"),
    Quantity.HEIGHT: ("above the plane", "below the plane", "on the plane"),
}
_EXTRA_DIGITS = 3


def subject(quantity: Quantity, *, place: str) -> str:
    """What is spoken of, as the beginning of a sentence."""
    return WORDINGS[quantity].subject.format(place=place)


def side_of(value: float, *, quantity: Quantity) -> str:
    """The side a value lies on in words, empty for quantities without sides.

    Parameters
    ----------
    value : float
        Signed value in the unit of the quantity.
    quantity : Quantity
        The quantity.

    References
    ----------
    Signs as in docs/names-and-units.md; no outside source.

    """
    sides = _SIDES.get(quantity)
    if sides is None:
        return ""
    return sides[2] if value == 0 else sides[0] if value > 0 else sides[1]


def own_show(show: Show, *, quantity: Quantity) -> Show:
    """The person's units for one quantity: vacuum is read in inches of mercury, not in psi."""
    return show.of_vacuum() if quantity is Quantity.VACUUM_HOLD else show


def reading_phrase(value: float, *, quantity: Quantity, show: Show) -> str:
    """A reading with its unit and side: ``0.0427 in below the deck``.

    Parameters
    ----------
    value : float
        Signed value in the unit of the quantity.
    quantity : Quantity
        The quantity.
    show : Show
        The person's units.

    References
    ----------
    Signs as in docs/names-and-units.md; no outside source.

    """
    side = side_of(value, quantity=quantity)
    suffix = FACTS[quantity].suffix
    show = own_show(show, quantity=quantity)
    if side:
        return side if value == 0 else f"{_not_nothing(abs(value), suffix, show)} {side}"
    return _not_nothing(value, suffix, show)


def _not_nothing(value: float, suffix: str, show: Show, *, difference: bool = False) -> str:
    """A value in the usual digits, or in more where those would round it to nothing."""
    usual = show.number(value, suffix=suffix, difference=difference)
    unit = show.unit(suffix, difference=difference)
    digits = len(usual.partition(".")[2])
    if value == 0:
        return f"{usual} {unit}"
    for more in range(_EXTRA_DIGITS + 1):
        text = show.number(value, suffix=suffix, difference=difference, digits=digits + more)
        if text.strip("-0."):
            return f"{text} {unit}"
    return f"less than 0.{'0' * (digits + _EXTRA_DIGITS - 1)}1 {unit}"


def amount_phrase(value: float, *, quantity: Quantity, show: Show) -> str:
    """A difference of a quantity without its sign: ``2.8 thou``; never rounded to nothing.

    Parameters
    ----------
    value : float
        Difference in the unit of the quantity.
    quantity : Quantity
        The quantity.
    show : Show
        The person's units.

    References
    ----------
    No outside source.

    """
    own = own_show(show, quantity=quantity)
    return _not_nothing(abs(value), FACTS[quantity].suffix, own, difference=True)


def place_phrase(quantity: Quantity, *, place: str) -> str:
    """Where a quantity is read: ``valve 2B``, ``cylinder 3``, ``T3``, ``the head``."""
    match FACTS[quantity].site:
        case Site.VALVE:
            return f"valve {place}"
        case Site.CYLINDER:
            return f"cylinder {place}"
        case Site.HEAD:
            return "the head"
        case _:
            return place
