"""The rack: every head in the shop by step."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path
from django.views.decorators.http import require_safe

from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.rack import rack
from castworthy.records.lookups.take_in import take_in_choices
from castworthy.web.frame import step_address
from castworthy.web.gate import anyone_signed_in


@require_safe
@anyone_signed_in
def show_rack(request: HttpRequest) -> HttpResponse:
    """The heads in the shop, the longest waiting first."""
    found = rack()
    context = {"rack": found, "sheets": take_in_choices().sheets if found.empty else ()}
    return render(request, "castworthy/rack/rack.html", context)


@require_safe
@anyone_signed_in
def head(request: HttpRequest, tag: str) -> HttpResponse:
    """A head's own address leads to the step it is at."""
    return HttpResponseRedirect(step_address(head_facts(tag)))


urlpatterns: list[URLPattern] = [
    path("", show_rack, name="rack"),
    path("heads/<str:tag>/", head, name="head"),
]
