"""The bench: readings as fast as they are read."""

from typing import Any
from urllib.parse import quote
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.readings import Recorded, SlipAsked, record_reading
from castworthy.calc.decision.phrases import reading_phrase, side_of
from castworthy.calc.quantity import FACTS
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.measure import MeasurePage, measure_page
from castworthy.units import Show, UnitError, read_value
from castworthy.web.contexts.bench import (
    bench_of,
    changed_of,
    hint_of,
    row_of,
    sentences_of,
    typed_text,
)
from castworthy.web.contexts.figures import measure_link
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist

UNPROCESSABLE = 422
_MOST = {"mm": 100_000.0, "um": 100_000.0, "n": 1_000_000.0, "cm3": 1_000_000.0, "kpa": 100_000.0}
"""Past any slip of the point that could be asked about (common practice, no source)."""
_LONGEST = 40


@require_safe
@anyone_signed_in
def measure(request: HttpRequest, tag: str) -> HttpResponse:
    """The run sheet of a head at one quantity."""
    show = show_for(request)
    page = measure_page(
        tag,
        show=show,
        quantity=request.GET.get("quantity", ""),
        place=request.GET.get("place"),
    )
    part = request.headers.get("HX-Target") == "bench"
    template = "castworthy/measure/bench.html" if part else "castworthy/measure/measure.html"
    answer = render(request, template, _context(request, page, show=show) | _brought(request))
    answer.headers["Vary"] = "HX-Request, HX-Target, Cookie"
    return answer


@require_POST
@machinist
def record(request: HttpRequest, tag: str) -> HttpResponse:
    """Take in one reading.

    A page with scripts is answered with what changed on it; a browser without them is led to
    the next place, or shown the page again with what was typed and what is wrong.
    """
    show = show_for(request)
    partial = request.headers.get("HX-Request") == "true"
    try:
        answer = _recorded(request, tag, show=show)
    except DeedRefused as refused:
        if partial:
            raise
        return _again(request, tag, show=show, refused=refused.sentence)
    if isinstance(answer, SlipAsked):
        return _asked(request, tag, answer, show=show, partial=partial)
    if partial:
        return _stored(request, tag, answer, show=show)
    messages.info(request, answer.sentence)
    following = answer.next_place
    if following is None:
        return HttpResponseRedirect(measure_link(tag, quantity=answer.reading.quantity))
    return HttpResponseRedirect(
        measure_link(tag, quantity=following.quantity, place=following.place)
    )


@require_safe
@anyone_signed_in
def place_history(request: HttpRequest, tag: str) -> HttpResponse:
    """What was read before at one place, replaced readings too."""
    show = show_for(request)
    quantity, place = request.GET.get("quantity", ""), request.GET.get("place", "")
    page = measure_page(tag, show=show, quantity=quantity, place=place)
    row = next(row for row in page.rows if row.place == place)
    stale_by = row.stale_by
    context = {
        "label": row_of(page, row, show=show).label,
        "sentences": sentences_of(row, show=show),
        "hint": "" if row.stale else hint_of(page.sheet, row.judgement, show=show),
        "verdict": row.verdict.value,
        "stale_by": f"{stale_by.kind} {stale_by.place}".strip() if stale_by else "",
        "may_work": head_frame(request, tag, "measure")["may_work"],
        "history": [
            (taken, reading_phrase(taken.value, quantity=taken.quantity, show=show))
            for taken in reversed(row.history)
        ],
    }
    return render(request, "castworthy/measure/history.html", context)


def _recorded(request: HttpRequest, tag: str, *, show: Show) -> Recorded | SlipAsked:
    sent = request.POST
    quantity = sent.get("quantity", "")
    unit = sent.get("unit", "") or _unit(quantity, show=show)
    _refuse_impossible(sent.get("typed", ""), quantity=quantity, unit=unit)
    return record_reading(
        tag=tag,
        uuid=sent.get("uuid", ""),
        quantity=quantity,
        place=sent.get("place", ""),
        typed=sent.get("typed", ""),
        side=sent.get("side", ""),
        unit=unit,
        gauge=sent.get("gauge") or None,
        slip_kept=sent.get("slip_kept") == "yes",
        replaces=sent.get("replaces") or None,
        why=sent.get("why", ""),
        by=request.user,
    )


def _refuse_impossible(typed: str, *, quantity: str, unit: str) -> None:
    """Refuse what no head can measure; what cannot be read at all is the deed's to say."""
    suffix = next((facts.suffix for name, facts in FACTS.items() if name == quantity), "")
    most = _MOST.get(suffix)
    if most is None:
        return
    try:
        value = read_value(typed, suffix=suffix, bare_unit=unit).value
    except UnitError:
        return
    if abs(value) > most:
        raise DeedRefused(
            f"{typed.strip()} is more than a head can measure; check the figure and its unit.",
            field="typed",
        )


def _context(
    request: HttpRequest, page: MeasurePage, *, show: Show, entry: dict[str, Any] | None = None
) -> dict[str, Any]:
    return {
        **_frame(request, page),
        "bench": bench_of(page, show=show),
        "entry": {"uuid": uuid4(), **(entry or {})},
    }


def _brought(request: HttpRequest) -> dict[str, Any]:
    """A figure that came with the address: it stands in the field and nothing is stored yet."""
    typed = request.GET.get("typed", "").strip()[:_LONGEST]
    if not typed:
        return {}
    return {
        "entry": {"uuid": uuid4(), "typed": typed},
        "said": (f"{typed} comes from a sum. Enter takes it in as your reading.",),
        "said_verdict": "not measured",
    }


def _frame(request: HttpRequest, page: MeasurePage) -> dict[str, Any]:
    counts = (page.standing.read_count, page.standing.required_count)
    return head_frame(request, page.tag, "measure", measured=counts)


def _stored(request: HttpRequest, tag: str, answer: Recorded, *, show: Show) -> HttpResponse:
    """What one reading changed: its row, the deck, the counts, and what it means."""
    taken = answer.reading
    page = measure_page(tag, show=show, quantity=taken.quantity, place=taken.place)
    shown = (request.POST.get("map", "wide"),)
    bench = changed_of(page, place=taken.place, maps=shown, show=show)
    hint = hint_of(page.sheet, answer.judgement, show=show)
    context = {
        **_frame(request, page),
        "bench": bench,
        "row": bench.rows[0],
        "said": tuple(filter(None, (answer.sentence, hint, *answer.cautions))),
        "said_verdict": answer.judgement.verdict.value if answer.judgement else "inside",
        "oob": True,
    }
    response = render(request, "castworthy/measure/stored.html", context)
    response.headers["X-Reading"] = "stored"
    return response


def _asked(
    request: HttpRequest, tag: str, asked: SlipAsked, *, show: Show, partial: bool
) -> HttpResponse:
    if not partial:
        return _again(request, tag, show=show, questions=asked.sentences)
    likely = []
    for slip in asked.slips:
        side = side_of(slip.likely_value, quantity=slip.quantity).split(" ")[0]
        size = abs(slip.likely_value) if side else slip.likely_value
        suffix = FACTS[slip.quantity].suffix
        typed = typed_text(size, suffix=suffix, show=show)
        other_side = side if side != request.POST.get("side", "") else ""
        words = f"It was {typed} {other_side}".rstrip()
        likely.append({"words": words, "typed": typed, "side": side})
    response = render(request, "castworthy/measure/asked.html", {"likely": likely})
    response.headers["X-Reading"] = "asked"
    response.headers["X-Sentence"] = quote(" ".join(asked.sentences))
    return response


def _again(
    request: HttpRequest,
    tag: str,
    *,
    show: Show,
    refused: str = "",
    questions: tuple[str, ...] = (),
) -> HttpResponse:
    """The page once more with what was typed, and what is wrong or asked about it."""
    sent = request.POST
    entry = {"typed": sent.get("typed", ""), "refused": refused, "questions": questions}
    try:
        page = measure_page(
            tag, show=show, quantity=sent.get("quantity", ""), place=sent.get("place", "")
        )
    except NotOnRecord:
        page = measure_page(tag, show=show)
    context = _context(request, page, show=show, entry=entry)
    return render(request, "castworthy/measure/measure.html", context, status=UNPROCESSABLE)


def _unit(quantity: str, *, show: Show) -> str:
    suffix = next((facts.suffix for name, facts in FACTS.items() if name == quantity), "mm")
    return show.unit(suffix)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/measure", measure, name="measure"),
    path("heads/<str:tag>/measure/record", record, name="record"),
    path("heads/<str:tag>/measure/history", place_history, name="measure-history"),
]
