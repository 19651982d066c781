"""The rack: every head in the shop by step."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path
from django.views.decorators.http import require_safe

from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.rack import rack
from castworthy.records.lookups.take_in import take_in_choices
from castworthy.web.frame import STEPS, step_address
from castworthy.web.gate import anyone_signed_in

_A_SHELF_COUNT = 12
_A_PAGE_COUNT = 48


@require_safe
@anyone_signed_in
def show_rack(request: HttpRequest) -> HttpResponse:
    """The heads in the shop, the longest waiting first; one shelf alone with ``?step=``."""
    step = request.GET.get("step", "")
    if step:
        return _one_shelf(request, step)
    found = rack(per_step_count=_A_SHELF_COUNT)
    context = {"rack": found, "sheets": take_in_choices().sheets if found.empty else ()}
    return render(request, "castworthy/rack/rack.html", context)


@require_safe
@anyone_signed_in
def head(request: HttpRequest, tag: str) -> HttpResponse:
    """A head's own address leads to the step it is at."""
    return HttpResponseRedirect(step_address(head_facts(tag)))


def _one_shelf(request: HttpRequest, step: str) -> HttpResponse:
    if step not in {stored for _, stored, _ in STEPS}:
        raise NotOnRecord(f"There is no step {step!r}; go back to the rack.")
    asked = request.GET.get("page", "1")
    page = max(1, int(asked)) if asked.isdecimal() and len(asked) < len("10000") else 1
    found = rack(per_step_count=_A_PAGE_COUNT, only=step, skip_count=(page - 1) * _A_PAGE_COUNT)
    pages = max(1, -(-found.steps[0].heads_count // _A_PAGE_COUNT))
    context = {
        "rack": found,
        "only": step,
        "page": page,
        "before": page - 1,
        "after": page + 1,
        "pages": pages,
    }
    return render(request, "castworthy/rack/rack.html", context)


urlpatterns: list[URLPattern] = [
    path("", show_rack, name="rack"),
    path("heads/<str:tag>/", head, name="head"),
]
