"""Finding a head by what is written on it or about it."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_safe

from castworthy.records.lookups.search import find_heads
from castworthy.web.answers import partial
from castworthy.web.gate import anyone_signed_in


@require_safe
@anyone_signed_in
def search(request: HttpRequest) -> HttpResponse:
    """The heads that answer to the words; Enter on a whole tag leads to its head at once."""
    found = find_heads(request.GET.get("q", ""))
    if partial(request):
        return render(request, "castworthy/office/found.html", {"found": found})
    first = found.heads[0].head.tag if found.heads else ""
    if first and first.casefold() == found.text.casefold():
        return HttpResponseRedirect(reverse("head", args=[first]))
    return render(request, "castworthy/office/search.html", {"found": found})


urlpatterns: list[URLPattern] = [path("search", search, name="search")]
