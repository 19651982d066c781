"""Papers of a head as PDF."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_safe

from castworthy.actions.papers import (
    print_claim,
    print_deck,
    print_finish,
    print_groove,
    print_release,
    print_tag,
    print_traveller,
)
from castworthy.web.gate import anyone_signed_in

_PRINTS = {
    "tag": print_tag,
    "traveller": print_traveller,
    "release": print_release,
    "claim": print_claim,
    "finish": print_finish,
    "deck": print_deck,
    "groove": print_groove,
}


@require_safe
@anyone_signed_in
def paper(request: HttpRequest, tag: str, name: str) -> HttpResponse:
    """One paper, printed now; ``?size=a4`` or ``us-letter`` chooses the sheet."""
    if name not in _PRINTS:
        raise Http404(f"There is no paper {name!r}; choose one of {', '.join(_PRINTS)}.")
    pdf = _PRINTS[name](
        tag=tag,
        address=request.build_absolute_uri(reverse("head", args=[tag])),
        by=request.user,
        size=request.GET.get("size", ""),
    )
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="{tag}-{name}.pdf"',
            "Cache-Control": "private, no-store",
        },
    )


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/papers/<str:name>.pdf", paper, name="paper"),
]
