"""The release page: what blocks a head, its release, its record."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.release import release_head
from castworthy.records.lookups.release import release_page
from castworthy.web.answers import UNPROCESSABLE, HeadPage, answer, partial
from castworthy.web.contexts.before_after import STILL
from castworthy.web.contexts.leaving import leaving_of
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in, machinist

PAGE = HeadPage(
    step="release", page="castworthy/release/page.html", part="castworthy/release/body.html"
)


@require_safe
@anyone_signed_in
def release(request: HttpRequest, tag: str) -> HttpResponse:
    """What stands between a head and its customer."""
    return _show(request, tag)


@require_safe
@anyone_signed_in
def release_fold(request: HttpRequest, tag: str) -> HttpResponse:
    """The bars behind one fold."""
    if not partial(request):
        return _show(request, tag)
    fold = request.GET.get("fold", "")
    bars = leaving_of(release_page(tag), show=show_for(request), opened=fold).bars
    folded = {
        "rows": bars.folded(fold) if fold != STILL else (),
        "groups": bars.unmoved if fold == STILL else (),
    }
    return render(request, "castworthy/plan/folded.html", folded)


@require_POST
@machinist
def release_sign(request: HttpRequest, tag: str) -> HttpResponse:
    """Release a head."""
    try:
        release_head(tag=tag, by=request.user)
    except DeedRefused as refused:
        return _show(request, tag, error=refused.sentence, status=UNPROCESSABLE)
    return _show(request, tag) if partial(request) else redirect(PAGE.step, tag)


def _show(request: HttpRequest, tag: str, *, error: str = "", status: int = 200) -> HttpResponse:
    opened = request.GET.get("fold", "")
    leaving = leaving_of(release_page(tag), show=show_for(request), opened=opened)
    context = {"leaving": leaving, "error": error}
    return answer(request, tag, shown=PAGE, context=context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/release", release, name="release"),
    path("heads/<str:tag>/release/fold", release_fold, name="release-fold"),
    path("heads/<str:tag>/release/sign", release_sign, name="release-sign"),
]
