"""The page of a sum: what stands in its form, what it answers, what the head beside it knows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.urls import reverse

from castworthy.calc.errors import InputError
from castworthy.calc.quantity import Site
from castworthy.records.cautions import LAST_WORD
from castworthy.records.lookups.sums import SumsHead
from castworthy.units import Show
from castworthy.units.phrase import listed
from castworthy.units.retell import retell
from castworthy.web.contexts.sums.all_sums import grouped
from castworthy.web.contexts.sums.form import Answer, Field, Part, Sum, SumFault, Usual
from castworthy.web.contexts.sums.reading import Filled, fill

_NOT_YET = "The answer stands here as soon as it can be worked out."
_SEGMENTS_LENGTH = 34
"""Choices whose words are together no longer than this stand side by side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldShown:
    """A field with what stands in it.  ``look`` is figure, list, text, segments or select."""

    field: Field
    typed: str
    error: str
    unit: str
    look: str
    when: str

    @property
    def described(self) -> str:
        """Ids of what describes the control."""
        hint = f"{self.field.name}-hint " if self.field.hint else ""
        return f"{hint}{self.field.name}-error"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartShown:
    """A part of the form; an ``opened`` folded one holds something typed."""

    part: Part
    fields: tuple[FieldShown, ...]
    when: str
    opened: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place of the head a sum may be filled from."""

    name: str
    address: str
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The head a sum was filled from; ``away`` leads to the sum without it, as it is typed."""

    tag: str
    place: str
    known: tuple[str, ...]
    places: tuple[Place, ...]
    away: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SumPage:
    """One sum as its page shows it.

    ``answer`` is ``None`` while something is missing or wrong; ``waits`` then says what.
    ``changed`` is what stands in the form that was not there at first.
    """

    sum: Sum
    filled: Filled
    changed: tuple[tuple[str, str], ...]
    parts: tuple[PartShown, ...]
    answer: Answer | None
    waits: str
    wrong: bool
    example_address: str
    clear_address: str
    beside: Beside | None
    last_word: str = LAST_WORD

    @property
    def fields(self) -> tuple[FieldShown, ...]:
        """Every field."""
        return tuple(each for part in self.parts for each in part.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A sum on the index."""

    title: str
    says: str
    address: str


def sum_page(
    shown: Sum, *, sent: Mapping[str, str], head: SumsHead | None, show: Show, live: bool
) -> SumPage:
    """A sum with what was sent; what was not sent stands at what the head or the trade says."""
    start = starting(shown, head=head, show=show)
    typed = {each.name: sent.get(each.name, start[each.name]) for each in shown.fields}
    filled = fill(shown, typed=typed, show=show, live=live)
    answer, errors, waits = _answered(shown, filled=filled)
    return SumPage(
        sum=shown,
        filled=filled,
        changed=tuple((name, text) for name, text in typed.items() if text != start[name]),
        parts=tuple(_part(part, filled=filled, errors=errors, show=show) for part in shown.parts),
        answer=answer,
        waits=waits,
        wrong=bool(errors) or (answer is None and not filled.missing),
        example_address=f"{_address(shown)}?{urlencode(example(shown, show=show))}",
        clear_address=_address(shown, head=head),
        beside=None if head is None else _beside(shown, head=head, typed=typed),
    )


def starting(shown: Sum, *, head: SumsHead | None, show: Show) -> dict[str, str]:
    """What stands in every field at first."""
    known = _known(shown, head=head)
    return {
        each.name: each.typed(known.get(each.name, each.usual), show=show) for each in shown.fields
    }


def example(shown: Sum, *, show: Show) -> dict[str, str]:
    """The sum's own example as the person would type it."""
    return {
        each.name: each.typed(shown.example[each.name], show=show)
        for each in shown.fields
        if each.name in shown.example
    }


def cards(*, head: SumsHead | None) -> list[tuple[str, list[Card]]]:
    """The index: every group with its sums."""
    return [
        (
            group,
            [
                Card(title=each.title, says=each.says, address=_address(each, head=head))
                for each in sums
            ],
        )
        for group, sums in grouped().items()
    ]


def _known(shown: Sum, *, head: SumsHead | None) -> dict[str, Usual]:
    if head is None or shown.prefill is None:
        return {}
    return {name: value for name, value in shown.prefill(head).items() if value is not None}


def _answered(shown: Sum, *, filled: Filled) -> tuple[Answer | None, dict[str, str], str]:
    """The answer, the wrong fields, and what is waited for where there is no answer."""
    errors = dict(filled.errors)
    if errors:
        return None, errors, _wrong_words(shown, errors=errors)
    if filled.missing:
        return None, errors, _missing_words(filled.missing)
    show = filled.given.show
    try:
        return _retold(shown.work(filled.given), show=show), errors, ""
    except SumFault as fault:
        if not fault.field:
            return None, errors, retell(fault.sentence, show=show)
        errors[fault.field] = retell(fault.sentence, show=show)
        return None, errors, _wrong_words(shown, errors=errors)
    except InputError as fault:
        return None, errors, retell(str(fault), show=show)


def _retold(answer: Answer, *, show: Show) -> Answer:
    """The answer with what calc itself said in it told in the person's units."""
    return replace(
        answer,
        headline=retell(answer.headline, show=show),
        sentences=tuple(retell(each, show=show) for each in answer.sentences),
        cautions=tuple(retell(each, show=show) for each in answer.cautions),
    )


def _wrong_words(shown: Sum, *, errors: Mapping[str, str]) -> str:
    labels = [each.label for each in shown.fields if each.name in errors]
    return f"Look again: {_and(labels)}. {_NOT_YET}"


def _missing_words(labels: tuple[str, ...]) -> str:
    if len(labels) > 4:
        return f"Type {_and([*labels[:3], 'what follows'])}. {_NOT_YET}"
    return f"Still to type: {_and(list(labels))}."


def _and(labels: list[str]) -> str:
    return listed(_in_row(labels))


def _in_row(labels: Sequence[str]) -> tuple[str, ...]:
    """Labels as one reads them out: only the first begins with a capital."""
    own = (each[:1].lower() + each[1:] if _plain(each) else each for each in labels[1:])
    return (*labels[:1], *own)


def _plain(word: str) -> bool:
    """Whether a label is a word, not a symbol such as K or Ra."""
    return len(word.split()[0]) > 2


def _part(part: Part, *, filled: Filled, errors: Mapping[str, str], show: Show) -> PartShown:
    fields = tuple(
        FieldShown(
            field=each,
            typed=filled.typed[each.name],
            error=errors.get(each.name, ""),
            unit=each.unit(show),
            look=_look(each),
            when=_when(each.when),
        )
        for each in part.fields
    )
    usual = {each.name: each.typed(each.usual, show=show) for each in part.fields}
    opened = any(each.typed != usual[each.field.name] or each.error for each in fields)
    return PartShown(part=part, fields=fields, when=_when(part.when), opened=opened)


def _look(field: Field) -> str:
    if field.lines:
        return "text"
    if not field.choices:
        return "list" if field.several else "figure"
    words = sum(len(words) for _, words in field.choices)
    return "segments" if words <= _SEGMENTS_LENGTH else "select"


def _when(chosen: tuple[str, ...]) -> str:
    """Class names that show a field only where its words are chosen."""
    return " ".join(f"when--{each.replace('|', '-or-')}" for each in chosen)


def _address(shown: Sum, *, head: SumsHead | None = None, place: str | None = None) -> str:
    address = reverse("sum", args=[shown.name])
    if head is None:
        return address
    query = {"head": head.tag, "place": head.place if place is None else place}
    return f"{address}?{urlencode({name: text for name, text in query.items() if text})}"


def _beside(shown: Sum, *, head: SumsHead, typed: Mapping[str, str]) -> Beside:
    known, here = _known(shown, head=head), shown.place_of(head)
    return Beside(
        tag=head.tag,
        place=head.place,
        away=f"{_address(shown)}?{urlencode(typed)}",
        known=_in_row([each.label for each in shown.fields if each.name in known]),
        places=tuple(
            Place(
                name=name,
                address=_address(shown, head=head, place=name),
                here=name == here,
            )
            for name in _places(shown, head=head)
        ),
    )


def _places(shown: Sum, *, head: SumsHead) -> tuple[str, ...]:
    if shown.worked_at is Site.HEAD:
        return ()
    sheet = head.sheet
    walked = sheet.valves if shown.worked_at is Site.VALVE else sheet.cylinders
    return tuple(each.name for each in walked)
