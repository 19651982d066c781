"""The choices of a plan page side by side: three plans, and letting the head go."""

from dataclasses import dataclass

from castworthy.calc.rework.compare import Card as Choice
from castworthy.calc.rework.compare import CardKind
from castworthy.calc.rework.results import Objective
from castworthy.units import Show
from castworthy.web.contexts.figures import counted
from castworthy.web.templatetags.castworthy import bench_time, money

AWAY = "away"
"""The key of sending a head back or scrapping it; the others are objectives."""
_TITLES = {
    CardKind.COST: "Least cost",
    CardKind.DECK: "Most deck left",
    CardKind.SUREST: "Surest",
}
_KEYS = {
    CardKind.COST: Objective.COST.value,
    CardKind.DECK: Objective.DECK.value,
    CardKind.SUREST: Objective.SUREST.value,
    CardKind.SEND_BACK: AWAY,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A label and its figure."""

    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One choice.  ``closed`` cannot be looked at: there is no such plan."""

    key: str
    title: str
    price: str
    facts: tuple[Fact, ...]
    remark: str
    chosen: bool
    closed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """What letting this head go means: to whom, how it counts.

    ``lot_words`` says how the lot did so far ("1 of 9"), empty where that is not known.
    """

    customers: bool
    lot_code: str
    lot_words: str
    faults_count: int


def cards_for(
    choices: tuple[Choice, ...],
    *,
    chosen: Objective | None,
    parting: Parting,
    currency: str,
    show: Show,
) -> tuple[Card, ...]:
    """The cards of a page, in the order of the choices."""
    return tuple(
        _away(choice, parting=parting, currency=currency)
        if choice.kind is CardKind.SEND_BACK
        else _plan(choice, chosen=chosen, currency=currency, show=show)
        for choice in choices
    )


def title_of(objective: Objective) -> str:
    """What a plan of that objective is called."""
    return {
        Objective.COST: "Least cost",
        Objective.DECK: "Most deck left",
        Objective.SUREST: "Surest",
    }[objective]


def percent(probability: float) -> str:
    """A share as people read it, never rounded up to certainty."""
    if probability >= 0.9995:
        return "over 99.9 %"
    if probability >= 0.99:
        return f"{int(probability * 1000) / 10:.1f} %"
    return f"{int(probability * 100)} %"


def parting_title(*, customers: bool) -> str:
    """What the last card is called."""
    return "Scrap it" if customers else "Send it back"


def _plan(choice: Choice, *, chosen: Objective | None, currency: str, show: Show) -> Card:
    key = _KEYS[choice.kind]
    taken = chosen is not None and chosen.value == key
    if choice.plan is None:
        return Card(
            key=key,
            title=_TITLES[choice.kind],
            price="no plan",
            facts=(),
            remark="",
            chosen=False,
            closed=False,
        )
    facts = [
        Fact(name="Bench time", value=bench_time(choice.minutes) if choice.minutes else "none"),
        Fact(
            name="Deck taken",
            value=_length(choice.deck_cut_mm, show) if choice.deck_cut_mm else "none",
        ),
    ]
    if choice.deck_left_mm is not None:
        facts.append(Fact(name="Deck left after", value=_length(choice.deck_left_mm, show)))
    if choice.probability is not None:
        facts.append(Fact(name="Holds every limit", value=percent(choice.probability)))
    return Card(
        key=key,
        title=_TITLES[choice.kind],
        price=money(choice.cost, currency),
        facts=tuple(facts),
        remark=_remark(choice),
        chosen=taken,
        closed=False,
    )


def _remark(choice: Choice) -> str:
    if choice.same_as is not None:
        return f"The same work as {choice.same_as.value}."
    if choice.saves is not None and choice.saves < 0:
        return "More than a new casting."
    return ""


def _away(choice: Choice, *, parting: Parting, currency: str) -> Card:
    facts = []
    if choice.casting is not None:
        facts.append(Fact(name="A new casting", value=money(choice.casting, currency)))
    if parting.lot_words:
        facts.append(Fact(name=f"Lot {parting.lot_code} as received", value=parting.lot_words))
    sheet = "Faults on record" if parting.customers else "Claim sheet"
    facts.append(Fact(name=sheet, value=counted(parting.faults_count, "fault")))
    cost = (choice.cost or 0.0) - (choice.casting or 0.0)
    return Card(
        key=AWAY,
        title=parting_title(customers=parting.customers),
        price=money(cost, currency),
        facts=tuple(facts),
        remark="" if choice.casting is not None else "The sheet prices no new casting.",
        chosen=False,
        closed=False,
    )


def _length(value_mm: float, show: Show) -> str:
    return show.value(value_mm, suffix="mm", difference=True)
