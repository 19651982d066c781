"""The work at the machines: every operation as a row, the next one ringed."""

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import OperationKind
from castworthy.records.cautions import LAST_WORD, cautions_for
from castworthy.records.kept_sums import KeptFacts
from castworthy.records.lookups.machine import MachinePage, OperationFacts
from castworthy.records.practices import practices_of
from castworthy.records.standing import Standing
from castworthy.units import Show
from castworthy.web.contexts.figures import counted, measure_link, quantity_name
from castworthy.web.contexts.plan import Link
from castworthy.web.contexts.sums.at_step import kept_at_operation, ways_of_operation
from castworthy.web.contexts.sums.keeping import KeptLine
from castworthy.web.contexts.work_lines import CUTS, amount_words, operation_title
from castworthy.web.templatetags.castworthy import clock

_HIDDEN = "dropped"
_RINGS = frozenset({OperationKind.RING_GROOVE, OperationKind.RING})


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What a person typed for one operation, and what was wrong with it."""

    operation_id: int
    typed: str = ""
    note: str = ""
    why: str = ""
    wrong: str = ""
    skip_wrong: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationRow:
    """One operation.  ``state`` is done, next, planned or dropped; ``mark`` stands in its ring.

    ``practices`` is how the trade does it; ``feed`` says how to set the cutter for the finish
    wanted, where the deck is cut; ``ring`` is the way to the ring page, where a ring is worked
    on; ``record`` the way to where the result of a check is recorded.  ``kept`` are the sums
    kept for it, ``ways`` the sums to work before it.
    """

    id: int
    state: str
    mark: str
    title: str
    planned: str
    why: str
    takes: bool
    typed: str
    unit: str
    told: str
    note: str
    note_typed: str
    why_typed: str
    wrong: str
    skip_wrong: str
    cautions: tuple[str, ...]
    practices: tuple[str, ...]
    feed: str
    ring: str
    record: str
    kept: tuple[KeptLine, ...]
    ways: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineList:
    """All of the machine page.

    ``again`` are the ways to what must be measured again, ``changed`` what the last sign-off
    changed in the plan, ``onward`` the button to the next step once nothing is left.
    """

    rows: tuple[OperationRow, ...]
    done_count: int
    plan_words: str
    empty: str
    empty_way: str
    empty_step: str
    again: tuple[Link, ...]
    again_words: str
    changed: tuple[str, ...]
    onward: str
    onward_step: str
    cautions: tuple[str, ...]


def machine_list(
    page: MachinePage,
    *,
    standing: Standing,
    changed: tuple[str, ...] = (),
    entry: Entry | None = None,
    feed: str = "",
    kept: Sequence[KeptFacts] = (),
    show: Show,
) -> MachineList:
    """The list of a head, with what was typed where a sign-off was refused.

    ``feed`` is the sentence of the feed that gives the finish wanted, ``kept`` the sums kept
    with the head, newest first.
    """
    operations = [op for op in page.operations if op.state != _HIDDEN or op.by]
    following = next((op.id for op in operations if op.state == "planned"), None)
    rows = tuple(
        _row(
            op,
            number=number,
            following=following,
            entry=entry if entry is not None and entry.operation_id == op.id else None,
            feed=feed,
            kept=kept,
            page=page,
            show=show,
        )
        for number, op in enumerate(operations, start=1)
    )
    done = sum(op.state == "done" for op in operations)
    onward, onward_step = _onward(operations, standing=standing, following=following)
    return MachineList(
        rows=rows,
        done_count=done,
        plan_words=f"{page.plan_words[:1].upper()}{page.plan_words[1:]}",
        again=_again(standing, tag=page.tag) if done else (),
        again_words=_again_words(standing, done_count=done),
        changed=changed,
        onward=onward,
        onward_step=onward_step,
        cautions=(LAST_WORD,) if following is not None else (),
        **_empty(standing),
    )


def changes_between(
    before: Sequence[OperationFacts], after: Sequence[OperationFacts], *, signed_id: int, show: Show
) -> tuple[str, ...]:
    """What a sign-off changed in the work still to do, in words."""
    old = {(op.kind, op.place): op for op in before if op.state == "planned" and op.id != signed_id}
    new = {(op.kind, op.place): op for op in after if op.state == "planned"}
    lines = []
    for key, op in new.items():
        was = old.get(key)
        amount = _amount(op, show=show)
        if was is None:
            lines.append(f"New: {operation_title(op.kind, place=op.place)} {amount}".strip() + ".")
        elif _amount(was, show=show) != amount:
            title = operation_title(op.kind, place=op.place)
            lines.append(f"{title}: {amount} now, {_amount(was, show=show)} before.")
    lines += [
        f"No longer needed: {_small(operation_title(op.kind, place=op.place))}."
        for key, op in old.items()
        if key not in new
    ]
    return tuple(lines)


def _row(
    op: OperationFacts,
    *,
    number: int,
    following: int | None,
    entry: Entry | None,
    feed: str,
    kept: Sequence[KeptFacts],
    page: MachinePage,
    show: Show,
) -> OperationRow:
    state = "next" if op.id == following else op.state
    planned = _amount(op, show=show)
    takes = op.kind in CUTS and op.planned_mm is not None
    return OperationRow(
        id=op.id,
        state=state,
        mark={"done": "✓", "dropped": "–"}.get(op.state, str(number)),
        title=operation_title(op.kind, place=op.place),
        planned=planned,
        why=op.why if op.state == "planned" else "",
        takes=takes,
        typed=entry.typed
        if entry
        else show.number(op.planned_mm or 0.0, suffix="mm", difference=True)
        if takes
        else "",
        unit=show.unit("mm", difference=True),
        told=_told(op, show=show),
        note=op.note,
        note_typed=entry.note if entry else "",
        why_typed=entry.why if entry else "",
        wrong=entry.wrong if entry else "",
        skip_wrong=entry.skip_wrong if entry else "",
        cautions=cautions_for(op.kind)[:-1] if state == "next" else (),
        practices=practices_of(op.kind, loaded=page.loaded) if state == "next" else (),
        feed=feed if op.kind is OperationKind.SURFACE and op.state == "planned" else "",
        ring=_ring_address(page.tag, place=op.place) if op.kind in _RINGS else "",
        record=_record_address(page.tag, kind=op.kind),
        kept=kept_at_operation(kept, kind=op.kind, place=op.place),
        ways=ways_of_operation(page.tag, kind=op.kind, place=op.place) if state == "next" else (),
    )


def _record_address(tag: str, *, kind: OperationKind) -> str:
    return f"{reverse('prove', args=[tag])}#crack" if kind is OperationKind.CRACK_CHECK else ""


def _ring_address(tag: str, *, place: str) -> str:
    return f"{reverse('ring', args=[tag])}?{urlencode({'place': place})}"


def _amount(op: OperationFacts, *, show: Show) -> str:
    return amount_words(amount_mm=op.planned_mm, parts=op.parts, kind=op.kind, show=show)


def _told(op: OperationFacts, *, show: Show) -> str:
    if op.state == "planned" or op.at is None:
        return ""
    who = f"{op.by}, {clock(op.at)}"
    if op.state == _HIDDEN:
        return f"skipped by {who}"
    if op.kind in CUTS and op.taken_mm is not None:
        return f"took {show.value(op.taken_mm, suffix='mm', difference=True)} · {who}"
    return who


def _again(standing: Standing, *, tag: str) -> tuple[Link, ...]:
    by_quantity: dict[Quantity, list[str]] = {}
    for spot in standing.missing:
        by_quantity.setdefault(spot.quantity, []).append(spot.place)
    return tuple(
        Link(
            words=_place_words(quantity, places=places),
            address=measure_link(tag, quantity=quantity, place=places[0]),
        )
        for quantity, places in by_quantity.items()
    )


def _place_words(quantity: Quantity, *, places: list[str]) -> str:
    name = quantity_name(quantity)
    if FACTS[quantity].site is Site.HEAD:
        return name
    if len(places) <= 3:
        return f"{name} {', '.join(places)}"
    return f"{name}, {counted(len(places), 'place')}"


def _again_words(standing: Standing, *, done_count: int) -> str:
    if not done_count:
        return "What the work moves is measured again afterwards; it will be listed here."
    if not standing.missing:
        return "Everything the work moved is measured again."
    count = counted(len(standing.missing), "reading")
    return f"{count} moved by the work. Measure now, or when all is done."


def _onward(
    operations: Sequence[OperationFacts], *, standing: Standing, following: int | None
) -> tuple[str, str]:
    if following is not None or not operations:
        return "", ""
    if standing.missing:
        return "Measure again", "measure"
    if standing.outside:
        return "Plan again: something is still outside", "plan"
    return "Put it together", "assemble"


def _empty(standing: Standing) -> dict[str, str]:
    if standing.missing:
        return {
            "empty": "Measure the head and choose a plan; its work is listed here.",
            "empty_way": "To the run sheet",
            "empty_step": "measure",
        }
    return {
        "empty": "Choose a plan; its work is listed here, operation by operation.",
        "empty_way": "To the plan",
        "empty_step": "plan",
    }


def _small(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"
