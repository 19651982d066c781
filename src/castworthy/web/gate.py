"""Who may open what.

Every view wears one of these.  A stranger is sent to sign in (a partial request is told so by
``HX-Redirect``), and a signed-in person without the role gets one sentence.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlencode, urlsplit

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

View = Callable[..., HttpResponseBase]

OWNER_ONLY = "Only an owner of the shop may do this. Ask one, or sign in as one."
BENCH_ONLY = "You may look but not change anything. Ask an owner for the role of machinist."
_READS = frozenset({"GET", "HEAD", "OPTIONS"})


def may_work(person: Any) -> bool:
    """True for people who may change a head: owners and machinists."""
    return person.is_authenticated and person.role in {"owner", "machinist"}


def is_owner(person: Any) -> bool:
    """True for owners of the shop."""
    return person.is_authenticated and person.role == "owner"


def anyone_signed_in(view: View) -> View:
    """Everybody with an account may look; only owners and machinists may send anything."""
    return _guarded(
        view,
        lambda request: request.method in _READS or may_work(request.user),
        sentence=BENCH_ONLY,
    )


def machinist(view: View) -> View:
    """Owners and machinists only, reading included."""
    return _guarded(view, lambda request: may_work(request.user), sentence=BENCH_ONLY)


def owner(view: View) -> View:
    """Owners only, reading included."""
    return _guarded(view, lambda request: is_owner(request.user), sentence=OWNER_ONLY)


def own_account(view: View) -> View:
    """Everybody with an account, for what is theirs alone (their units, their password)."""
    return _guarded(view, lambda _request: True, sentence=BENCH_ONLY)


def _guarded(view: View, allowed: Callable[[HttpRequest], bool], *, sentence: str) -> View:
    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if not request.user.is_authenticated:
            return to_sign_in(request)
        if not allowed(request):
            raise PermissionDenied(sentence)
        return view(request, *args, **kwargs)

    return guarded


def to_sign_in(request: HttpRequest) -> HttpResponse:
    """To the sign-in page and back to where the person was going, or typing."""
    partial = request.headers.get("HX-Request") == "true"
    back = _page_open(request) or request.path
    if request.method in _READS and (not partial or urlsplit(back).path == request.path):
        back = request.get_full_path()
    address = f"{reverse('sign-in')}?{urlencode({'next': back})}"
    if partial:
        return HttpResponse(status=401, headers={"HX-Redirect": address})
    return HttpResponseRedirect(address)


def _page_open(request: HttpRequest) -> str:
    """The page of this shop something was sent from; empty where the browser does not say."""
    page = request.headers.get("HX-Current-URL") or request.headers.get("Referer") or ""
    if not url_has_allowed_host_and_scheme(page, allowed_hosts={request.get_host()}):
        return ""
    return urlsplit(page)._replace(scheme="", netloc="", fragment="").geturl()
