"""Numbers of a head as a page writes them: with unit, with side, with the way to their place."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from castworthy.calc.decision.phrases import own_show, side_of
from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.units import Show

_USUAL = {Quantity.RECESSION: "below the deck", Quantity.INJECTOR_PROTRUSION: "above the deck"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number with its unit; ``side`` only where the number lies on the unusual side."""

    number: str
    unit: str
    side: str = ""

    def __str__(self) -> str:
        return " ".join(part for part in (self.number, self.unit, self.side) if part)


def figure_of(quantity: Quantity, *, value: float, show: Show) -> Figure:
    """The value of a quantity: its size, its unit, its side when it is not the usual one."""
    suffix = FACTS[quantity].suffix
    show = own_show(show, quantity=quantity)
    side = side_of(value, quantity=quantity)
    size = abs(value) if side else value
    return Figure(
        number=show.number(size, suffix=suffix),
        unit=show.unit(suffix),
        side="" if side == _USUAL.get(quantity, "") else side,
    )


def place_label(quantity: Quantity, *, place: str) -> str:
    """What people call the place: "2B", "cylinder 3", "T3"; empty for the whole head."""
    if FACTS[quantity].site is Site.CYLINDER and place:
        return f"cylinder {place}"
    return place


def place_note(sheet: HeadSheet, *, quantity: Quantity, place: str) -> str:
    """What more there is to say of a place: "intake" or "exhaust" for a valve."""
    if FACTS[quantity].site is Site.VALVE and place:
        return sheet.valve(place).kind.value
    return ""


def measure_link(tag: str, *, quantity: Quantity, place: str = "") -> str:
    """The way to the run sheet, at that quantity and place."""
    query = {"quantity": quantity.value} | ({"place": place} if place else {})
    return f"{reverse('measure', args=[tag])}?{urlencode(query)}"


def counted(count: int, one: str, many: str = "") -> str:
    """A count with its word: "1 valve", "24 valves"."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def quantity_name(quantity: Quantity) -> str:
    """What a quantity is called inside a sentence: "tip height", "finish Ra"."""
    title = FACTS[quantity].title
    return f"{title[0].lower()}{title[1:]}"
