"""The page of a port's vacuum log: readings typed live, pasted or sent, worked out and kept."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path, reverse
from django.utils.datastructures import MultiValueDict
from django.views.decorators.http import require_http_methods, require_POST

from castworthy.actions.errors import DeedRefused
from castworthy.actions.leak_log import record_vacuum_log
from castworthy.records.leak_trial import LogFault, LogTyped, log_trial
from castworthy.records.lookups.leak import LeakPage, leak_page
from castworthy.web.answers import UNPROCESSABLE, partial
from castworthy.web.contexts.leak_log import leak_shown, trial_answer
from castworthy.web.forms.leak import LogForm
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist

_DAY = "castworthy.vacuum"
_BOTH = (
    "Readings are typed already; keep them or start over before a file is chosen, so that none "
    "is lost."
)
_FIGURES = ("volume", "u_volume", "gauge", "dead_head", "hold", "atmosphere", "temperature")


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def leak_log(request: HttpRequest, tag: str, place: str) -> HttpResponse:
    """One port: its log on record, and a new one."""
    if request.method == "POST":
        return _keep(request, tag=tag, place=place)
    page = leak_page(tag, place=place)
    form = LogForm(show=show_for(request), gauges=page.gauges, initial=_start(request, page))
    return _page(request, page, form=form)


@require_POST
@machinist
def leak_log_try(request: HttpRequest, tag: str, place: str) -> HttpResponse:
    """What the readings so far say; nothing is kept."""
    page, show = leak_page(tag, place=place), show_for(request)
    try:
        typed = _typed(request)
        if not typed.readings.strip() and not typed.file_name:
            return render(request, "castworthy/leak/answer.html", {"kept": _kept(request, page)})
        trial = log_trial(typed, sheet=page.sheet, place=place, show=show)
    except LogFault as fault:
        return _said(request, fault)
    context: dict[str, Any] = {"answer": trial_answer(trial, place=place, show=show)}
    if typed.file_name:
        lines = typed.content.decode("utf-8-sig", errors="replace")
        context["form"] = LogForm(show=show, initial={"readings": lines})
    return render(request, "castworthy/leak/answer.html", context)


@machinist
def _keep(request: HttpRequest, *, tag: str, place: str) -> HttpResponse:
    """Keep the log as the port's test."""
    page = leak_page(tag, place=place)
    try:
        proved = record_vacuum_log(
            tag=tag,
            place=place,
            typed=_typed(request),
            uuid=request.POST.get("uuid", ""),
            by=request.user,
        )
    except (DeedRefused, LogFault) as refused:
        return _refused(request, page, refused)
    sent = request.POST
    request.session[_DAY] = {name: sent.get(name, "") for name in ("dead_head", "hold", "gauge")}
    messages.success(request, f"{place} is kept: {proved.sentence}")
    if not partial(request):
        return redirect("leak-log", tag, place)
    return HttpResponse(headers={"HX-Redirect": reverse("leak-log", args=[tag, place])})


def _typed(request: HttpRequest) -> LogTyped:
    """What was sent, with the file where one was chosen and no line is typed.

    Raises
    ------
    LogFault
        If both are there.

    """
    sent = request.POST
    files: MultiValueDict[str, Any] = request.FILES
    upload = files.get("file")
    readings = sent.get("readings", "")
    if upload is not None and readings.strip():
        raise LogFault(_BOTH, field="file")
    figures = {name: sent.get(name, "") for name in _FIGURES}
    return LogTyped(
        readings=readings,
        file_name=(upload.name or "The file") if upload is not None else "",
        content=upload.read() if upload is not None else b"",
        **figures,
    )


def _start(request: HttpRequest, page: LeakPage) -> Mapping[str, Any]:
    """What is known before the first reading."""
    day, last = request.session.get(_DAY, {}), page.last
    return {
        "volume": "" if last is None else f"{last.volume_cm3:g}",
        "u_volume": "" if last is None or not last.u_volume_cm3 else f"{last.u_volume_cm3:g}",
        "gauge": day.get("gauge", "" if last is None else last.gauge),
        "dead_head": day.get("dead_head", ""),
        "hold": day.get("hold") or f"{page.sheet.work.vacuum_hold_s:g}",
        "atmosphere": page.atmosphere_typed,
        "uuid": uuid4(),
    }


def _kept(request: HttpRequest, page: LeakPage) -> Any:
    return leak_shown(page, show=show_for(request)).kept


def _said(request: HttpRequest, fault: DeedRefused | LogFault) -> HttpResponse:
    """One sentence beside the chart, which stays, and the field it is about."""
    context = {"sentence": fault.sentence, "field": fault.field}
    answer = render(request, "castworthy/leak/said.html", context)
    answer.headers["HX-Retarget"] = "#leak-said"
    answer.headers["HX-Reswap"] = "outerHTML"
    return answer


def _refused(request: HttpRequest, page: LeakPage, refused: DeedRefused | LogFault) -> HttpResponse:
    if partial(request):
        answer = _said(request, refused)
        answer.status_code = UNPROCESSABLE
        return answer
    form = LogForm(request.POST, show=show_for(request), gauges=page.gauges)
    form.tie(refused.field, to="leak-said")
    return _page(request, page, form=form, sentence=refused.sentence, status=UNPROCESSABLE)


def _page(
    request: HttpRequest,
    page: LeakPage,
    *,
    form: LogForm,
    sentence: str = "",
    status: int = 200,
) -> HttpResponse:
    leak = leak_shown(page, show=show_for(request))
    context = head_frame(request, page.record.tag, "prove") | {
        "leak": leak,
        "kept": leak.kept,
        "form": form,
        "sentence": sentence,
    }
    return render(request, "castworthy/leak/page.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/prove/<str:place>/log", leak_log, name="leak-log"),
    path("heads/<str:tag>/prove/<str:place>/log/try", leak_log_try, name="leak-log-try"),
]
