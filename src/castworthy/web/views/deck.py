"""The form of a deck: height field, trial cut, scan, straightedge and feeler."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.scans import keep_feeler, take_scan
from castworthy.calc.deck.feeler import Gap
from castworthy.calc.deck.form import DeckForm, Plane
from castworthy.calc.deck.section import Section
from castworthy.charts.sections import SectionFigure, section_chart
from castworthy.records.lookups.deck import (
    DeckPage,
    deck_page,
    heights_now,
    sections_of,
    trial_of,
)
from castworthy.units import Show, UnitError, read_value
from castworthy.web.answers import UNPROCESSABLE
from castworthy.web.contexts.deck import LINES, deck_of, trial_shown
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist

_WORDS = {"along": "along the middle", "across": "across the centre"}
_DEEPEST_MM = 5.0


@require_safe
@anyone_signed_in
def deck(request: HttpRequest, tag: str) -> HttpResponse:
    """The form of a head's deck."""
    return _shown(request, deck_page(tag, show=show_for(request)))


@require_safe
@anyone_signed_in
def deck_try(request: HttpRequest, tag: str) -> HttpResponse:
    """What a cut of another depth leaves uncut."""
    show = show_for(request)
    try:
        depth_mm = _length(request.GET.get("depth", ""), show=show)
    except UnitError as fault:
        return render(
            request, "castworthy/deck/trial.html", {"error": str(fault)}, status=UNPROCESSABLE
        )
    page = deck_page(tag, show=show)
    form = page.form if isinstance(page.form, DeckForm) else None
    trial = trial_shown(
        page.sheet, page.heights, form=form, cut_mm=depth_mm, slope=page.planned_slope, show=show
    )
    return render(request, "castworthy/deck/trial.html", {"trial": trial})


@require_safe
@anyone_signed_in
def deck_section(request: HttpRequest, tag: str, name: str) -> HttpResponse:
    """A section of the face, with the plane a cut leaves."""
    if name not in _WORDS:
        raise Http404(f"There is no section {name!r}.")
    show = show_for(request)
    sheet, heights = heights_now(tag)
    along, across = sections_of(sheet, heights)
    found = along if name == "along" else across
    page = deck_page(tag, show=show)
    plane = None
    if page.planned_mm is not None:
        plane = trial_of(heights, cut_mm=page.planned_mm, slope=page.planned_slope).plane
    figure = SectionFigure(
        way_mm=found.way_mm.tolist(),
        height_mm=found.z_mm.tolist(),
        plane_mm=_plane(plane, found),
        words=_WORDS[name],
        show=show,
    )
    return JsonResponse(section_chart(figure), headers={"Cache-Control": "private, no-cache"})


@require_POST
@machinist
def deck_scan(request: HttpRequest, tag: str) -> HttpResponse:
    """Take in a scan of the whole deck."""
    sent = request.FILES.get("scan")
    try:
        if sent is None:
            raise DeedRefused("Choose the file of the scan.", field="scan")
        taken = take_scan(
            tag=tag,
            name=sent.name or "scan",
            content=sent.read(),
            gauge=request.POST.get("gauge", ""),
            by=request.user,
        )
    except DeedRefused as refused:
        return _refused(request, tag, refused.sentence, at="scan")
    for note in taken.notes:
        messages.info(request, note)
    messages.success(request, f"The scan is taken in: {taken.form.shape.sentence}")
    return redirect("deck", tag)


@require_POST
@machinist
def deck_feeler(request: HttpRequest, tag: str) -> HttpResponse:
    """Keep what straightedge and feeler say."""
    show = show_for(request)
    try:
        gaps = _gaps(request, tag, show=show)
        sentence = keep_feeler(tag=tag, gaps=gaps, by=request.user)
    except (DeedRefused, UnitError) as refused:
        words = refused.sentence if isinstance(refused, DeedRefused) else str(refused)
        return _refused(request, tag, words, at="feeler")
    messages.success(request, sentence)
    return redirect("deck", tag)


def _gaps(request: HttpRequest, tag: str, *, show: Show) -> list[Gap]:
    """The gaps typed, each with the ends of its line, where the edge rests."""
    sheet = deck_page(tag, show=show).sheet
    xs = [x for x, _ in sheet.outline_mm]
    ys = [y for _, y in sheet.outline_mm]
    left, right, low, high = min(xs), max(xs), min(ys), max(ys)
    mid_x, mid_y = (left + right) / 2, (low + high) / 2
    ends = {
        "front": ((left, low), (right, low)),
        "middle": ((left, mid_y), (right, mid_y)),
        "rear": ((left, high), (right, high)),
        "left": ((left, low), (left, high)),
        "centre": ((mid_x, low), (mid_x, high)),
        "right": ((right, low), (right, high)),
        "diagonal": ((left, low), (right, high)),
        "other": ((left, high), (right, low)),
    }
    gaps: list[Gap] = []
    smallest_mm = _length(request.POST.get("smallest", ""), show=show, what="The thinnest leaf")
    for name, words in LINES:
        goes, stops = (request.POST.get(f"{name}-{part}", "") for part in ("goes", "stops"))
        if not goes.strip() and not stops.strip():
            continue
        goes_mm = _length(goes, show=show, what=words) if goes.strip() else 0.0
        stops_mm = _length(stops, show=show, what=words) if stops.strip() else None
        if stops_mm is not None and stops_mm < goes_mm:
            raise UnitError(
                f"{words[:1].upper()}{words[1:]} a leaf of {goes.strip()} goes but a thinner one, "
                f"{stops.strip()}, does not; swap them or try again."
            )
        (x0, y0), (x1, y1) = ends[name]
        for x, y, low_mm, high_mm in (
            (x0, y0, 0.0, smallest_mm),
            ((x0 + x1) / 2, (y0 + y1) / 2, goes_mm, stops_mm),
            (x1, y1, 0.0, smallest_mm),
        ):
            gaps.append(Gap(line=words, x_mm=x, y_mm=y, goes_mm=low_mm, stops_mm=high_mm))
    if not gaps:
        raise DeedRefused("Enter the leaf that goes on one line at least.", field="goes")
    return gaps


def _length(text: str, *, show: Show, what: str = "The depth") -> float:
    unit = show.unit("mm", difference=True)
    if not text.strip():
        raise UnitError(f"{what} is empty; enter it in {unit}.")
    value = read_value(text, suffix="mm", bare_unit=unit).value
    if not 0.0 <= value <= _DEEPEST_MM:
        most = show.value(_DEEPEST_MM, suffix="mm", difference=True)
        raise UnitError(f"{what} lies between 0 and {most} (got {text.strip()}).")
    return value


def _plane(plane: Plane | None, found: Section) -> list[float]:
    if plane is None:
        return []
    left = plane.level_mm + plane.a_ratio * found.x_mm + plane.b_ratio * found.y_mm
    heights: list[float] = left.tolist()
    return heights


def _line(request: HttpRequest, name: str, words: str) -> tuple[str, str, str, str]:
    """One straightedge line with what was typed for it."""
    goes, stops = (request.POST.get(f"{name}-{part}", "") for part in ("goes", "stops"))
    return name, words, goes, stops


def _refused(request: HttpRequest, tag: str, sentence: str, *, at: str) -> HttpResponse:
    page = deck_page(tag, show=show_for(request))
    return _shown(request, page, wrong={at: sentence}, status=UNPROCESSABLE)


def _shown(
    request: HttpRequest,
    page: DeckPage,
    *,
    wrong: dict[str, str] | None = None,
    status: int = 200,
) -> HttpResponse:
    context: dict[str, Any] = {
        **head_frame(request, page.tag, "measure"),
        "deck": deck_of(page, show=show_for(request)),
        "page": page,
        "wrong": wrong or {},
        "lines": [_line(request, name, words) for name, words in LINES],
        "smallest": request.POST.get("smallest", ""),
    }
    return render(request, "castworthy/deck/page.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/deck", deck, name="deck"),
    path("heads/<str:tag>/deck/try", deck_try, name="deck-try"),
    path("heads/<str:tag>/deck/scan", deck_scan, name="deck-scan"),
    path("heads/<str:tag>/deck/feeler", deck_feeler, name="deck-feeler"),
    path("heads/<str:tag>/deck/section-<str:name>.json", deck_section, name="deck-section"),
]
