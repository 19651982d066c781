"""A plan's operations as a person reads them out: one line a kind, in shop order."""

from collections.abc import Iterable
from dataclasses import dataclass

from castworthy.calc.head import HeadSheet
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.effects import disturbed_by
from castworthy.calc.rework.results import OperationKind, WorkStep
from castworthy.units import Show
from castworthy.units.phrase import listed
from castworthy.web.contexts.figures import counted, quantity_name

_TITLES = {
    OperationKind.CLEAN: "Clean the head",
    OperationKind.CRACK_CHECK: "Check for cracks",
    OperationKind.STRAIGHTEN: "Straighten the head",
    OperationKind.GUIDE: "Renew guides",
    OperationKind.SURFACE: "Surface the deck",
    OperationKind.RING_GROOVE: "Cut ring grooves",
    OperationKind.INSERT: "Fit seat inserts",
    OperationKind.VALVE: "Fit new valves",
    OperationKind.FACE: "Reface valves",
    OperationKind.SEAT: "Cut seats",
    OperationKind.TIP: "Grind stem tips",
    OperationKind.WASH: "Wash and dry",
    OperationKind.RING: "Fit rings",
    OperationKind.SHIM: "Shim springs",
    OperationKind.WASHER: "Washers under injectors",
}
_DEEDS = {
    OperationKind.GUIDE: "Renew the guide of",
    OperationKind.RING_GROOVE: "Cut the ring groove of",
    OperationKind.INSERT: "Fit a seat insert in",
    OperationKind.VALVE: "Fit a new valve in",
    OperationKind.FACE: "Reface the valve of",
    OperationKind.SEAT: "Cut the seat of",
    OperationKind.TIP: "Grind the stem tip of",
    OperationKind.RING: "Fit the ring of",
    OperationKind.SHIM: "Shim the spring of",
    OperationKind.WASHER: "Washer under the injector of",
}
CUTS = frozenset(
    {
        OperationKind.SURFACE,
        OperationKind.FACE,
        OperationKind.SEAT,
        OperationKind.TIP,
        OperationKind.RING_GROOVE,
    }
)
"""Operations that take metal, so that what was really taken is typed at the sign-off."""
_EVERY_HEAD = frozenset({OperationKind.CLEAN, OperationKind.CRACK_CHECK, OperationKind.WASH})
_MOST_NAMED = 4
_CYLINDER_KINDS = frozenset({OperationKind.RING_GROOVE, OperationKind.RING, OperationKind.WASHER})


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkLine:
    """One line of the work: what, the figures with their unit, why."""

    what: str
    figures: str
    why: str = ""


def work_lines(steps: Iterable[WorkStep], *, show: Show) -> tuple[WorkLine, ...]:
    """The steps of a plan, one line a kind."""
    by_kind: dict[OperationKind, list[WorkStep]] = {}
    for step in steps:
        by_kind.setdefault(step.kind, []).append(step)
    return tuple(_line(kind, steps=same, show=show) for kind, same in by_kind.items())


def work_summary(steps: Iterable[WorkStep], *, show: Show) -> str:
    """The work that takes or fits something, in one sentence; empty when there is none."""
    lines = []
    by_kind: dict[OperationKind, list[WorkStep]] = {}
    for step in steps:
        if step.kind not in _EVERY_HEAD:
            by_kind.setdefault(step.kind, []).append(step)
    for kind, same in by_kind.items():
        if len(same) > _MOST_NAMED:
            lines.append(f"{_TITLES[kind]} at {counted(len(same), 'place')}")
        else:
            line = _line(kind, steps=same, show=show)
            lines.append(f"{line.what} {line.figures}".strip())
    return "; ".join(lines)


def operation_title(kind: OperationKind, *, place: str) -> str:
    """One operation in words: "Cut the seat of 5C", "Surface the deck"."""
    if not place or kind not in _DEEDS:
        return _TITLES[kind]
    where = f"cylinder {place}" if kind in _CYLINDER_KINDS else place
    return f"{_DEEDS[kind]} {where}"


def amount_words(
    *, amount_mm: float | None, parts: Iterable[float], kind: OperationKind, show: Show
) -> str:
    """How much, with its unit: a cut in thou, a shim by its size; empty where there is none."""
    sizes = tuple(parts)
    if kind in {OperationKind.SHIM, OperationKind.WASHER}:
        sizes = sizes or (() if amount_mm is None else (amount_mm,))
        return " + ".join(part_size(size, show=show) for size in sizes)
    if amount_mm is None or kind not in CUTS:
        return ""
    return show.value(amount_mm, suffix="mm", difference=True)


def part_size(size_mm: float, *, show: Show) -> str:
    """A shim or washer by its size: "0.015 in", "0.38 mm"."""
    return show.value(size_mm, suffix="mm", digits=2 if show.metric else 3)


def measure_again(
    steps: Iterable[WorkStep], *, sheet: HeadSheet
) -> dict[Quantity, tuple[str, ...]]:
    """The limited, measured quantities the work makes readings of the past, with their places."""
    moved = {
        pair for step in steps for pair in disturbed_by(sheet, kind=step.kind, place=step.place)
    }
    again: dict[Quantity, tuple[str, ...]] = {}
    for quantity in dict.fromkeys(limit.quantity for limit in sheet.limits):
        if FACTS[quantity].tested:
            continue
        places = tuple(p for p in sheet.sites_of(quantity) if (quantity, p) in moved)
        if places:
            again[quantity] = places
    return again


def measure_again_line(steps: Iterable[WorkStep], *, sheet: HeadSheet) -> WorkLine | None:
    """The last line of the work: what is measured again, counted."""
    again = measure_again(steps, sheet=sheet)
    if not again:
        return None
    counts = [_counted_places(quantity, places=places) for quantity, places in again.items()]
    return WorkLine(what="Measure again", figures=", ".join(counts))


def _counted_places(quantity: Quantity, *, places: tuple[str, ...]) -> str:
    name = quantity_name(quantity)
    match FACTS[quantity].site:
        case Site.HEAD:
            return name
        case Site.VALVE:
            return f"{name} of {counted(len(places), 'valve')}"
        case Site.CYLINDER:
            return f"{name} of {counted(len(places), 'cylinder')}"
        case _:
            return f"{name} at {counted(len(places), 'place')}"


def _line(kind: OperationKind, *, steps: list[WorkStep], show: Show) -> WorkLine:
    why = "; ".join(dict.fromkeys(step.why for step in steps if step.why))
    title = _TITLES[kind]
    if len(steps) == 1 and not steps[0].place:
        amount = amount_words(
            amount_mm=steps[0].amount_mm, parts=steps[0].parts, kind=kind, show=show
        )
        return WorkLine(what=f"{title}: {amount}" if amount else title, figures="", why=why)
    return WorkLine(what=title, figures=_figures(kind, steps=steps, show=show), why=why)


def _where(kind: OperationKind, *, place: str) -> str:
    return f"cylinder {place}:" if kind in _CYLINDER_KINDS else place


def _figures(kind: OperationKind, *, steps: list[WorkStep], show: Show) -> str:
    if kind in {OperationKind.SHIM, OperationKind.WASHER}:
        return " · ".join(
            f"{_where(kind, place=step.place)} "
            f"{amount_words(amount_mm=step.amount_mm, parts=step.parts, kind=kind, show=show)}"
            for step in steps
        )
    if kind not in CUTS or any(step.amount_mm is None for step in steps):
        return listed([step.place for step in steps])
    numbers = " · ".join(
        f"{step.place} {show.number(step.amount_mm or 0.0, suffix='mm', difference=True)}"
        for step in steps
    )
    return f"{numbers} {show.unit('mm', difference=True)}"
