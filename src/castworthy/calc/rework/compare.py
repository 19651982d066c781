"""The choices side by side: three plans, and sending the head back or scrapping it."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from castworthy.calc.head import HeadSheet
from castworthy.calc.outcome import Refused
from castworthy.calc.rework.results import NoPlan, Objective, Plan


class CardKind(StrEnum):
    """What a choice is."""

    COST = "least cost"
    DECK = "most deck left"
    SUREST = "surest"
    SEND_BACK = "send back or scrap"


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One choice with its figures; lengths mm, time min, prices in the shop's currency.

    ``plan`` is ``None`` for sending back and where there is no plan.  ``saves`` is what the
    choice leaves against the price of a new casting (negative: it costs more), ``None`` when
    the sheet prices no casting.  ``same_as`` names an earlier choice with the same work.
    """

    kind: CardKind
    cost: float | None
    minutes: float | None
    deck_cut_mm: float | None
    deck_left_mm: float | None
    probability: float | None
    casting: float | None
    saves: float | None
    plan: Plan | None = None
    same_as: CardKind | None = None


_KINDS = {
    Objective.COST: CardKind.COST,
    Objective.DECK: CardKind.DECK,
    Objective.SUREST: CardKind.SUREST,
}


def cards_of(
    sheet: HeadSheet, *, plans: Mapping[Objective, Plan | NoPlan | Refused]
) -> tuple[Card, ...]:
    """Lay the planner's answers beside sending the head back or scrapping it.

    Where there is no plan the surest by bare limits stands in, if there is one.
    """
    casting = sheet.prices.new_casting
    cards: list[Card] = []
    for objective in Objective:
        if objective in plans:
            plan = _offered(plans[objective])
            cards.append(_card(_KINDS[objective], plan, casting=casting, earlier=tuple(cards)))
    cost = sheet.prices.send_back or 0.0
    cards.append(
        Card(
            kind=CardKind.SEND_BACK,
            cost=cost if casting is None else cost + casting,
            minutes=0.0,
            deck_cut_mm=None,
            deck_left_mm=None,
            probability=None,
            casting=casting,
            saves=None if casting is None else -cost,
        )
    )
    return tuple(cards)


def _offered(answer: Plan | NoPlan | Refused) -> Plan | None:
    if isinstance(answer, Plan):
        return answer
    return answer.surest if isinstance(answer, NoPlan) else None


def _card(
    kind: CardKind, plan: Plan | None, *, casting: float | None, earlier: tuple[Card, ...]
) -> Card:
    if plan is None:
        return Card(
            kind=kind,
            cost=None,
            minutes=None,
            deck_cut_mm=None,
            deck_left_mm=None,
            probability=None,
            casting=casting,
            saves=None,
        )
    same = (card.kind for card in earlier if card.plan is not None and card.plan.work == plan.work)
    return Card(
        kind=kind,
        cost=plan.cost,
        minutes=plan.minutes,
        deck_cut_mm=0.0 if plan.deck is None else plan.deck.depth_mm,
        deck_left_mm=plan.deck_left_mm,
        probability=plan.probability,
        casting=casting,
        saves=None if casting is None else casting - plan.cost,
        plan=plan,
        same_as=next(same, None),
    )
