"""The finish sheet: verdicts, causes and the feed of the next cut, with every chart."""

from collections.abc import Iterable, Sequence

from castworthy.actions.setting.press import Press, bar, facts_of, unit
from castworthy.calc.decision.phrases import reading_phrase
from castworthy.calc.decision.verdict import Judgement, Verdict
from castworthy.calc.decision.words import limit_sentence, short_verdict
from castworthy.calc.head import HeadSheet, ToleranceRule
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.calc.rework.results import OperationKind
from castworthy.charts.bar import BarMark
from castworthy.charts.deck import DeckMark, deck_plan
from castworthy.charts.finish import (
    TraceFigure,
    chart_svg,
    profile_chart,
    ratio_chart,
    spectrum_chart,
)
from castworthy.charts.theme import Theme
from castworthy.records.cautions import LAST_WORD, cautions_for
from castworthy.records.finish_words import (
    cause_of,
    conditions_of,
    cure_words,
    parameters_of,
    past_of,
    trace_about,
    warnings_of,
)
from castworthy.records.lookups.finish import FinishPage, JudgedTrace, finish_page, judged_trace
from castworthy.records.lookups.heads import head_facts
from castworthy.records.models import Face
from castworthy.records.traces import Decides
from castworthy.reports.finish import FinishPaper, FinishTrace
from castworthy.reports.parts import BarGroup, BarRow, Fact

_MOST_TRACES = 12
_HALF_PX, _WHOLE_PX, _TALL_PX = 330, 740, 122


def finish_paper(tag: str, *, press: Press) -> FinishPaper:
    """What the finish sheet of a head says."""
    head, page = head_facts(tag), finish_page(tag)
    counted = [each for each in page.traces if each.trace.counts]
    shown = (counted or list(page.traces))[:_MOST_TRACES]
    return FinishPaper(
        imprint=press.imprint,
        tag=tag,
        address=press.address,
        title=head.sheet_title,
        facts=(*facts_of(head), *_gasket(page)),
        summary=_summary(page, press=press),
        rule=_rule(page.sheet),
        deck_svg=_deck(page, press=press),
        bars=tuple(_bars(page, press=press)),
        cure=cure_words(page.cure, show=press.show),
        traces=tuple(_trace(each, press=press) for each in shown),
        cautions=cautions_for(OperationKind.SURFACE)[:-1],
        last_word=LAST_WORD,
    )


def _gasket(page: FinishPage) -> Iterable[Fact]:
    for name, title in page.gaskets:
        if name == page.gasket:
            yield Fact(label="gasket", value=title)


def _rule(sheet: HeadSheet) -> str:
    if sheet.work.finish_rule is ToleranceRule.SIXTEEN:
        return "One value in six may exceed a limit (16 % rule)."
    return "No value may exceed a limit (max rule)."


def _summary(page: FinishPage, *, press: Press) -> str:
    if not page.deck:
        return "No trace counts since the deck was last cut."
    outside = [each for each in page.deck if _judged(each, page=page).verdict is Verdict.OUTSIDE]
    close = [each for each in page.deck if _judged(each, page=page).verdict is Verdict.CLOSE]
    for found, words in ((outside, "outside"), (close, "too close to call")):
        if found:
            named = " and ".join(_phrase(each, press=press) for each in found)
            return f"The deck's finish is {words}: {named}."
    named = " and ".join(_phrase(each, press=press) for each in page.deck)
    return f"The deck's finish is inside: {named}."


def _phrase(found: Decides, *, press: Press) -> str:
    value = reading_phrase(found.value_um, quantity=found.quantity, show=press.show)
    return f"{FACTS[found.quantity].title} {value}"


def _judged(found: Decides, *, page: FinishPage) -> Judgement:
    judged = judged_trace(found.trace, sheet=page.sheet).judgements
    return next(each for each in judged if each.quantity is found.quantity)


def _bars(page: FinishPage, *, press: Press) -> Iterable[BarGroup]:
    for title, found in (("Deck", page.deck), ("Block face", page.block)):
        if found:
            units = ", ".join(dict.fromkeys(unit(each.quantity, show=press.show) for each in found))
            yield BarGroup(title=title, about=units, rows=_rows(found, page=page, press=press))


def _rows(found: Sequence[Decides], *, page: FinishPage, press: Press) -> tuple[BarRow, ...]:
    rows = []
    for each in found:
        judged = _judged(each, page=page)
        mark = BarMark(value=each.value_um, u=each.u_um, verdict=judged.verdict)
        rows.append(
            BarRow(
                name=FACTS[each.quantity].title,
                before=press.show.number(each.value_um, suffix="um"),
                verdict=judged.verdict,
                svg=bar(each.limit, quantity=each.quantity, marks=(mark,), show=press.show),
                note=f"{limit_sentence(each.limit, show=press.show)}; "
                f"{short_verdict(judged, show=press.show)}",
            )
        )
    return tuple(rows)


def _deck(page: FinishPage, *, press: Press) -> str:
    marks = [
        DeckMark(
            quantity=Quantity.FINISH_RA,
            place=each.trace.place,
            verdict=each.verdict,
            text=press.show.number(each.trace.value_um[Quantity.FINISH_RA], suffix="um"),
            spot_mm=(each.trace.x_mm, each.trace.y_mm or 0.0),
        )
        for each in page.traces
        if each.trace.counts and each.trace.face == Face.DECK and each.trace.x_mm is not None
    ]
    return deck_plan(page.sheet, marks=marks, theme=Theme.PRINT) if marks else ""


def _trace(judged: JudgedTrace, *, press: Press) -> FinishTrace:
    trace = judged.trace
    figure = TraceFigure(
        drawn=trace.drawn, pitch_mm=trace.result["made_by"]["pitch_mm"], show=press.show
    )
    return FinishTrace(
        title=(trace.place or trace.file_name).capitalize(),
        about=trace_about(judged, show=press.show),
        past=past_of(judged),
        cause=cause_of(judged, show=press.show),
        conditions=conditions_of(judged, show=press.show),
        warnings=warnings_of(judged, show=press.show),
        parameters=tuple(
            Fact(label=symbol, value=value)
            for symbol, value in parameters_of(judged, show=press.show)
        ),
        profile_svg=chart_svg(
            profile_chart(figure, theme=Theme.PRINT), width_px=_WHOLE_PX, height_px=_TALL_PX
        ),
        ratio_svg=chart_svg(
            ratio_chart(figure, theme=Theme.PRINT), width_px=_HALF_PX, height_px=_TALL_PX
        ),
        spectrum_svg=chart_svg(
            spectrum_chart(figure, theme=Theme.PRINT), width_px=_HALF_PX, height_px=_TALL_PX
        ),
    )
