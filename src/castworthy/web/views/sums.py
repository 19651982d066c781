"""The bench sums: an index, and each with a live answer."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path
from django.views.decorators.http import require_safe

from castworthy.records.lookups.sums import SumsHead, sheet_for_sums
from castworthy.web.answers import UNPROCESSABLE, partial
from castworthy.web.contexts.sums.all_sums import sum_named
from castworthy.web.contexts.sums.page import cards, sum_page
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in


@require_safe
@anyone_signed_in
def sums(request: HttpRequest) -> HttpResponse:
    """Every sum, by its group."""
    head = _head(request)
    return render(request, "castworthy/sums/index.html", {"groups": cards(head=head), "head": head})


@require_safe
@anyone_signed_in
def one_sum(request: HttpRequest, name: str) -> HttpResponse:
    """One sum: whole to a browser, its answer and its wrong fields to a page already open."""
    shown = sum_named(name)
    if shown is None:
        raise Http404(f"There is no sum {name!r}.")
    live = partial(request)
    page = sum_page(
        shown,
        sent=request.GET.dict(),
        head=_head(request),
        show=show_for(request),
        live=live,
    )
    template = "castworthy/sums/answer.html" if live else "castworthy/sums/sum.html"
    status = UNPROCESSABLE if page.wrong else 200
    return render(request, template, {"page": page, "live": live}, status=status)


def _head(request: HttpRequest) -> SumsHead | None:
    """The head a sum is filled from, where one is named."""
    tag = request.GET.get("head", "").strip()
    if not tag:
        return None
    return sheet_for_sums(tag, place=request.GET.get("place", "").strip())


urlpatterns: list[URLPattern] = [
    path("sums", sums, name="sums"),
    path("sums/<slug:name>", one_sum, name="sum"),
]
