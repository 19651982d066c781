"""Keeping a sum with the head beside it: the action, what was kept before, how to work it again."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from urllib.parse import urlencode
from uuid import UUID, uuid4

from django.urls import reverse

from castworthy.calc.quantity import FACTS, Quantity
from castworthy.records.kept_sums import (
    KeptAnswer,
    KeptFacts,
    TypedField,
    WorkedSum,
)
from castworthy.records.lookups.heads import HeadFacts
from castworthy.units import Show
from castworthy.web.contexts.figures import counted, measure_link, quantity_name
from castworthy.web.contexts.plan import Link
from castworthy.web.contexts.sums.all_sums import sum_named
from castworthy.web.contexts.sums.form import Answer, Field, Given
from castworthy.web.contexts.sums.page import SumPage

_MOST_EARLIER_COUNT = 6
_NOTHING = (None, "", ())


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLine:
    """A kept sum in a list; ``again`` leads to its form with what was typed, empty where the
    sum is no longer worked here.
    """

    facts: KeptFacts
    again: str
    since: str

    @property
    def uuid(self) -> UUID:
        """Its identity."""
        return self.facts.uuid

    @property
    def headline(self) -> str:
        """What it told first."""
        return self.facts.worked.answer.headline

    @property
    def title(self) -> str:
        """The sum's title."""
        return self.facts.worked.title

    @property
    def place(self) -> str:
        """Where; empty for the head."""
        return self.facts.worked.place


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """What a sum's page says about keeping it with the head beside it.

    ``now`` is the kept sum that says just what the page shows; ``earlier`` are the others of
    this sum and place, newest first, ``more_count`` of them left out.  ``ended`` is why nothing
    is kept any more.  ``hidden`` is what the form sends.  ``readings`` lead to Measure with the
    figure in the field, ``readings_say`` why it is one.
    """

    tag: str
    place: str
    uuid: UUID
    hidden: tuple[tuple[str, str], ...]
    note: str
    ended: str
    now: KeptLine | None
    earlier: tuple[KeptLine, ...]
    more_count: int
    readings: tuple[Link, ...]
    readings_say: str

    @property
    def where(self) -> str:
        """Head and place."""
        return f"{self.tag}, {self.place}" if self.place else self.tag


def keeping_of(
    page: SumPage,
    *,
    head: HeadFacts,
    place: str,
    kept: Iterable[KeptFacts],
    show: Show,
    own: Show,
    note: str = "",
) -> Keeping:
    """What the page of a sum says about keeping it with a head.

    It is shown in ``show``; ``own`` are the units the person reads elsewhere.
    """
    same = [
        each for each in kept if (each.worked.name, each.worked.place) == (page.sum.name, place)
    ]
    now = None
    if page.answer is not None:
        typed = typed_fields(page)
        now = next((each for each in same if _says(each, typed=typed, show=show)), None)
    earlier = [each for each in same if each is not now]
    return Keeping(
        tag=head.tag,
        place=place,
        uuid=uuid4(),
        hidden=tuple((each.field.name, each.typed) for each in page.fields),
        note=note,
        ended=""
        if head.in_shop
        else f"{head.tag} was {head.outcome}; nothing more is kept with it.",
        now=None if now is None else kept_line(now),
        earlier=tuple(kept_line(each) for each in earlier[:_MOST_EARLIER_COUNT]),
        more_count=max(len(earlier) - _MOST_EARLIER_COUNT, 0),
        readings=_readings(page, tag=head.tag, place=place, own=own),
        readings_say=page.sum.readings_say,
    )


def kept_line(facts: KeptFacts) -> KeptLine:
    """A kept sum as lists show it."""
    since = (
        f"{counted(facts.later_count, 'operation')} signed off since" if facts.later_count else ""
    )
    return KeptLine(facts=facts, again=again_address(facts), since=since)


def again_address(facts: KeptFacts) -> str:
    """The sum's page with what was typed when it was kept; empty where there is no such sum."""
    shown = sum_named(facts.worked.name)
    if shown is None:
        return ""
    typed = {each.name: each.typed for each in facts.worked.typed}
    query = {"head": facts.tag, "place": facts.worked.place, "units": facts.worked.units}
    told = {name: text for name, text in query.items() if text}
    filled = {each.name: typed.get(each.name, "") for each in shown.fields}
    return f"{reverse('sum', args=[shown.name])}?{urlencode(told | filled)}"


def worked_sum(page: SumPage, *, place: str, show: Show) -> WorkedSum:
    """A sum whose answer stands, ready to be kept."""
    if page.answer is None:
        raise ValueError(page.waits)
    return WorkedSum(
        name=page.sum.name,
        title=page.sum.title,
        place=place,
        units=show.length,
        typed=typed_fields(page),
        answer=plain_answer(page.answer),
    )


def typed_fields(page: SumPage) -> tuple[TypedField, ...]:
    """Every field that counts and holds something, in order."""
    given = page.filled.given
    return tuple(
        _typed(each.field, text=each.typed, given=given)
        for each in page.fields
        if given.values[each.field.name] not in _NOTHING
    )


def plain_answer(answer: Answer) -> KeptAnswer:
    """An answer without its drawing."""
    return KeptAnswer(**{each.name: getattr(answer, each.name) for each in fields(KeptAnswer)})


def as_sent(sent: Mapping[str, str], *, page: SumPage) -> dict[str, str]:
    """What was sent of a sum's fields, for the address one is led back to."""
    return {each.field.name: each.typed for each in page.fields if each.field.name in sent}


def _readings(page: SumPage, *, tag: str, place: str, own: Show) -> tuple[Link, ...]:
    """The ways to Measure with what of the sum is a reading of its place."""
    if page.answer is None or page.sum.readings is None or not place:
        return ()
    return tuple(
        _reading(quantity, value, tag=tag, place=place, own=own)
        for quantity, value in page.sum.readings(page.filled.given).items()
        if FACTS[quantity].site is page.sum.worked_at
    )


def _reading(quantity: Quantity, value: float, *, tag: str, place: str, own: Show) -> Link:
    suffix = FACTS[quantity].suffix
    said = own.value(value, suffix=suffix)
    typed = urlencode({"typed": own.number(value, suffix=suffix)})
    return Link(
        words=f"{quantity_name(quantity)} of {place}, {said}",
        address=f"{measure_link(tag, quantity=quantity, place=place)}&{typed}",
    )


def _says(facts: KeptFacts, *, typed: tuple[TypedField, ...], show: Show) -> bool:
    """Whether a kept sum stands and was worked out from just this."""
    old = tuple(replace(each, label="", said="") for each in facts.worked.typed)
    new = tuple(replace(each, label="", said="") for each in typed)
    return facts.stands and facts.worked.units == show.length and old == new


def _typed(field: Field, *, text: str, given: Given) -> TypedField:
    if field.choices:
        word = given.word(field.name)
        said = dict(field.choices)[word]
        return TypedField(name=field.name, label=field.label, typed=word, said=said)
    return TypedField(
        name=field.name,
        label=field.label,
        typed="\n".join(text.strip().splitlines()),
        unit=field.unit(given.show),
    )
