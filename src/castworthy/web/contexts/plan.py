"""The plan page: the choices, the one looked at, and what it rests on."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from castworthy.calc.quantity import Quantity
from castworthy.units.phrase import listed
from castworthy.web.contexts.figures import counted, measure_link, quantity_name
from castworthy.web.contexts.plan_cards import Card
from castworthy.web.contexts.plan_shown import PlanShown

_MOST_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A way to somewhere, in words."""

    words: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """What a plan does without: the sentence and the ways to measure it."""

    sentence: str
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong with a head, with its picture."""

    label: str
    value: str
    bar: SafeString
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Letting a head go as it is.  ``deed`` is the address part: send-back or scrap.

    ``gone`` says that it is gone already.
    """

    title: str
    deed: str
    button: str
    sentence: str
    hint: str
    faults_title: str
    faults: tuple[Fault, ...]
    no_faults: str
    gone: str
    may_return: bool
    claim: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """All of the plan page.  ``unmade`` says why there is nothing to choose from yet, ``done``
    that its work is done and holds.
    """

    unmade_title: str = ""
    unmade: str = ""
    can_plan: bool = False
    outdated: str = ""
    done: str = ""
    missing: Missing | None = None
    cards: tuple[Card, ...] = ()
    shown_key: str = ""
    shown: PlanShown | None = None
    away: Away | None = None


def missing_of(places: tuple[tuple[Quantity, str], ...], *, tag: str) -> Missing | None:
    """What was not measured, by quantity, with the way to it; ``None`` when nothing is missing."""
    by_quantity: dict[Quantity, list[str]] = {}
    for quantity, place in places:
        by_quantity.setdefault(quantity, []).append(place)
    if not by_quantity:
        return None
    return Missing(
        sentence=f"Not measured, so not planned for: {_said(by_quantity)}. The plan may change.",
        links=tuple(
            Link(
                words=f"Measure {quantity_name(quantity)}",
                address=measure_link(tag, quantity=quantity, place=at[0]),
            )
            for quantity, at in by_quantity.items()
        ),
    )


def _said(by_quantity: dict[Quantity, list[str]]) -> str:
    return "; ".join(_places(quantity, at) for quantity, at in by_quantity.items())


def _places(quantity: Quantity, at: list[str]) -> str:
    named = [place for place in at if place]
    if not named:
        return quantity_name(quantity)
    if len(named) > _MOST_NAMED:
        return f"{quantity_name(quantity)} at {counted(len(named), 'place')}"
    return f"{quantity_name(quantity)} at {listed(named)}"
