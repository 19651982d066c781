"""A plan's quantities before and after, grouped, the moved and the binding first."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.phrases import amount_phrase
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import limit_sentence
from castworthy.calc.head import HeadSheet, Limit, Reading
from castworthy.calc.quantity import FACTS, Quantity, Site
from castworthy.calc.rework.results import After, Plan
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.units import Show
from castworthy.web.contexts.figures import (
    Figure,
    counted,
    figure_of,
    place_label,
    place_note,
    quantity_name,
)
from castworthy.web.contexts.place_work import work_words

_SHOWN_QUIET = 3
_SHOWN_FIRST = 6
_SHOWN_MOST = 8
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
    """One heading with its rows: ``first`` in sight, ``folded`` behind ``fold_label``.

    ``folded`` is drawn only when asked for by ``key`` (``drawn`` says so): a head has hundreds.
    """

    key: str
    title: str
    remark: str
    first: tuple[BarRow, ...]
    folded: tuple[BarRow, ...]
    fold_label: str
    drawn: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeAfter:
    """All bars of a plan: the valve groups, what the deck cut moves, what stays as it is.

    ``unmoved`` is drawn only when asked for by the key ``still``.
    """

    groups: tuple[BarGroup, ...]
    unmoved: tuple[BarGroup, ...]
    unmoved_label: str

    def folded(self, key: str) -> tuple[BarRow, ...]:
        """The rows behind the fold of a group; none when there is no such group."""
        return next((group.folded for group in self.groups if group.key == key), ())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    row: After
    before: Judgement
    after: Judgement
    work: str

    @property
    def pressing(self) -> bool:
        return self.row.binding or bool({self.before.verdict, self.after.verdict} & _TROUBLE)

    @property
    def telling(self) -> bool:
        return self.pressing or bool(self.work)

    @property
    def rank(self) -> tuple[bool, bool, float]:
        excess = self.after.excess
        to_spare = -excess if excess is not None else float("inf")
        span = self.row.u or 1.0
        return (not self.pressing, not self.telling, to_spare / span)


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """How the two marks of a bar are called, and what a value that did not move is drawn as."""

    hollow: str
    solid: str
    deck_title: str
    still: str
    still_solid: bool


PLANNED = Telling(
    hollow="as measured",
    solid="as planned",
    deck_title="What the deck cut moves",
    still="Stays as measured",
    still_solid=False,
)
SHIPPED = Telling(
    hollow="as received",
    solid="as it stands",
    deck_title="The deck and its height",
    still="As received",
    still_solid=True,
)


STILL = "still"
"""The key of everything that does not move."""
_DECK = "deck"


def before_after(plan: Plan, *, sheet: HeadSheet, show: Show, opened: str = "") -> BeforeAfter:
    """The bars of a plan, grouped for the page, with the fold of that key drawn."""
    return bars_of(
        plan.after,
        work={
            (row.quantity, row.place): work_words(row, plan=plan, show=show) for row in plan.after
        },
        telling=PLANNED,
        sheet=sheet,
        show=show,
        opened=opened,
    )


def bars_of(
    rows: Iterable[After],
    *,
    work: Mapping[tuple[Quantity, str], str],
    telling: Telling,
    sheet: HeadSheet,
    show: Show,
    opened: str = "",
) -> BeforeAfter:
    """The bars of some quantities before and after; those without a limit are left out."""
    by_quantity: dict[Quantity, list[_Judged]] = {}
    for row in rows:
        if row.limited:
            judged = _judged(row, work=work.get((row.quantity, row.place), ""), sheet=sheet)
            by_quantity.setdefault(row.quantity, []).append(judged)
    drawn = _Drawn(telling=telling, sheet=sheet, show=show, opened=opened)
    moving = {
        quantity: judged
        for quantity, judged in by_quantity.items()
        if any(one.row.moved or one.telling for one in judged)
    }
    valve_groups = [
        _group(judged, quantity=quantity, drawn=drawn)
        for quantity, judged in moving.items()
        if FACTS[quantity].site is Site.VALVE
    ]
    deck = [
        one
        for quantity, judged in moving.items()
        if FACTS[quantity].site is not Site.VALVE
        for one in judged
    ]
    return BeforeAfter(
        groups=(*valve_groups, *([_deck_group(deck, drawn=drawn)] if deck else [])),
        unmoved=tuple(
            _group(judged, quantity=quantity, drawn=drawn)
            for quantity, judged in by_quantity.items()
            if quantity not in moving and opened == STILL
        ),
        unmoved_label=_unmoved_label(by_quantity, moving=moving, telling=telling),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """How bars are drawn: for whom, by which sheet, in which words."""

    telling: Telling
    sheet: HeadSheet
    show: Show
    opened: str


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


def _judged(row: After, *, work: str, sheet: HeadSheet) -> _Judged:
    return _Judged(
        row=row,
        before=verdict_of(row, value=row.before, u=row.before_u, sheet=sheet),
        after=verdict_of(row, value=row.value, u=row.u, sheet=sheet),
        work=work,
    )


def _group(rows: list[_Judged], *, quantity: Quantity, drawn: _Drawn) -> BarGroup:
    ordered = sorted(rows, key=lambda row: row.rank)
    pressing = sum(row.pressing for row in ordered)
    cut = max(pressing, min(sum(row.telling for row in ordered), _SHOWN_MOST))
    cut = max(cut, _SHOWN_FIRST if pressing or quantity is Quantity.RECESSION else _SHOWN_QUIET)
    if len(ordered) - cut <= 1:
        cut = len(ordered)
    return _folded_group(
        ordered[:cut],
        ordered[cut:],
        key=quantity.value,
        title=FACTS[quantity].title,
        remark=_limits_words(rows, quantity=quantity, drawn=drawn),
        drawn=drawn,
    )


def _deck_group(rows: list[_Judged], *, drawn: _Drawn) -> BarGroup:
    """The nearest to its limit of every quantity, whatever is telling, the rest folded."""
    ordered = sorted(rows, key=lambda row: row.rank)
    nearest = {id(row) for row in {row.row.quantity: row for row in reversed(ordered)}.values()}
    first = [row for row in ordered if row.telling or id(row) in nearest]
    moved = any(row.row.moved for row in rows)
    return _folded_group(
        first,
        [row for row in ordered if not row.telling and id(row) not in nearest],
        key=_DECK,
        title=drawn.telling.deck_title if moved else "The deck",
        remark="the nearest to its limit of each" if len(first) < len(rows) else "",
        drawn=drawn,
    )


def _folded_group(
    first: list[_Judged],
    folded: list[_Judged],
    *,
    key: str,
    title: str,
    remark: str,
    drawn: _Drawn,
) -> BarGroup:
    titled = key == _DECK
    opened = drawn.opened in {key, STILL} and bool(folded)
    return BarGroup(
        key=key,
        title=title,
        remark=remark,
        first=tuple(_bar_row(row, drawn=drawn, titled=titled) for row in first),
        folded=tuple(_bar_row(row, drawn=drawn, titled=titled) for row in folded if opened),
        fold_label=_fold_label(folded),
        drawn=opened,
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
    by_quantity: dict[Quantity, list[_Judged]],
    *,
    moving: dict[Quantity, list[_Judged]],
    telling: Telling,
) -> str:
    names = [
        f"{quantity_name(quantity)} {len(rows)}"
        for quantity, rows in by_quantity.items()
        if quantity not in moving
    ]
    return f"{telling.still}: {', '.join(names)}" if names else ""


def _limits_words(rows: list[_Judged], *, quantity: Quantity, drawn: _Drawn) -> str:
    kinds: dict[str, list[str]] = {}
    for limit, kind in {
        (_limit_of(one.row), place_note(drawn.sheet, quantity=quantity, place=one.row.place)): None
        for one in rows
    }:
        kinds.setdefault(limit_sentence(limit, show=drawn.show), []).append(kind)
    if len(kinds) == 1:
        return next(iter(kinds))
    return " · ".join(f"{' and '.join(whose)} {words}" for words, whose in kinds.items())


def _bar_row(judged: _Judged, *, drawn: _Drawn, titled: bool = False) -> BarRow:
    row, show = judged.row, drawn.show
    place = place_label(row.quantity, place=row.place)
    label = f"{FACTS[row.quantity].title} {place}".strip() if titled else place
    return BarRow(
        label=label,
        note="" if titled else place_note(drawn.sheet, quantity=row.quantity, place=row.place),
        before=figure_of(row.quantity, value=row.before, show=show),
        before_verdict=judged.before.verdict,
        after=figure_of(row.quantity, value=row.value, show=show),
        after_verdict=judged.after.verdict,
        bar=_bar(judged, label=label, drawn=drawn),
        remark=_remark(judged, drawn=drawn),
        binding=row.binding,
        moved=row.moved,
    )


def _remark(judged: _Judged, *, drawn: _Drawn) -> str:
    parts = [judged.work] if judged.work else []
    if ratio := _ratio_words(judged.row, sheet=drawn.sheet):
        parts.append(ratio)
    excess = judged.after.excess
    if judged.row.binding and excess is not None:
        quantity = judged.row.quantity
        spare = amount_phrase(max(-excess, 0.0), quantity=quantity, show=drawn.show)
        parts.append(f"decides the plan: {spare} to spare")
    return "; ".join(parts)


def _ratio_words(row: After, *, sheet: HeadSheet) -> str:
    """The compression ratio of a chamber, before and after where its volume moves."""
    if row.quantity is not Quantity.CHAMBER_VOLUME or sheet.engine is None:
        return ""
    bore_mm = next(each.bore_mm for each in sheet.cylinders if each.name == row.place)
    before, after = (
        f"{sheet.engine.ratio(chamber_cm3=volume, bore_mm=bore_mm):.2f}"
        for volume in (row.before, row.value)
    )
    return f"ratio {before}" if before == after else f"ratio {before}, then {after}"


def _bar(judged: _Judged, *, label: str, drawn: _Drawn) -> SafeString:
    row, telling, show = judged.row, drawn.telling, drawn.show
    hollow = BarMark(value=row.before, u=row.before_u, verdict=judged.before.verdict, solid=False)
    solid = BarMark(value=row.value, u=row.u, verdict=judged.after.verdict, solid=True)
    still = solid if telling.still_solid else hollow
    before = figure_of(row.quantity, value=row.before, show=show)
    after = figure_of(row.quantity, value=row.value, show=show)
    told = f"{label}: {before} {telling.hollow}, {judged.before.verdict}"
    moved = f"; {after} {telling.solid}, {judged.after.verdict}" if row.moved else ""
    picture = limit_bar(
        LimitBar(
            low=row.low,
            high=row.high,
            aim=row.aim,
            marks=(hollow, solid) if row.moved else (still,),
            suffix=FACTS[row.quantity].suffix,
            show=show,
            title=f"{told}{moved}",
        ),
        width_px=_BAR_PX,
    )
    return mark_safe(picture)  # noqa: S308  # charts escape what they are handed
