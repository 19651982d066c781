"""Gauges: what they are good to, and how long they may be believed."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods

from castworthy.actions.gauges import add_gauge, change_gauge
from castworthy.records.lookups import gauges as lookups
from castworthy.records.lookups.judged import heads_since_check
from castworthy.web.entries import enter
from castworthy.web.forms.office import GaugeChangeForm, GaugeForm, figure_text
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in

_LIST = "castworthy/office/gauges.html"
_ONE = "castworthy/office/gauge.html"


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def gauges(request: HttpRequest) -> HttpResponse:
    """Every gauge, the overdue ones marked, and a form for one more."""
    form = GaugeForm(request.POST or None, initial={"unit": show_for(request).unit("mm")})
    rows = lookups.gauges()
    overdue_count = sum(row.overdue and not row.retired for row in rows)
    context = {"gauges": rows, "overdue_count": overdue_count, "form": form}
    if request.method != "POST":
        return render(request, _LIST, context)
    return enter(
        request,
        form=form,
        deed=partial(add_gauge, by=request.user),
        told="The gauge is on record.",
        to=reverse("gauges"),
        page=_LIST,
        context=context,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def gauge(request: HttpRequest, number: int) -> HttpResponse:
    """One gauge, to read or to change after a calibration."""
    row = lookups.gauge(number)
    form = GaugeChangeForm(request.POST or None, initial=_typed(row))
    context = {
        "gauge": row,
        "typed": _typed(row),
        "form": form,
        "since": heads_since_check(row.id),
    }
    if request.method != "POST":
        return render(request, _ONE, context)
    return enter(
        request,
        form=form,
        deed=partial(change_gauge, gauge_id=row.id, by=request.user),
        told="The gauge is changed; readings taken before keep the uncertainty they had.",
        to=reverse("gauges"),
        page=_ONE,
        context=context,
    )


def _typed(row: lookups.GaugeFacts) -> dict[str, object]:
    return {
        "name": row.name,
        "reads": row.reads,
        "unit": row.unit,
        "u": figure_text(row.u),
        "u_bias": figure_text(row.u_bias),
        "resolution": figure_text(row.resolution),
        "calibrated_until": row.calibrated_until,
        "note": row.note,
        "retired": row.retired,
    }


urlpatterns: list[URLPattern] = [
    path("gauges/", gauges, name="gauges"),
    path("gauges/<int:number>/", gauge, name="gauge"),
]
