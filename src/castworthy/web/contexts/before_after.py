"""A plan's quantities before and after, grouped, the moved and the binding first."""

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.phrases import amount_phrase
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import limit_sentence
from castworthy.calc.head import HeadSheet, Limit, Reading
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import After, Plan, ValveWork
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.units import Show
from castworthy.web.contexts.figures import (
    Figure,
    counted,
    figure_of,
    place_label,
    place_note,
)

_SHOWN_FIRST = 6
_ROUNDING = 1e-5
_BAR_PX = 260.0
_TROUBLE = {Verdict.OUTSIDE, Verdict.CLOSE}


@dataclass(frozen=True, slots=True, kw_only=True)
class BarRow:
    """One place of one quantity before and after the plan."""

    label: str
    note: str
    before: Figure
    before_verdict: Verdict
    after: Figure
    after_verdict: Verdict
    bar: SafeString
    remark: str
    binding: bool
    moved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarGroup:
    """One heading with its rows: ``first`` in sight, ``folded`` behind ``fold_label``."""

    title: str
    remark: str
    first: tuple[BarRow, ...]
    folded: tuple[BarRow, ...]
    fold_label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeAfter:
    """All bars of a plan: the valve groups, what the deck cut moves, what stays as it is."""

    groups: tuple[BarGroup, ...]
    unmoved: tuple[BarGroup, ...]
    unmoved_label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    row: After
    before: Judgement
    after: Judgement
    work: str

    @property
    def telling(self) -> bool:
        return bool(self.row.binding or self.work or self.before.verdict in _TROUBLE)

    @property
    def rank(self) -> tuple[bool, bool, float]:
        excess = self.after.excess
        to_spare = -excess if excess is not None else float("inf")
        span = self.row.u or 1.0
        return (self.before.verdict not in _TROUBLE, not self.telling, to_spare / span)


def before_after(plan: Plan, *, sheet: HeadSheet, show: Show) -> BeforeAfter:
    """The bars of a plan, grouped for the page."""
    by_quantity: dict[Quantity, list[_Judged]] = {}
    for row in plan.after:
        by_quantity.setdefault(row.quantity, []).append(
            _judged(row, plan=plan, sheet=sheet, show=show)
        )
    moving = {
        quantity: rows
        for quantity, rows in by_quantity.items()
        if any(row.row.moved or row.telling for row in rows)
    }
    valve_groups = [
        _group(rows, quantity=quantity, sheet=sheet, show=show)
        for quantity, rows in moving.items()
        if FACTS[quantity].site is Site.VALVE
    ]
    deck_rows = [
        row
        for quantity, rows in moving.items()
        if FACTS[quantity].site is not Site.VALVE
        for row in rows
    ]
    still = [
        _group(rows, quantity=quantity, sheet=sheet, show=show)
        for quantity, rows in by_quantity.items()
        if quantity not in moving
    ]
    deck_groups = [_deck_group(deck_rows, sheet=sheet, show=show)] if deck_rows else []
    return BeforeAfter(
        groups=(*valve_groups, *deck_groups),
        unmoved=tuple(still),
        unmoved_label=_unmoved_label(by_quantity, moving=moving),
    )


def verdict_of(row: After, *, value: float, u: float | None, sheet: HeadSheet) -> Judgement:
    """A value of the plan judged against the row's own limit.

    A plan stops exactly where the confidence is reached, so a rounding of the planner is allowed.
    """
    return judge(
        Reading(quantity=row.quantity, place=row.place, value=value, u=u),
        limit=_limit_of(row),
        confidence_probability=sheet.work.confidence_probability - _ROUNDING,
    )


def _limit_of(row: After) -> Limit:
    return Limit(quantity=row.quantity, low=row.low, high=row.high, aim=row.aim, rule=row.rule)


def _judged(row: After, *, plan: Plan, sheet: HeadSheet, show: Show) -> _Judged:
    return _Judged(
        row=row,
        before=verdict_of(row, value=row.before, u=row.before_u, sheet=sheet),
        after=verdict_of(row, value=row.value, u=row.u, sheet=sheet),
        work=_work_words(plan.valves.get(row.place), quantity=row.quantity, show=show)
        if FACTS[row.quantity].site is Site.VALVE
        else _washer_words(plan, row=row, show=show),
    )


def _work_words(work: ValveWork | None, *, quantity: Quantity, show: Show) -> str:
    if work is None:
        return ""
    words = {
        Quantity.RECESSION: _seat_words,
        Quantity.TIP_HEIGHT: _tip_words,
        Quantity.SPRING_HEIGHT: _shim_words,
        Quantity.SEAT_LOAD: _shim_words,
        Quantity.OPEN_LOAD: _shim_words,
        Quantity.MARGIN: _face_words,
        Quantity.GUIDE_CLEARANCE: _guide_words,
    }
    return words[quantity](work, show) if quantity in words else ""


def _seat_words(work: ValveWork, show: Show) -> str:
    parts = []
    if work.new_insert:
        parts.append("new insert")
    if work.new_valve:
        parts.append("new valve")
    if work.seat_metal_mm > 0:
        parts.append(f"seat cut {_taken(work.seat_metal_mm, show)}")
    if work.face_cut_mm > 0:
        parts.append(f"face cut {_taken(work.face_cut_mm, show)}")
    return ", ".join(parts)


def _tip_words(work: ValveWork, show: Show) -> str:
    return f"tip ground {_taken(work.tip_grind_mm, show)}" if work.tip_grind_mm > 0 else ""


def _shim_words(work: ValveWork, show: Show) -> str:
    if not work.shims_mm:
        return ""
    sizes = " + ".join(show.value(shim, suffix="mm", digits=None) for shim in work.shims_mm)
    return f"shim {sizes}"


def _face_words(work: ValveWork, show: Show) -> str:
    if work.new_valve:
        return "new valve"
    return f"face cut {_taken(work.face_cut_mm, show)}" if work.face_cut_mm > 0 else ""


def _guide_words(work: ValveWork, show: Show) -> str:
    return "new guide" if work.new_guide else ""


def _washer_words(plan: Plan, *, row: After, show: Show) -> str:
    washers = plan.washers_mm.get(row.place, ())
    if row.quantity is not Quantity.INJECTOR_PROTRUSION or not washers:
        return ""
    return "washer " + " + ".join(show.value(washer, suffix="mm") for washer in washers)


def _taken(amount_mm: float, show: Show) -> str:
    return show.value(amount_mm, suffix="mm", difference=True)


def _group(rows: list[_Judged], *, quantity: Quantity, sheet: HeadSheet, show: Show) -> BarGroup:
    ordered = sorted(rows, key=lambda row: row.rank)
    telling = sum(row.telling for row in ordered)
    cut = max(telling, _SHOWN_FIRST)
    if len(ordered) - cut <= 1:
        cut = len(ordered)
    folded = ordered[cut:]
    return BarGroup(
        title=FACTS[quantity].title,
        remark=_limits_words(rows, quantity=quantity, sheet=sheet, show=show),
        first=tuple(_bar_row(row, sheet=sheet, show=show) for row in ordered[:cut]),
        folded=tuple(_bar_row(row, sheet=sheet, show=show) for row in folded),
        fold_label=_fold_label(folded),
    )


def _deck_group(rows: list[_Judged], *, sheet: HeadSheet, show: Show) -> BarGroup:
    """The nearest to its limit of every quantity, whatever is telling, the rest folded."""
    ordered = sorted(rows, key=lambda row: row.rank)
    nearest = {row.row.quantity: row for row in reversed(ordered)}.values()
    first = [row for row in ordered if row.telling or any(row is near for near in nearest)]
    folded = [row for row in ordered if not any(row is shown for shown in first)]
    return BarGroup(
        title="What the deck cut moves" if any(row.row.moved for row in rows) else "The deck",
        remark="the nearest to its limit of each",
        first=tuple(_bar_row(row, sheet=sheet, show=show, titled=True) for row in first),
        folded=tuple(_bar_row(row, sheet=sheet, show=show, titled=True) for row in folded),
        fold_label=_fold_label(folded),
    )


def _fold_label(rows: list[_Judged]) -> str:
    if not rows:
        return ""
    inside = all(row.after.verdict is Verdict.INSIDE for row in rows)
    moved = sum(row.row.moved for row in rows)
    what = counted(len(rows), "place")
    move = "all moved" if moved == len(rows) else f"{moved} moved" if moved else "none moved"
    return f"{what} more, {move}, {'all inside' if inside else 'not all inside'}"


def _unmoved_label(
    by_quantity: dict[Quantity, list[_Judged]], *, moving: dict[Quantity, list[_Judged]]
) -> str:
    names = [
        f"{FACTS[quantity].title.lower()} {len(rows)}"
        for quantity, rows in by_quantity.items()
        if quantity not in moving
    ]
    return f"Stays as measured: {', '.join(names)}" if names else ""


def _limits_words(rows: list[_Judged], *, quantity: Quantity, sheet: HeadSheet, show: Show) -> str:
    kinds: dict[str, list[str]] = {}
    for judged in rows:
        words = limit_sentence(_limit_of(judged.row), show=show)
        kind = place_note(sheet, quantity=quantity, place=judged.row.place)
        kinds.setdefault(words, [])
        if kind not in kinds[words]:
            kinds[words].append(kind)
    if len(kinds) == 1:
        return next(iter(kinds))
    return " · ".join(f"{' and '.join(whose)} {words}" for words, whose in kinds.items())


def _bar_row(judged: _Judged, *, sheet: HeadSheet, show: Show, titled: bool = False) -> BarRow:
    row = judged.row
    place = place_label(row.quantity, place=row.place)
    label = f"{FACTS[row.quantity].title} {place}".strip() if titled else place
    return BarRow(
        label=label,
        note="" if titled else place_note(sheet, quantity=row.quantity, place=row.place),
        before=figure_of(row.quantity, value=row.before, show=show),
        before_verdict=judged.before.verdict,
        after=figure_of(row.quantity, value=row.value, show=show),
        after_verdict=judged.after.verdict,
        bar=_bar(judged, label=label, show=show),
        remark=_remark(judged, show=show),
        binding=row.binding,
        moved=row.moved,
    )


def _remark(judged: _Judged, *, show: Show) -> str:
    parts = [judged.work] if judged.work else []
    excess = judged.after.excess
    if judged.row.binding and excess is not None:
        spare = amount_phrase(max(-excess, 0.0), quantity=judged.row.quantity, show=show)
        parts.append(f"stops the plan: {spare} to spare")
    return "; ".join(parts)


def _bar(judged: _Judged, *, label: str, show: Show) -> SafeString:
    row = judged.row
    hollow = BarMark(value=row.before, u=row.before_u, verdict=judged.before.verdict, solid=False)
    solid = BarMark(value=row.value, u=row.u, verdict=judged.after.verdict, solid=True)
    title = (
        f"{label}: {figure_of(row.quantity, value=row.before, show=show)} as measured, "
        f"{judged.before.verdict}; {figure_of(row.quantity, value=row.value, show=show)} "
        f"as planned, {judged.after.verdict}"
    )
    picture = limit_bar(
        LimitBar(
            low=row.low,
            high=row.high,
            aim=row.aim,
            marks=(hollow, solid) if row.moved else (hollow,),
            suffix=FACTS[row.quantity].suffix,
            show=show,
            title=title,
        ),
        width_px=_BAR_PX,
    )
    return mark_safe(picture)  # noqa: S308  # charts escape what they are handed
