"""The finish of a deck: traces in, verdict, cause and cure."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.heads import choose_gasket
from castworthy.actions.traces import CutWith, TraceUpload, add_traces, set_trace_aside
from castworthy.charts.finish import TraceFigure, profile_chart, ratio_chart, spectrum_chart
from castworthy.records.lookups.finish import FinishPage, finish_page, trace_file, trace_of
from castworthy.units import Show, UnitError, read_value
from castworthy.web.answers import UNPROCESSABLE
from castworthy.web.contexts.finish import cure_card, finish_of
from castworthy.web.contexts.sums.at_step import sums_at_step
from castworthy.web.forms.finish import TraceForm
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist
from castworthy.web.refusals import refuse

_CHARTS = {"profile": profile_chart, "ratio": ratio_chart, "spectrum": spectrum_chart}
_KEPT = "private, max-age=31536000, immutable"
_MOST = {"mm": 50.8, "rpm": 20_000.0}
"""No insert and no spindle of a head shop goes beyond (common practice, no source)."""


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def finish(request: HttpRequest, tag: str) -> HttpResponse:
    """The finish of a head, and more traces of it."""
    page = finish_page(tag)
    if request.method == "POST":
        return _take(request, page)
    place = request.GET.get("place", "") or _next_place(page)
    last = page.traces[0].trace if page.traces else None
    start = {"place": place, "machine": last.machine if last else ""}
    return _shown(request, page, TraceForm(page=page, initial=start), place=place)


@require_POST
@machinist
def set_aside(request: HttpRequest, tag: str, uuid: UUID) -> HttpResponse:
    """No longer count a trace."""
    try:
        set_trace_aside(uuid=uuid, why=request.POST.get("why", ""), by=request.user)
    except DeedRefused as refused:
        messages.error(request, refused.sentence)
    return redirect("finish", tag)


@require_POST
@machinist
def gasket(request: HttpRequest, tag: str) -> HttpResponse:
    """Judge the finish by what another gasket needs."""
    try:
        choose_gasket(tag=tag, gasket=request.POST.get("gasket", ""), by=request.user)
    except DeedRefused as refused:
        messages.error(request, refused.sentence)
    return redirect("finish", tag)


@require_safe
@anyone_signed_in
def cure(request: HttpRequest, tag: str) -> HttpResponse:
    """The feed for another machine, insert or speed."""
    show = show_for(request)
    sent = request.GET
    try:
        nose_mm = _typed(sent.get("nose", ""), suffix="mm", show=show)
        turning_rpm = _typed(sent.get("turning", ""), suffix="rpm", show=show)
    except UnitError as fault:
        context = {"cure": None, "refused": str(fault), "frame": {"tag": tag}}
        return render(request, "castworthy/finish/cure_answer.html", context, status=UNPROCESSABLE)
    page = finish_page(
        tag, machine=sent.get("machine", ""), nose_mm=nose_mm, turning_rpm=turning_rpm
    )
    shown = None if page.cure is None else cure_card(page.cure, show=show)
    return render(request, "castworthy/finish/cure_answer.html", {"cure": shown})


@require_safe
@anyone_signed_in
def trace_chart(request: HttpRequest, uuid: UUID, name: str) -> HttpResponse:
    """One chart of a trace, as the drawing own/charts.js shows."""
    if name not in _CHARTS:
        raise Http404(f"There is no chart {name!r}.")
    _, trace = trace_of(uuid)
    figure = TraceFigure(
        drawn=trace.drawn,
        pitch_mm=trace.result["made_by"]["pitch_mm"],
        show=show_for(request),
    )
    return JsonResponse(_CHARTS[name](figure), headers={"Cache-Control": "private, no-cache"})


@require_safe
@anyone_signed_in
def trace_download(request: HttpRequest, uuid: UUID) -> FileResponse:
    """The file of a trace as it came."""
    found = trace_file(uuid)
    headers = {"Cache-Control": _KEPT, "ETag": f'"{found.digest}"'}
    return FileResponse(
        found.path.open("rb"),
        as_attachment=True,
        filename=found.name,
        content_type="application/octet-stream",
        headers=headers,
    )


def _take(request: HttpRequest, page: FinishPage) -> HttpResponse:
    form = TraceForm(request.POST, page=page)
    uploads = request.FILES.getlist("files")
    if form.is_valid():
        given = form.cleaned_data
        try:
            taken = add_traces(
                tag=page.tag,
                files=[TraceUpload(name=each.name, content=each.read()) for each in uploads],
                face=given["face"],
                place=given["place"],
                spot_mm=_spot(page, given["place"], face=given["face"]),
                gauge=given["gauge"],
                cut=CutWith(
                    machine=given["machine"],
                    feed=given["feed"],
                    nose=given["nose"],
                    turning=given["turning"],
                ),
                by=request.user,
            )
        except DeedRefused as refused:
            refuse(form, refused, files=None)
        else:
            for sentence in taken.refused:
                messages.error(request, sentence)
            for note in taken.notes:
                messages.info(request, note)
            messages.success(request, _kept_words(taken.kept_count))
            return redirect("finish", page.tag)
    return _shown(request, page, form, place=request.POST.get("place", ""), status=UNPROCESSABLE)


def _kept_words(count: int) -> str:
    if count == 0:
        return "These traces were on record already; nothing was added."
    return f"{count} trace{'' if count == 1 else 's'} taken in and judged."


def _shown(
    request: HttpRequest, page: FinishPage, form: TraceForm, *, place: str, status: int = 200
) -> HttpResponse:
    context: dict[str, Any] = {
        **head_frame(request, page.tag, "measure"),
        "step_sums": sums_at_step(page.tag, step="finish"),
        "finish": finish_of(page, place=place, show=show_for(request)),
        "page": page,
        "form": form,
    }
    return render(request, "castworthy/finish/page.html", context, status=status)


def _next_place(page: FinishPage) -> str:
    done = {each.trace.place for each in page.traces if each.trace.counts}
    return next((each.name for each in page.places if each.name not in done), "")


def _spot(page: FinishPage, place: str, *, face: str) -> tuple[float, float] | None:
    found = next((each for each in page.places if each.name == place), None)
    return None if found is None or face != "deck" else (found.x_mm, found.y_mm)


def _typed(text: str, *, suffix: str, show: Show) -> float | None:
    if not text.strip():
        return None
    value = read_value(text, suffix=suffix, bare_unit=show.unit(suffix)).value
    if not 0.0 < value <= _MOST[suffix]:
        most = show.value(_MOST[suffix], suffix=suffix, digits=0)
        raise UnitError(f"{text.strip()} cannot be set; write more than 0 and up to {most}.")
    return value


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/finish", finish, name="finish"),
    path("heads/<str:tag>/finish/gasket", gasket, name="finish-gasket"),
    path("heads/<str:tag>/finish/cure", cure, name="finish-cure"),
    path("heads/<str:tag>/finish/<uuid:uuid>/set-aside", set_aside, name="trace-set-aside"),
    path("traces/<uuid:uuid>/<str:name>.json", trace_chart, name="trace-chart"),
    path("traces/<uuid:uuid>/file", trace_download, name="trace-file"),
]
