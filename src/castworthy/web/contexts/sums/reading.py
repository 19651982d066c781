"""What was typed in the form of a sum, read with its units; a wrong field keeps its text."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from castworthy.units import UNITS, Show, UnitError, read_number, read_value
from castworthy.units.read import split_quantity
from castworthy.web.contexts.sums.form import BARE, Field, Given, Sum

_APART = re.compile(r"\s*;\s*|\s*,\s+|\s+(?=[\d.+-])")
_MOST_VALUES_COUNT = 40
_LONGEST_TEXT = 4_000
_UNIT_NAMES = tuple({name.casefold() for unit in UNITS for name in (unit.symbol, *unit.names)})

Value = float | str | tuple[float, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A form as filled: the texts, the values, one sentence for each wrong field.

    ``missing`` are the labels of what is still to be typed.
    """

    typed: Mapping[str, str]
    given: Given
    errors: Mapping[str, str]
    missing: tuple[str, ...]


def fill(shown: Sum, *, typed: Mapping[str, str], show: Show, live: bool) -> Filled:
    """Read a form.

    ``live`` says that the person may still be typing: a unit that has only begun is waited for.
    """
    chosen = _chosen(shown, typed=typed)
    values: dict[str, Value] = {}
    errors: dict[str, str] = {}
    missing: list[str] = []
    for field in shown.fields:
        values[field.name] = None
        if not counts(field, chosen=chosen):
            continue
        text = typed.get(field.name, "")
        if live and _begun(text, field=field):
            missing.append(field.label)
            continue
        try:
            value = _value(text, field=field, show=show)
        except UnitError as fault:
            errors[field.name] = str(fault)
            continue
        values[field.name] = value
        if value in (None, "", ()) and not field.optional:
            missing.append(field.label)
    return Filled(
        typed=typed,
        given=Given(values=values, show=show),
        errors=errors,
        missing=tuple(missing),
    )


def counts(field: Field, *, chosen: frozenset[str]) -> bool:
    """Whether a field counts for what is chosen."""
    return all(chosen.intersection(each.split("|")) for each in field.when)


def _chosen(shown: Sum, *, typed: Mapping[str, str]) -> frozenset[str]:
    """The words chosen; the first of its words where none of them was sent."""
    found = set()
    for field in shown.fields:
        if field.choices:
            found.add(_choice(typed.get(field.name, ""), field=field))
    return frozenset(found)


def _choice(text: str, *, field: Field) -> str:
    words = [word for word, _ in field.choices]
    return text if text in words else words[0]


def _value(text: str, *, field: Field, show: Show) -> Value:
    if field.choices:
        return _choice(text, field=field)
    if not field.suffix:
        if len(text) > _LONGEST_TEXT:
            raise UnitError(
                f"This is {len(text)} signs long; up to {_LONGEST_TEXT} are read. Leave some out."
            )
        return text.strip()
    if not text.strip():
        return () if field.several else None
    if field.several:
        parts = [part for part in _APART.split(text.strip()) if part]
        if len(parts) > _MOST_VALUES_COUNT:
            raise UnitError(f"{len(parts)} values are too many; up to {_MOST_VALUES_COUNT}.")
        return tuple(_number(part, field=field, show=show) for part in parts)
    return _number(text, field=field, show=show)


def _number(text: str, *, field: Field, show: Show) -> float:
    """One value within what the field takes."""
    if field.suffix in BARE:
        value = read_number(text)
    else:
        value = read_value(text, suffix=field.suffix, bare_unit=field.unit(show)).value
    low_enough = value <= field.highest * (1.0 + 1e-12)
    high_enough = value > field.least or (field.from_least and value == field.least)
    if not (isfinite(value) and low_enough and high_enough):
        raise UnitError(
            f"{field.label} lies {field.within(show=show)} (got {text.strip()})."
            f"{_bare_words(text, field=field, show=show)}"
        )
    if field.whole and value != int(value):
        raise UnitError(f"{field.label} is a whole number (got {text.strip()}).")
    return value


def _bare_words(text: str, *, field: Field, show: Show) -> str:
    """That a bare number was taken in the person's unit."""
    unit = field.unit(show)
    if not unit or split_quantity(text)[1]:
        return ""
    other = " as 10 thou," if unit == "in" else ""
    return f" A bare number counts in {unit};{other} write the unit where another is meant."


def _begun(text: str, *, field: Field) -> bool:
    """Whether a number stands there and its unit has only begun."""
    if not field.suffix or field.several:
        return False
    if text.strip() in {"+", "-", ".", "-."}:
        return True
    try:
        _, name = split_quantity(text)
    except UnitError:
        return False
    name = name.casefold()
    return bool(name) and name not in _UNIT_NAMES and any(u.startswith(name) for u in _UNIT_NAMES)
