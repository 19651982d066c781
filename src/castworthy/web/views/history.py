"""The history of a head: who did what, every reading it ever had, every sum kept with it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path
from django.views.decorators.http import require_safe

from castworthy.records.lookups.history import history_of
from castworthy.records.lookups.kept_sums import kept_sums
from castworthy.records.lookups.prove import prove_page
from castworthy.records.proving import TestKind
from castworthy.web.contexts.crack_map import crack_map, cracks_found
from castworthy.web.contexts.sums.keeping import kept_line
from castworthy.web.contexts.trail_words import days_of, readings_of
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in


@require_safe
@anyone_signed_in
def history(request: HttpRequest, tag: str) -> HttpResponse:
    """The trail of a head in plain words, and its readings."""
    found, show = history_of(tag), show_for(request)
    record = prove_page(tag)
    checks = cracks_found(record.history.get((TestKind.CRACK, ""), ()))
    context = head_frame(request, tag, "history") | {
        "days": days_of(found),
        "cracks": crack_map(record.sheet, tests=checks, show=show) if checks else None,
        "sums": [kept_line(each) for each in kept_sums(tag)],
        "readings": readings_of(found, show=show),
    }
    return render(request, "castworthy/history/page.html", context)


urlpatterns: list[URLPattern] = [path("heads/<str:tag>/history", history, name="history")]
