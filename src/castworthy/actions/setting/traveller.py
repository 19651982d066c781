"""The traveller: the chosen work in order, before and after, boxes to sign."""

from collections.abc import Iterable

from castworthy.actions.setting.press import (
    Press,
    bar,
    day,
    facts_of,
    figure,
    share,
    unit_words,
)
from castworthy.actions.setting.work_words import TITLES, amount, figures
from castworthy.calc.decision.judge import judge
from castworthy.calc.decision.verdict import Verdict
from castworthy.calc.decision.words import limit_sentence
from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.head import Reading as CalcReading
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.effects import disturbed_by
from castworthy.calc.rework.explain import odds_sentence
from castworthy.calc.rework.results import After, OperationKind, Plan
from castworthy.charts.bar import BarMark
from castworthy.records.cautions import LAST_WORD, LIFTING, cautions_for
from castworthy.records.finish_words import cure_words
from castworthy.records.lookups.finish import cure_for, last_machine
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.machine import MachinePage, OperationFacts, machine_page
from castworthy.records.lookups.people import shop
from castworthy.records.lookups.plan import plan_page
from castworthy.records.plans import plan_offered
from castworthy.records.practices import TOGETHER, practices_of
from castworthy.reports.parts import BarGroup, BarRow
from castworthy.reports.traveller import Done, TravellerPaper, TravellerStep


def traveller_paper(tag: str, *, press: Press) -> TravellerPaper:
    """What the traveller of a head says."""
    head, page, plans = head_facts(tag), machine_page(tag), plan_page(tag)
    offered = None if plans.chosen is None else plan_offered(plans.answers[plans.chosen])
    work = [one for one in page.operations if one.state != "dropped"]
    return TravellerPaper(
        imprint=press.imprint,
        tag=tag,
        address=press.address,
        title=head.sheet_title,
        facts=facts_of(head),
        summary=_summary(offered, words=page.plan_words, press=press),
        warning="" if offered is None or offered.guarded else odds_sentence(offered),
        steps=tuple(_steps(work, loaded=page.loaded, feed=_feed(page, press=press), press=press)),
        units=f"sizes in {unit_words(press.show)}, "
        f"cuts in {unit_words(press.show, difference=True)}",
        bars=() if offered is None else tuple(_bars(offered, sheet=page.sheet, press=press)),
        measure_again=_again(page),
        together=TOGETHER,
        cautions=(LIFTING,),
        last_word=LAST_WORD,
    )


def _summary(plan: Plan | None, *, words: str, press: Press) -> str:
    if plan is None:
        return "No plan is chosen yet."
    if plan.empty:
        return "Nothing has to be done: every limit holds as measured."
    hours, minutes = divmod(round(plan.minutes), 60)
    time = f"{hours} h {minutes:02d}" if hours else f"{minutes} min"
    taking = f" in {time}" if round(plan.minutes) else ""
    parts = [f"{words[:1].upper()}{words[1:]}: {shop().currency}{plan.cost:,.0f}{taking}"]
    if plan.deck is not None:
        cut = press.show.value(plan.deck.depth_mm, suffix="mm", difference=True)
        parts.append(f"takes {cut} off the deck")
    parts.append(f"odds that every limit holds {share(plan.probability)}")
    return f"{', '.join(parts)}."


def _feed(page: MachinePage, *, press: Press) -> str:
    return cure_words(cure_for(page.sheet, machine=last_machine()), show=press.show)


def _steps(
    work: Iterable[OperationFacts], *, loaded: bool, feed: str, press: Press
) -> Iterable[TravellerStep]:
    by_kind: dict[OperationKind, list[OperationFacts]] = {}
    for one in work:
        by_kind.setdefault(one.kind, []).append(one)
    order = list(OperationKind)
    for kind in sorted(by_kind, key=order.index):
        same = by_kind[kind]
        single = same[0] if len(same) == 1 and not same[0].place else None
        yield TravellerStep(
            title=TITLES[kind],
            total=""
            if single is None
            else amount(kind, amount_mm=single.planned_mm, show=press.show),
            figures=figures(same, show=press.show),
            notes=(
                *dict.fromkeys(one.why for one in same if one.why and len(same) == 1),
                *practices_of(kind, loaded=loaded),
                *((feed,) if feed and kind is OperationKind.SURFACE else ()),
            ),
            cautions=cautions_for(kind)[:-1],
            done=_done(same, press=press),
        )


def _done(same: list[OperationFacts], *, press: Press) -> Done | None:
    if any(one.state != "done" or one.at is None for one in same):
        return None
    last = max(same, key=lambda one: one.done_number or 0)
    taken = (
        amount(last.kind, amount_mm=last.taken_mm, show=press.show)
        if len(same) == 1
        else f"all {len(same)}"
    )
    at = day(last.at) if last.at else ""
    return Done(taken=taken or "done", by=last.by, at=at)


def _bars(plan: Plan, *, sheet: HeadSheet, press: Press) -> Iterable[BarGroup]:
    moved: dict[Quantity, list[After]] = {}
    for row in plan.after:
        if row.moved and row.limited:
            moved.setdefault(row.quantity, []).append(row)
    for quantity, rows in moved.items():
        limit = sheet.limit_for(quantity, place=rows[0].place)
        about = "" if limit is None else limit_sentence(limit, show=press.show)
        yield BarGroup(
            title=FACTS[quantity].title,
            about=about,
            rows=tuple(_bar_row(row, sheet=sheet, press=press) for row in _worst_first(rows)),
        )


def _worst_first(rows: list[After]) -> list[After]:
    return sorted(rows, key=lambda row: (not row.binding, row.place))


def _bar_row(row: After, *, sheet: HeadSheet, press: Press) -> BarRow:
    limit = sheet.limit_for(row.quantity, place=row.place)
    before = _verdict(row, value=row.before, u=row.before_u, limit=limit, sheet=sheet)
    after = _verdict(row, value=row.value, u=row.u, limit=limit, sheet=sheet)
    marks = (
        BarMark(value=row.before, u=row.before_u, verdict=before, solid=False),
        BarMark(value=row.value, u=row.u, verdict=after),
    )
    return BarRow(
        name=row.place or FACTS[row.quantity].title,
        before=figure(row.before, quantity=row.quantity, show=press.show),
        after=figure(row.value, quantity=row.quantity, show=press.show),
        verdict=after,
        svg=bar(limit, quantity=row.quantity, marks=marks, show=press.show),
    )


def _verdict(
    row: After, *, value: float, u: float | None, limit: Limit | None, sheet: HeadSheet
) -> Verdict:
    if limit is None:
        return Verdict.INSIDE
    reading = CalcReading(quantity=row.quantity, place=row.place, value=value, u=u)
    confidence = sheet.work.confidence_probability
    return judge(reading, limit=limit, confidence_probability=confidence).verdict


def _again(page: MachinePage) -> tuple[str, ...]:
    moved = {
        pair
        for one in page.operations
        if one.state != "dropped"
        for pair in disturbed_by(page.sheet, kind=one.kind, place=one.place)
    }
    lines = []
    for quantity in dict.fromkeys(limit.quantity for limit in page.sheet.limits):
        places = [p for p in page.sheet.sites_of(quantity) if (quantity, p) in moved]
        if places and not FACTS[quantity].tested:
            title = FACTS[quantity].title
            count = f"{len(places)} place{'' if len(places) == 1 else 's'}"
            lines.append(title if places == [""] else f"{title}, {count}")
    return tuple(lines)
