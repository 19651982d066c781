"""The deck page: the form of the face, what cleans it, what is left under it."""

from dataclasses import dataclass

import numpy as np

from castworthy.calc.decision.verdict import Judgement
from castworthy.calc.deck.cleanup import Trial, trial_cut
from castworthy.calc.deck.field import Field, field_of
from castworthy.calc.deck.form import DeckForm, Heights, Plane
from castworthy.calc.deck.section import Section, section
from castworthy.calc.deck.straighten import Straighten, straighten_first
from castworthy.calc.deck.survey import form_of
from castworthy.calc.deck.thickness import ThicknessMap, ThicknessPoint, thickness_map
from castworthy.calc.deck.walk import walking_order
from castworthy.calc.head import HeadSheet, Limit
from castworthy.calc.outcome import Refused
from castworthy.calc.quantity import Quantity
from castworthy.calc.rework.results import Plan
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.gauges import GaugeFacts, gauges_for
from castworthy.records.lookups.plan import plan_page
from castworthy.records.measured import Measured, measured_of
from castworthy.records.models import Head, Scan
from castworthy.records.plans import plan_offered
from castworthy.records.rows import head_row
from castworthy.records.standing import SpotStanding, Standing, standing_for
from castworthy.records.to_calc import sheet_for
from castworthy.units import Show

_UM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatLine:
    """Flatness or local flatness against its limit, where it stands on record."""

    quantity: Quantity
    limit: Limit | None
    judgement: Judgement | None
    derived: bool
    value_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanFacts:
    """A scan on record."""

    file_name: str
    points_count: int
    by: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DeckPage:
    """Everything the deck page shows.

    ``heights`` are those of the sheet's grid (``None`` until all are read); ``past`` says that
    the deck was cut since.  ``planned_cut`` is the chosen plan's deck cut.
    """

    tag: str
    title: str
    sheet: HeadSheet
    heights: Heights | None
    read_count: int
    places_count: int
    past: bool
    form: DeckForm | Refused | None
    flat: tuple[FlatLine, ...]
    thickness: ThicknessMap | None
    straighten: Straighten | None
    planned_mm: float | None
    planned_slope: tuple[float, float]
    scans: tuple[ScanFacts, ...]
    gauges: tuple[GaugeFacts, ...]


def deck_page(tag: str, *, show: Show) -> DeckPage:
    """The form of one deck.

    Raises
    ------
    NotOnRecord
        If there is no such head.

    """
    head = head_row(tag)
    sheet, standing = sheet_for(head), standing_for(head)
    measured = measured_of(head, sheet=sheet)
    spots = [m for (quantity, _), m in measured.items() if quantity is Quantity.HEIGHT]
    places = sheet.sites_of(Quantity.HEIGHT)
    heights = grid_of(spots, sheet=sheet)
    planned_mm, slope = _planned(tag)
    form = None if heights is None else _form(heights, sheet=sheet, spots=spots, show=show)
    return DeckPage(
        tag=tag,
        title=sheet.title,
        sheet=sheet,
        heights=heights,
        read_count=len(spots),
        places_count=len(places),
        past=any(m.stale for m in spots),
        form=form,
        flat=_flat(standing, sheet=sheet),
        thickness=_thickness(standing, sheet=sheet, planned_mm=planned_mm, show=show),
        straighten=_straighten(form, sheet=sheet, show=show),
        planned_mm=planned_mm,
        planned_slope=slope,
        scans=_scans(head),
        gauges=gauges_for("mm"),
    )


def heights_now(tag: str) -> tuple[HeadSheet, Heights]:
    """The sheet of a head and the heights of its grid.

    Raises
    ------
    NotOnRecord
        If there is no such head, or its grid is not read whole.

    """
    head = head_row(tag)
    sheet = sheet_for(head)
    measured = measured_of(head, sheet=sheet)
    spots = [m for (quantity, _), m in measured.items() if quantity is Quantity.HEIGHT]
    heights = grid_of(spots, sheet=sheet)
    if heights is None:
        raise NotOnRecord(f"The deck heights of {tag} are not all read yet.")
    return sheet, heights


def grid_of(spots: list[Measured], *, sheet: HeadSheet) -> Heights | None:
    """The heights of a sheet's grid; ``None`` until every place of it is read."""
    values = {m.place: m.reading.value for m in spots}
    places = sheet.sites_of(Quantity.HEIGHT)
    if len(places) < 4 or any(place not in values for place in places):
        return None
    at = [sheet.spot_mm(Quantity.HEIGHT, place=place) for place in places]
    return Heights(
        x_mm=np.array([x for x, _ in at]),
        y_mm=np.array([y for _, y in at]),
        z_mm=np.array([values[place] for place in places]),
    )


def walked(sheet: HeadSheet) -> tuple[str, ...]:
    """The places of a sheet's grid in the order a person walks them."""
    places = sheet.sites_of(Quantity.HEIGHT)
    spots = [sheet.spot_mm(Quantity.HEIGHT, place=place) for place in places]
    return tuple(places[index] for index in walking_order(spots))


def field_over(sheet: HeadSheet, heights: Heights, *, plane: Plane) -> Field:
    """The height field over a plane, on the deck's own rectangle."""
    xs = [x for x, _ in sheet.outline_mm]
    ys = [y for _, y in sheet.outline_mm]
    return field_of(heights, plane=plane, low_mm=(min(xs), min(ys)), high_mm=(max(xs), max(ys)))


def labels_of(heights: Heights, *, show: Show) -> tuple[tuple[float, float, str], ...]:
    """The measured points with their heights in the reader's units."""
    return tuple(
        (float(x), float(y), show.number(float(z), suffix="mm", difference=True))
        for x, y, z in zip(heights.x_mm, heights.y_mm, heights.z_mm, strict=True)
    )


def trial_of(heights: Heights, *, cut_mm: float, slope: tuple[float, float] = (0.0, 0.0)) -> Trial:
    """What a cut of that depth leaves uncut."""
    return trial_cut(heights, cut_mm=cut_mm, a_ratio=slope[0], b_ratio=slope[1])


def sections_of(sheet: HeadSheet, heights: Heights) -> tuple[Section, Section]:
    """The face along its middle and across it."""
    xs = [x for x, _ in sheet.outline_mm]
    ys = [y for _, y in sheet.outline_mm]
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return (
        section(heights, from_mm=(min(xs), middle[1]), to_mm=(max(xs), middle[1])),
        section(heights, from_mm=(middle[0], min(ys)), to_mm=(middle[0], max(ys))),
    )


def _form(
    heights: Heights, *, sheet: HeadSheet, spots: list[Measured], show: Show
) -> DeckForm | Refused:
    limit = sheet.limit_for(Quantity.LOCAL_FLATNESS)
    known = [m.reading.u for m in spots if m.reading.u is not None]
    return form_of(
        heights,
        windows_mm=() if limit is None or limit.span_mm is None else (limit.span_mm,),
        largest_tilt_ratio=sheet.work.largest_tilt_ratio,
        u_height_mm=max(known) if len(known) == len(spots) else None,
        show=show,
    )


def _flat(standing: Standing, *, sheet: HeadSheet) -> tuple[FlatLine, ...]:
    found = []
    for quantity in (Quantity.FLATNESS, Quantity.LOCAL_FLATNESS):
        spot: SpotStanding | None = standing.by_spot.get((quantity, ""))
        limit = sheet.limit_for(quantity)
        if spot is None and limit is None:
            continue
        found.append(
            FlatLine(
                quantity=quantity,
                limit=limit,
                judgement=spot.judgement if spot and spot.read else None,
                derived=bool(spot and spot.derived),
                value_mm=spot.value if spot and spot.read else None,
            )
        )
    return tuple(found)


def _thickness(
    standing: Standing, *, sheet: HeadSheet, planned_mm: float | None, show: Show
) -> ThicknessMap | None:
    limit = sheet.limit_for(Quantity.DECK_THICKNESS)
    points = []
    for spot in standing.of(Quantity.DECK_THICKNESS):
        if spot.value is None or not spot.read:
            continue
        x_mm, y_mm = sheet.spot_mm(spot.quantity, place=spot.place)
        points.append(
            ThicknessPoint(
                name=spot.place,
                x_mm=x_mm,
                y_mm=y_mm,
                thickness_mm=spot.value,
                stock_mm=planned_mm or 0.0,
            )
        )
    if not points:
        return None
    each = sheet.work.smallest_deck_cut_mm or None
    return thickness_map(
        points, show=show, least_mm=None if limit is None else limit.low, cut_each_mm=each
    )


def _straighten(
    form: DeckForm | Refused | None, *, sheet: HeadSheet, show: Show
) -> Straighten | None:
    if form is None or isinstance(form, Refused) or not sheet.overhead_cam:
        return None
    return straighten_first(
        form.shape.bow_um / _UM,
        straighten_above_mm=sheet.work.straighten_above_mm,
        overhead_cam=sheet.overhead_cam,
        show=show,
    )


def _planned(tag: str) -> tuple[float | None, tuple[float, float]]:
    page = plan_page(tag)
    answer = None if page.chosen is None else page.answers.get(page.chosen)
    plan: Plan | None = None if answer is None else plan_offered(answer)
    if plan is None or plan.deck is None:
        return None, (0.0, 0.0)
    return plan.deck.depth_mm, (plan.deck.a_ratio, plan.deck.b_ratio)


def _scans(head: Head) -> tuple[ScanFacts, ...]:
    rows = Scan.objects.filter(head=head).select_related("by").order_by("-id")
    return tuple(
        ScanFacts(
            file_name=row.file_name,
            points_count=row.points_count,
            by=str(row.by),
            sentence=str(row.result.get("sentence", "")),
        )
        for row in rows
    )
