"""The assemble page: what goes back where, ticked item by item."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_GET, require_POST

from castworthy.actions import assembly
from castworthy.records.lookups.assemble import assemble_page
from castworthy.records.lookups.kept_sums import kept_sums
from castworthy.web.answers import HeadPage, answer, done
from castworthy.web.contexts.assembly_table import assembly_table
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in, machinist

PAGE = HeadPage(
    step="assemble",
    page="castworthy/assemble/page.html",
    part="castworthy/assemble/body.html",
)


@anyone_signed_in
@require_GET
def assemble(request: HttpRequest, tag: str) -> HttpResponse:
    """The assembly list of a head."""
    return _show(request, tag)


@machinist
@require_POST
def assemble_tick(request: HttpRequest, tag: str) -> HttpResponse:
    """Tick or untick one item, all of a kind, or all of a place."""
    wanted = _wanted(request.POST.get("tick", ""))

    def show(**told: Any) -> HttpResponse:
        return _show(request, tag, **told)

    return done(
        request,
        tag,
        deed=lambda: assembly.tick(tag=tag, by=request.user, **wanted),
        show=show,
        step=PAGE.step,
    )


def _show(
    request: HttpRequest, tag: str, *, error: str = "", field: str = "", status: int = 200
) -> HttpResponse:
    page = assemble_page(tag, show=show_for(request))
    context = {"page": page, "table": assembly_table(page, kept=kept_sums(tag)), "error": error}
    return answer(request, tag, shown=PAGE, context=context, status=status)


def _wanted(text: str) -> dict[str, Any]:
    """``+seal/2B`` ticks one item, ``-seal/2B`` unticks it, ``+seal`` ticks all of a kind,
    ``+/2B`` all of a place.
    """
    item, slash, place = text[1:].partition("/")
    return {
        "item": item or None,
        "place": place if slash else None,
        "ticked": not text.startswith("-"),
    }


urlpatterns = [
    path("heads/<str:tag>/assemble", assemble, name="assemble"),
    path("heads/<str:tag>/assemble/tick", assemble_tick, name="assemble-tick"),
]
