"""How a page of a head answers: whole to a browser, in part to a page already open.

A part comes with the head's steps and stamp (swapped out of band), so that what a deed moved is
seen at once.  A refused deed comes back as the same part with its sentence, status 422.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string

from castworthy.actions.errors import DeedRefused
from castworthy.web.frame import head_frame

UNPROCESSABLE = 422


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadPage:
    """One page of a head: its url name, its template, the part of it that changes."""

    step: str
    page: str
    part: str


def partial(request: HttpRequest) -> bool:
    """True when a page already open asks for a part of itself."""
    return request.headers.get("HX-Request") == "true"


def answer(
    request: HttpRequest,
    tag: str,
    *,
    shown: HeadPage,
    context: dict[str, Any],
    status: int = 200,
) -> HttpResponse:
    """The page, or the part of it that changes with the head's top line."""
    full = head_frame(request, tag, shown.step) | context
    if not partial(request):
        return render(request, shown.page, full, status=status)
    part = render_to_string(shown.part, full, request=request)
    news = render_to_string("castworthy/parts/head_news.html", full, request=request)
    return HttpResponse(part + news, status=status)


def done(
    request: HttpRequest,
    tag: str,
    *,
    deed: Callable[[], Any],
    show: Callable[..., HttpResponse],
    step: str,
) -> HttpResponse:
    """Do a deed and show what came of it.

    ``show(error=, field=, status=)`` renders the page or its part.  A browser without scripts
    is led back to the page of ``step``.
    """
    try:
        deed()
    except DeedRefused as refused:
        return show(error=refused.sentence, field=refused.field, status=UNPROCESSABLE)
    if partial(request):
        return show(error="", field="", status=200)
    return redirect(step, tag)
