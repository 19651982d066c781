"""The deck sheet: field, limits, figures, clean-up, sections, what is left under the face."""

from collections.abc import Iterable

from castworthy.actions.errors import DeedRefused
from castworthy.actions.setting.press import Press, bar, facts_of
from castworthy.calc.decision.words import limit_sentence, short_verdict
from castworthy.calc.deck.cleanup import Trial
from castworthy.calc.deck.form import CleanUp, DeckForm, Heights
from castworthy.calc.deck.section import Section
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS
from castworthy.calc.rework.results import OperationKind
from castworthy.charts.bar import BarMark
from castworthy.charts.deck import deck_plan
from castworthy.charts.field import Shading
from castworthy.charts.finish import chart_svg
from castworthy.charts.sections import SectionFigure, section_chart
from castworthy.charts.theme import Theme
from castworthy.records.cautions import LAST_WORD, cautions_for
from castworthy.records.lookups.deck import (
    DeckPage,
    FlatLine,
    deck_page,
    field_over,
    labels_of,
    sections_of,
    trial_of,
)
from castworthy.records.lookups.heads import head_facts
from castworthy.reports.deck import DeckPaper
from castworthy.reports.parts import BarGroup, BarRow, Fact

_WIDE_PX, _TALL_PX = 330, 95
_PAST = "These heights were read before the deck was cut; it has another face now."


def deck_paper(tag: str, *, press: Press) -> DeckPaper:
    """What the deck sheet of a head says.

    Raises
    ------
    DeedRefused
        If the heights are not all read, or cannot be judged.

    """
    head, page = head_facts(tag), deck_page(tag, show=press.show)
    form, heights = page.form, page.heights
    if isinstance(form, Refused):
        raise DeedRefused(form.sentence, code="deck")
    if form is None or heights is None:
        raise DeedRefused(
            f"The deck heights of {tag} are not all read yet: {page.read_count} of "
            f"{page.places_count}.",
            code="deck",
        )
    trial = _trial(page, heights)
    along, across = sections_of(page.sheet, heights)
    return DeckPaper(
        imprint=press.imprint,
        tag=tag,
        address=press.address,
        title=head.sheet_title,
        facts=facts_of(head),
        summary=form.shape.sentence,
        past=_PAST if page.past else "",
        bars=tuple(_bars(page, press=press)),
        figures=tuple(_figures(form, press=press)),
        cleanup=tuple(_cleanup(page, form, press=press)),
        before_svg=_field(page, form, heights, trial=None, press=press),
        after_title=_after(page, trial, press=press),
        after_svg="" if trial is None else _field(page, form, heights, trial=trial, press=press),
        along_svg=_section(along, trial=trial, words="along the middle", press=press),
        across_svg=_section(across, trial=trial, words="across the centre", press=press),
        lines=tuple(_lines(page, form)),
        cautions=cautions_for(OperationKind.SURFACE)[:-1],
        last_word=LAST_WORD,
    )


def _trial(page: DeckPage, heights: Heights) -> Trial | None:
    if page.planned_mm is None:
        return None
    return trial_of(heights, cut_mm=page.planned_mm, slope=page.planned_slope)


def _field(
    page: DeckPage, form: DeckForm, heights: Heights, *, trial: Trial | None, press: Press
) -> str:
    uncut = None
    if trial is not None and trial.uncut.any():
        uncut = field_over(page.sheet, heights, plane=trial.plane)
    shading = Shading(
        field=field_over(page.sheet, heights, plane=form.zone),
        half_um=form.flatness_um / 2.0,
        uncut=uncut,
        contacts_mm=form.contacts_mm,
        labels=labels_of(heights, show=press.show),
        words=form.shape.sentence,
    )
    return deck_plan(page.sheet, theme=Theme.PRINT, shading=shading)


def _after(page: DeckPage, trial: Trial | None, *, press: Press) -> str:
    if trial is None or page.planned_mm is None:
        return ""
    depth = press.show.value(page.planned_mm, suffix="mm", difference=True)
    if not trial.uncut.any():
        return f"The planned cut of {depth} cleans the whole face"
    return f"The planned cut of {depth} leaves {int(trial.uncut.sum())} points uncut (framed)"


def _bars(page: DeckPage, *, press: Press) -> Iterable[BarGroup]:
    rows = tuple(_bar_row(line, press=press) for line in page.flat if line.value_mm is not None)
    if rows:
        yield BarGroup(title="Against the limits", about="", rows=rows)


def _bar_row(line: FlatLine, *, press: Press) -> BarRow:
    judged, value = line.judgement, line.value_mm or 0.0
    marks = () if judged is None else (BarMark(value=value, u=judged.u, verdict=judged.verdict),)
    note = ""
    if judged is not None and line.limit is not None:
        note = f"{limit_sentence(line.limit, show=press.show)}; "
        note += short_verdict(judged, show=press.show)
    common = {} if judged is None else {"verdict": judged.verdict}
    return BarRow(
        name=FACTS[line.quantity].title,
        before=press.show.value(value, suffix="mm", difference=True),
        svg=bar(line.limit, quantity=line.quantity, marks=marks, show=press.show),
        note=note,
        **common,
    )


def _figures(form: DeckForm, *, press: Press) -> Iterable[Fact]:
    shape = form.shape
    sizes = (
        ("flatness, minimum zone", form.flatness_um),
        ("by least squares", form.flatness_least_squares_um),
        ("bow along", shape.bow_um),
        ("bow across", shape.cross_bow_um),
        ("twist", shape.twist_um),
        ("wedge along", shape.wedge_along_um),
        ("wedge across", shape.wedge_across_um),
        ("largest step", form.step.step_um),
    )
    for label, size_um in sizes:
        value = press.show.value(size_um / 1000.0, suffix="mm", difference=True)
        yield Fact(label=label, value=value)
    if form.u_flatness_um is not None:
        u_mm = form.u_flatness_um / 1000.0
        digits = 4 if press.show.metric else 2
        value = press.show.value(u_mm, suffix="mm", difference=True, digits=digits)
        yield Fact(label="standard uncertainty of flatness, first order", value=value)


def _cleanup(page: DeckPage, form: DeckForm, *, press: Press) -> Iterable[Fact]:
    yield Fact(label="level with the datum", value=_cut(form.cleanup_level, press=press))
    if page.sheet.work.largest_tilt_ratio > 0.0:
        yield Fact(label="tilted", value=_cut(form.cleanup_tilted, press=press))


def _cut(cut: CleanUp, *, press: Press) -> str:
    show = press.show
    over = show.value(cut.highest_cut_mm, suffix="mm", difference=True)
    x, y = (show.number(at, suffix="mm", digits=2) for at in (cut.last_x_mm, cut.last_y_mm))
    return f"{over} over the highest point; last spot at {x}, {y} {show.unit('mm')}"


def _section(found: Section, *, trial: Trial | None, words: str, press: Press) -> str:
    plane: list[float] = []
    if trial is not None:
        at = trial.plane
        left = at.level_mm + at.a_ratio * found.x_mm + at.b_ratio * found.y_mm
        plane = left.tolist()
    figure = SectionFigure(
        way_mm=found.way_mm.tolist(),
        height_mm=found.z_mm.tolist(),
        plane_mm=plane,
        words=words,
        show=press.show,
    )
    chart = section_chart(figure, theme=Theme.PRINT)
    return chart_svg(chart, width_px=_WIDE_PX, height_px=_TALL_PX)


def _lines(page: DeckPage, form: DeckForm) -> Iterable[str]:
    yield from form.warnings
    if page.straighten is not None:
        yield page.straighten.sentence
    if page.thickness is not None:
        yield from page.thickness.sentences
