"""A sheet as its page shows it, and what one revision changed of another."""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from difflib import SequenceMatcher
from typing import Any

from castworthy.calc.decision.words import limit_sentence
from castworthy.calc.engine import Engine
from castworthy.calc.head import HeadSheet, Limit, Prices, Spring, WorkRules
from castworthy.calc.quantity import FACTS
from castworthy.calc.ring_spec import RingSpec
from castworthy.units import SUFFIXES, Show
from castworthy.web.contexts.sheet_form import label_of

_AROUND_COUNT = 3
_NOTHING = (None, (), 0.0, "")
_SAID_APART = frozenset({"source", "valve_kind"})
_TABLES = (
    ("cylinders", "cylinder"),
    ("valves", "valve"),
    ("studs", "stud"),
    ("openings", "opening"),
    ("places", "measuring place"),
    ("gaskets", "gasket"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A label and what stands there."""

    label: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TextLine:
    """One line of a difference: its number before and after, "+", "−" or "" (unchanged).

    ``gap`` stands for lines left out.
    """

    before: int | None
    after: int | None
    sign: str
    text: str
    gap: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What a newer revision changed: in sentences, and line by line."""

    sentences: tuple[str, ...]
    lines: tuple[TextLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the engine the sheet knows, and what it says of it."""

    title: str
    facts: tuple[Fact, ...]
    source: str = ""


def known_parts(sheet: HeadSheet, *, show: Show) -> tuple[Part, ...]:
    """Springs, engine and sealing ring as the sheet gives them; what it leaves out is not there."""
    parts = [
        Part(
            title=f"Spring, {spring.valve_kind}" if spring.valve_kind else "Valve spring",
            facts=settings(spring, show=show),
        )
        for spring in sheet.springs
    ]
    for title, of in (("Engine", sheet.engine), ("Sealing ring", sheet.ring)):
        if of is not None:
            parts.append(Part(title=title, facts=settings(of, show=show), source=of.source))
    return tuple(parts)


def settings(
    of: WorkRules | Prices | Spring | Engine | RingSpec, *, show: Show
) -> tuple[Fact, ...]:
    """What one table of a sheet sets, each with its unit; what is left out or zero is not there."""
    return tuple(
        Fact(label=_label(each.name), value=_value(each.name, value, show=show))
        for each in fields(of)
        if each.name not in _SAID_APART and (value := getattr(of, each.name)) not in _NOTHING
    )


def difference(old: HeadSheet, *, new: HeadSheet, texts: tuple[str, str], show: Show) -> Difference:
    """What ``new`` changed of ``old``; ``texts`` are the two wordings."""
    sentences = [
        *_head_changes(old, new=new),
        *(
            sentence
            for table, one in _TABLES
            for sentence in _named_changes(getattr(old, table), getattr(new, table), one=one)
        ),
        *_limit_changes(old, new=new, show=show),
        *_spring_changes(old, new=new),
        *(("The engine's figures were changed.",) if old.engine != new.engine else ()),
        *(("The sealing ring's figures were changed.",) if old.ring != new.ring else ()),
        *_setting_changes(old.work, new.work, show=show),
        *_setting_changes(old.prices, new.prices, show=show),
    ]
    return Difference(sentences=tuple(sentences), lines=tuple(_lines(*texts)))


def _allowed(limit: Limit, *, show: Show) -> str:
    words = limit_sentence(limit, show=show)
    if limit.span_mm is not None:
        words += f" in any {show.value(limit.span_mm, suffix='mm')}"
    return words


def _head_changes(old: HeadSheet, *, new: HeadSheet) -> Iterable[str]:
    for name in ("title", "material", "source"):
        before, after = getattr(old, name), getattr(new, name)
        if before != after:
            yield f"{name.capitalize()}: {before} is now {after}."
    if old.overhead_cam != new.overhead_cam:
        yield f"The cam is now {'in the head' if new.overhead_cam else 'not in the head'}."
    if old.outline_mm != new.outline_mm:
        yield "The outline of the deck was changed."


def _named_changes(old: Iterable[Any], new: Iterable[Any], *, one: str) -> Iterable[str]:
    before, after = ({row.name: row for row in rows} for rows in (old, new))
    added = [name for name in after if name not in before]
    gone = [name for name in before if name not in after]
    moved = [name for name in after if name in before and after[name] != before[name]]
    for names, done in ((added, "added"), (gone, "taken out"), (moved, "changed")):
        if names:
            yield f"{_counted(names, one)} {done}: {_listed(names)}."


def _limit_changes(old: HeadSheet, *, new: HeadSheet, show: Show) -> Iterable[str]:
    before, after = (
        {(limit.quantity, limit.valve_kind): limit for limit in sheet.limits}
        for sheet in (old, new)
    )
    for key in {**before, **after}:
        was, now = before.get(key), after.get(key)
        if was == now:
            continue
        name = FACTS[key[0]].title + (f" of {key[1]} valves" if key[1] else "")
        if was is None or now is None:
            told = now or was
            words = _allowed(told, show=show) if told else ""
            yield f"{name}: {'new limit' if was is None else 'limit taken out'}, {words}."
        else:
            yield from _limit_change(name, was, now, show=show)


def _limit_change(name: str, was: Limit, now: Limit, *, show: Show) -> Iterable[str]:
    before, after = _allowed(was, show=show), _allowed(now, show=show)
    if before != after:
        yield f"{name}: {before} is now {after}."
    elif (was.low, was.high, was.span_mm) != (now.low, now.high, now.span_mm):
        yield f"{name}: the limit moved by less than is shown."
    if was.aim != now.aim:
        suffix = FACTS[now.quantity].suffix
        aims = [
            "none" if aim is None else show.value(aim, suffix=suffix) for aim in (was.aim, now.aim)
        ]
        yield f"{name}: aim {aims[0]} is now {aims[1]}."
    if was.rule is not now.rule:
        yield f"{name}: the rule is now {now.rule.value}."
    if was.source != now.source:
        yield f"{name}: source {was.source or 'none'} is now {now.source or 'none'}."


def _spring_changes(old: HeadSheet, *, new: HeadSheet) -> Iterable[str]:
    if old.springs != new.springs:
        yield "The springs were changed."


def _setting_changes(
    old: WorkRules | Prices, new: WorkRules | Prices, *, show: Show
) -> Iterable[str]:
    for each in fields(old):
        was, now = getattr(old, each.name), getattr(new, each.name)
        if was != now:
            words = [
                "none" if value in (None, ()) else _value(each.name, value, show=show)
                for value in (was, now)
            ]
            yield f"{_label(each.name)}: {words[0]} is now {words[1]}."


def _label(name: str) -> str:
    suffix = _suffix(name)
    bare = name.removesuffix(f"_{suffix}") if suffix else name
    bare = f"{bare}_minutes" if suffix == "min" else bare
    return label_of(bare)


def _suffix(name: str) -> str:
    known = [suffix for suffix in SUFFIXES if name.endswith(f"_{suffix}")]
    return max(known, key=len, default="")


def _value(name: str, value: Any, *, show: Show) -> str:
    suffix = _suffix(name)
    if isinstance(value, str):
        return str(value)
    if isinstance(value, tuple):
        return ", ".join(_value(name, each, show=show) for each in value)
    if suffix in {"mm", "cm3", "n_per_mm"}:
        return show.value(value, suffix=suffix)
    if suffix == "min":
        return f"{value:g} min"
    if suffix == "s":
        return f"{value:g} s" if value < 120 else f"{value / 60:g} min"
    return f"{value:g}"


def _counted(names: list[str], one: str) -> str:
    return f"{len(names)} {one}{'' if len(names) == 1 else 's'}"


def _listed(names: list[str]) -> str:
    shown = names[:8]
    more = f" and {len(names) - len(shown)} more" if len(names) > len(shown) else ""
    return ", ".join(shown) + more


def _lines(old: str, new: str) -> Iterable[TextLine]:
    before, after = old.splitlines(), new.splitlines()
    matcher = SequenceMatcher(a=before, b=after, autojunk=False)
    last = 0
    for group in matcher.get_grouped_opcodes(_AROUND_COUNT):
        if group[0][1] > last:
            yield TextLine(before=None, after=None, sign="", text="", gap=True)
        for tag, i1, i2, j1, j2 in group:
            if tag == "equal":
                for offset in range(i2 - i1):
                    yield TextLine(
                        before=i1 + offset + 1,
                        after=j1 + offset + 1,
                        sign="",
                        text=before[i1 + offset],
                    )
                continue
            for place in range(i1, i2):
                yield TextLine(before=place + 1, after=None, sign="−", text=before[place])
            for place in range(j1, j2):
                yield TextLine(before=None, after=place + 1, sign="+", text=after[place])
        last = group[-1][2]
    if 0 < last < len(before):
        yield TextLine(before=None, after=None, sign="", text="", gap=True)
