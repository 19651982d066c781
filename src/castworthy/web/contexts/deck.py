"""The deck page as it is shown: the height field, its figures in words, the trial cut."""

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from castworthy.calc.decision.words import limit_sentence, short_verdict
from castworthy.calc.deck.form import CleanUp, DeckForm, Heights
from castworthy.calc.head import HeadSheet
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import FACTS, Quantity
from castworthy.charts.bar import BarMark, LimitBar, limit_bar
from castworthy.charts.deck import deck_plan
from castworthy.charts.field import Shading
from castworthy.records.lookups.deck import (
    DeckPage,
    FlatLine,
    field_over,
    labels_of,
    trial_of,
    walked,
)
from castworthy.units import Show
from castworthy.web.contexts.figures import counted, measure_link

LINES = (
    ("front", "along the front edge"),
    ("middle", "along the middle"),
    ("rear", "along the rear edge"),
    ("left", "across the left end"),
    ("centre", "across the centre"),
    ("right", "across the right end"),
    ("diagonal", "corner to corner, rising"),
    ("other", "corner to corner, falling"),
)
"""Straightedge lines: six and both diagonals (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatRow:
    """Flatness or local flatness with its limit bar."""

    title: str
    figure: str
    words: str
    verdict: str
    bar: SafeString
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialCut:
    """What a trial depth leaves uncut."""

    map: SafeString
    sentence: str
    ending: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckShown:
    """Everything the deck page shows."""

    sentence: str
    refused: str
    flat: tuple[FlatRow, ...]
    facts: tuple[tuple[str, str], ...]
    cleanup: tuple[tuple[str, str], ...]
    straighten: str
    warnings: tuple[str, ...]
    thickness: tuple[str, ...]
    left: tuple[tuple[str, str, str], ...]
    trial: TrialCut | None
    most: str
    step: str
    value: str
    unit: str
    size_unit: str
    to_read: str
    read_address: str
    past: bool
    map: SafeString


def deck_of(page: DeckPage, *, show: Show) -> DeckShown:
    """The page of one deck."""
    form = page.form if isinstance(page.form, DeckForm) else None
    unit = show.unit("mm", difference=True)
    cleans_mm = form.cleanup_level.cut_mm if form else 0.0
    start_mm = page.planned_mm if page.planned_mm is not None else cleans_mm
    return DeckShown(
        sentence=form.shape.sentence if form else "",
        refused=page.form.sentence if isinstance(page.form, Refused) else "",
        flat=tuple(_flat(line, show=show) for line in page.flat),
        facts=_facts(form, show=show) if form else (),
        cleanup=_cleanup(form, sheet=page.sheet, show=show) if form else (),
        straighten=page.straighten.sentence if page.straighten else "",
        warnings=form.warnings if form else (),
        thickness=page.thickness.sentences if page.thickness else (),
        left=_left(page, show=show),
        trial=trial_shown(page.sheet, page.heights, form=form, cut_mm=start_mm, show=show)
        if form and page.heights is not None
        else None,
        most=show.number(1.5 * max(cleans_mm, start_mm), suffix="mm", difference=True),
        step="0.1" if unit == "thou" else "0.002",
        value=show.number(start_mm, suffix="mm", difference=True),
        unit=unit,
        size_unit=show.unit("mm"),
        to_read=_to_read(page),
        read_address=measure_link(page.tag, quantity=Quantity.HEIGHT),
        past=page.past,
        map=SafeString() if form else _bare_map(page, show=show),
    )


def trial_shown(
    sheet: HeadSheet,
    heights: Heights | None,
    *,
    form: DeckForm | None,
    cut_mm: float,
    slope: tuple[float, float] = (0.0, 0.0),
    show: Show,
) -> TrialCut | None:
    """The deck shaded, with what a cut of that depth leaves uncut."""
    if heights is None or form is None:
        return None
    trial = trial_of(heights, cut_mm=cut_mm, slope=slope)
    shading = Shading(
        field=field_over(sheet, heights, plane=form.zone),
        half_um=form.flatness_um / 2.0,
        uncut=field_over(sheet, heights, plane=trial.plane) if trial.uncut.any() else None,
        contacts_mm=form.contacts_mm,
        labels=labels_of(heights, show=show),
        words=f"Height of the deck: {form.shape.sentence}",
    )
    drawn = deck_plan(sheet, shading=shading)
    depth = show.value(cut_mm, suffix="mm", difference=True)
    if not trial.uncut.any():
        return TrialCut(
            map=mark_safe(drawn),  # noqa: S308 - drawn by castworthy.charts, which escapes
            sentence=f"A cut of {depth} cleans the whole face.",
            ending="inside",
        )
    left = int(trial.uncut.sum())
    deepest = show.value(trial.deepest_mm, suffix="mm", difference=True)
    return TrialCut(
        map=mark_safe(drawn),  # noqa: S308 - drawn by castworthy.charts, which escapes
        sentence=f"A cut of {depth} leaves {left} of {counted(len(trial.uncut), 'point')} uncut; "
        f"the deepest lies {deepest} below it.",
        ending="outside",
    )


def _bare_map(page: DeckPage, *, show: Show) -> SafeString:
    """The deck with the way its grid is walked, before the heights are read."""
    route = tuple(page.sheet.spot_mm(Quantity.HEIGHT, place=p) for p in walked(page.sheet))
    drawn = deck_plan(page.sheet, show=show, route_mm=route)
    return mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes


def _to_read(page: DeckPage) -> str:
    if not page.places_count:
        return (
            "This sheet names no places for deck heights. Add some to the sheet, take in a scan, "
            "or use straightedge and feeler."
        )
    if page.heights is None:
        return (
            f"{page.read_count} of {counted(page.places_count, 'height')} are read. The form of "
            "the deck follows when all are."
        )
    return ""


def _flat(line: FlatLine, *, show: Show) -> FlatRow:
    limit, judged = line.limit, line.judgement
    bar = SafeString()
    if limit is not None and judged is not None:
        drawn = limit_bar(
            LimitBar(
                low=limit.low,
                high=limit.high,
                aim=limit.aim,
                marks=(BarMark(value=judged.value or 0.0, u=judged.u, verdict=judged.verdict),),
                show=show,
                title=limit_sentence(limit, show=show),
            )
        )
        bar = mark_safe(drawn)  # noqa: S308 - drawn by castworthy.charts, which escapes
    title = FACTS[line.quantity].title
    if limit is not None and limit.span_mm is not None:
        title = f"{title} in any {show.value(limit.span_mm, suffix='mm')}"
    return FlatRow(
        title=title,
        figure=""
        if line.value_mm is None
        else show.value(line.value_mm, suffix="mm", difference=True),
        words=short_verdict(judged, show=show) if judged else "not measured",
        verdict=judged.verdict.value if judged else "not measured",
        bar=bar,
        note="follows from the heights" if line.derived else "",
    )


def _facts(form: DeckForm, *, show: Show) -> tuple[tuple[str, str], ...]:
    shape = form.shape

    def said(size_um: float) -> str:
        return show.value(size_um / 1000.0, suffix="mm", difference=True)

    facts = [
        ("Flatness, minimum zone", said(form.flatness_um)),
        ("By least squares", said(form.flatness_least_squares_um)),
        ("Bow along", said(shape.bow_um)),
        ("Bow across", said(shape.cross_bow_um)),
        ("Twist", said(shape.twist_um)),
        ("Wedge along", said(shape.wedge_along_um)),
        ("Wedge across", said(shape.wedge_across_um)),
        ("Largest step", said(form.step.step_um)),
    ]
    if form.u_flatness_um is not None:
        facts.insert(1, ("standard uncertainty, first order", _fine(form.u_flatness_um, show=show)))
    return tuple(facts)


def _fine(size_um: float, *, show: Show) -> str:
    return show.value(
        size_um / 1000.0, suffix="mm", difference=True, digits=4 if show.metric else 2
    )


def _cleanup(form: DeckForm, *, sheet: HeadSheet, show: Show) -> tuple[tuple[str, str], ...]:
    level = ("Level with the datum", _cut(form.cleanup_level, show=show))
    if sheet.work.largest_tilt_ratio <= 0.0:
        return (level,)
    tilted = form.cleanup_tilted
    slope = (
        f"{1000 * tilted.plane.a_ratio:+.2f} along and {1000 * tilted.plane.b_ratio:+.2f} across, "
        "thousandths"
    )
    return level, ("Tilted as far as the sheet lets", f"{_cut(tilted, show=show)}; slope {slope}")


def _cut(cut: CleanUp, *, show: Show) -> str:
    over = show.value(cut.highest_cut_mm, suffix="mm", difference=True)
    x, y = (show.number(at, suffix="mm", digits=2) for at in (cut.last_x_mm, cut.last_y_mm))
    return f"{over} over the highest point; the last spot cleans at {x}, {y} {show.unit('mm')}"


def _left(page: DeckPage, *, show: Show) -> tuple[tuple[str, str, str], ...]:
    if page.thickness is None:
        return ()
    return tuple(
        (
            each.name,
            "" if each.left_mm is None else show.value(each.left_mm, suffix="mm", difference=True),
            "" if each.cuts_count is None else str(each.cuts_count),
        )
        for each in page.thickness.left
    )
