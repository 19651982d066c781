"""The bench sums: an index, each with a live answer, and keeping one with a head."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.kept_sums import keep_sum, take_back_sum
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.kept_sums import kept_sum, kept_sums, tags_in_shop
from castworthy.records.lookups.sums import SumsHead, sheet_for_sums
from castworthy.units import Show
from castworthy.web.answers import UNPROCESSABLE, partial
from castworthy.web.contexts.sums.all_sums import sum_named
from castworthy.web.contexts.sums.form import Sum
from castworthy.web.contexts.sums.keeping import (
    again_address,
    as_sent,
    keeping_of,
    worked_sum,
)
from castworthy.web.contexts.sums.page import SumPage, cards, sum_page
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in, machinist

_NOT_FOUND = 404
_LENGTHS = {"thou": "inches", "in": "inches", "mm": "millimetres"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What a sum's page is asked for: the head beside it, the units it is read in."""

    head: SumsHead | None
    named: str
    unknown: str
    show: Show
    other_units: str


@require_safe
@anyone_signed_in
def sums(request: HttpRequest) -> HttpResponse:
    """Every sum, by its group."""
    asked = _asked(request, request.GET)
    context = {"groups": cards(head=asked.head), "head": asked.head} | _choice(asked)
    return render(request, "castworthy/sums/index.html", context, status=_status(asked))


@require_safe
@anyone_signed_in
def one_sum(request: HttpRequest, name: str) -> HttpResponse:
    """One sum: whole to a browser, its answer and its wrong fields to a page already open."""
    live = partial(request)
    asked = _asked(request, request.GET)
    page = _page(_sum(name), sent=request.GET.dict(), asked=asked, live=live)
    status = UNPROCESSABLE if page.wrong else _status(asked)
    return _shown(request, page, asked=asked, live=live, status=status)


@require_POST
@machinist
def keep(request: HttpRequest, name: str) -> HttpResponse:
    """Work a sum out again from what was typed and keep it with the head beside it."""
    sent = request.POST.dict()
    asked = _asked(request, sent)
    page = _page(_sum(name), sent=sent, asked=asked, live=False)
    if asked.head is None or page.answer is None:
        why = page.waits or asked.unknown or "No head is beside it; name one first."
        return _refused(request, page, asked=asked, sentence=f"Nothing is kept. {why}")
    try:
        keep_sum(
            tag=asked.head.tag,
            uuid=sent.get("uuid", ""),
            worked=worked_sum(page, place=page.sum.place_of(asked.head), show=asked.show),
            note=sent.get("note", ""),
            by=request.user,
        )
    except DeedRefused as refused:
        return _refused(request, page, asked=asked, sentence=refused.sentence)
    beside = {"head": asked.head.tag, "place": asked.head.place, "units": asked.other_units}
    query = {key: text for key, text in beside.items() if text} | as_sent(sent, page=page)
    return redirect(f"{reverse('sum', args=[name])}?{urlencode(query)}#kept")


@require_safe
@anyone_signed_in
def kept(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """A kept sum worked again: its form with what was typed then."""
    found = kept_sum(uuid)
    address = again_address(found)
    if not address:
        raise Http404(f"The sum {found.worked.title} is no longer worked here.")
    return redirect(f"{address}#kept")


@require_POST
@machinist
def take_back(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Take a kept sum back, with the reason."""
    try:
        take_back_sum(uuid=uuid, why=request.POST.get("why", ""), by=request.user)
    except DeedRefused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, "The sum is taken back; it stays in the history.")
    return redirect(again_address(kept_sum(uuid)) or "sums")


def _sum(name: str) -> Sum:
    shown = sum_named(name)
    if shown is None:
        raise Http404(f"There is no sum {name!r}.")
    return shown


def _asked(request: HttpRequest, sent: Mapping[str, str]) -> _Asked:
    """The head a sum is filled from, where one is named; small letters are forgiven."""
    tag, place = sent.get("head", "").strip(), sent.get("place", "").strip()
    head, unknown = None, ""
    for name in dict.fromkeys((tag, tag.upper()) if tag else ()):
        try:
            head, unknown = sheet_for_sums(name, place=place), ""
            break
        except NotOnRecord as missing:
            unknown = unknown or missing.sentence
    own, units = show_for(request), sent.get("units", "")
    other = units if units in _LENGTHS and units != own.length else ""
    return _Asked(
        head=head,
        named=tag,
        unknown=unknown,
        show=Show(length=other) if other else own,
        other_units=other,
    )


def _page(shown: Sum, *, sent: Mapping[str, str], asked: _Asked, live: bool) -> SumPage:
    return sum_page(shown, sent=sent, head=asked.head, show=asked.show, live=live)


def _refused(request: HttpRequest, page: SumPage, *, asked: _Asked, sentence: str) -> HttpResponse:
    """The page again with everything typed, and why nothing was kept."""
    return _shown(request, page, asked=asked, live=False, refused=sentence, status=UNPROCESSABLE)


def _shown(
    request: HttpRequest,
    page: SumPage,
    *,
    asked: _Asked,
    live: bool,
    status: int,
    refused: str = "",
) -> HttpResponse:
    template = "castworthy/sums/answer.html" if live else "castworthy/sums/sum.html"
    context: dict[str, Any] = {"page": page, "live": live, "refused": refused} | _choice(asked)
    if asked.head is not None:
        context["keep"] = keeping_of(
            page,
            head=head_facts(asked.head.tag),
            place=page.sum.place_of(asked.head),
            kept=kept_sums(asked.head.tag),
            show=asked.show,
            own=show_for(request),
            note=request.POST.get("note", ""),
        )
    return render(request, template, context, status=status)


def _choice(asked: _Asked) -> dict[str, Any]:
    """What the choice of a head shows, and the units where they are not the person's own."""
    return {
        "named": asked.named,
        "unknown": asked.unknown,
        "tags": () if asked.head else tags_in_shop(),
        "units": asked.other_units,
        "units_words": _LENGTHS.get(asked.other_units, ""),
    }


def _status(asked: _Asked) -> int:
    return _NOT_FOUND if asked.unknown else 200


urlpatterns: list[URLPattern] = [
    path("sums", sums, name="sums"),
    path("sums/kept/<uuid:uuid>", kept, name="kept-sum"),
    path("sums/kept/<uuid:uuid>/take-back", take_back, name="take-back-sum"),
    path("sums/<slug:name>", one_sum, name="sum"),
    path("sums/<slug:name>/keep", keep, name="keep-sum"),
]
