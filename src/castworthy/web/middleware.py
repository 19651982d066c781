"""What every answer goes through: the content policy, the first run, refusals in a sentence."""

from collections.abc import Callable
from urllib.parse import quote

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse

from castworthy.actions.errors import DeedRefused
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.people import shop_exists

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""The pages run their own scripts and styles, nothing inline and nothing from elsewhere."""
PERMISSIONS = "camera=(self), geolocation=(), microphone=(), payment=(), usb=()"

_FREE_BEFORE_FIRST_RUN = ("/start", "/static/")
_STATUS = {DeedRefused: 422, PermissionDenied: 403, NotOnRecord: 404, Http404: 404}


class PolicyMiddleware:
    """Adds the content policy; pages are this person's and are asked for anew each time."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer with the headers added."""
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        response.headers.setdefault("Cache-Control", "private, no-cache")
        return response


class FirstRunMiddleware:
    """Sends everybody to the first page until the shop has an owner."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or lead to the first page."""
        if not request.path.startswith(_FREE_BEFORE_FIRST_RUN) and not shop_exists():
            return HttpResponseRedirect(reverse("start"))
        return self.get_response(request)


class SentenceMiddleware:
    """What no view caught is told in one sentence.

    A partial request gets it in the header ``X-Sentence``, which own/say.js says over the page;
    a refused deed of a whole page gets a page with status 422, what is not on record one with
    404.  Everything else is left to Django's pages.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer as the view does."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """The refusal in one sentence, or ``None`` where it is none."""
        status = next((code for kind, code in _STATUS.items() if isinstance(error, kind)), None)
        if status is None:
            return None
        sentence = getattr(error, "sentence", "") or str(error)
        if request.headers.get("HX-Request") == "true":
            headers = {"X-Sentence": quote(sentence), "HX-Reswap": "none"}
            return HttpResponse(status=status, headers=headers)
        if isinstance(error, NotOnRecord):
            return render(request, "404.html", {"exception": sentence}, status=status)
        if status != 422:
            return None
        back = request.headers.get("Referer", reverse("rack"))
        context = {"sentence": sentence, "back": back}
        return render(request, "castworthy/refused.html", context, status=422)
