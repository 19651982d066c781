"""The bench: readings as fast as they are read."""

from urllib.parse import quote

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.readings import SlipAsked, record_reading
from castworthy.calc.decision.phrases import reading_phrase, side_of
from castworthy.calc.quantity import FACTS
from castworthy.records.lookups.measure import MeasurePage, measure_page
from castworthy.units import Show
from castworthy.web.contexts.bench import bench_of, sentences_of
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist


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
    context = _context(request, page, show=show)
    part = request.headers.get("HX-Target") == "bench"
    template = "castworthy/measure/bench.html" if part else "castworthy/measure/measure.html"
    answer = render(request, template, context)
    answer.headers["Vary"] = "HX-Request, HX-Target, Cookie"
    return answer


@require_POST
@machinist
def record(request: HttpRequest, tag: str) -> HttpResponse:
    """Take in one reading; answers what changed on the page."""
    sent = request.POST
    show = show_for(request)
    quantity = sent.get("quantity", "")
    answer = record_reading(
        tag=tag,
        uuid=sent.get("uuid", ""),
        quantity=quantity,
        place=sent.get("place", ""),
        typed=sent.get("typed", ""),
        side=sent.get("side", ""),
        unit=sent.get("unit", "") or _unit(quantity, show=show),
        gauge=sent.get("gauge") or None,
        slip_kept=sent.get("slip_kept") == "yes",
        replaces=sent.get("replaces") or None,
        why=sent.get("why", ""),
        by=request.user,
    )
    if isinstance(answer, SlipAsked):
        return _asked(request, answer, show=show)
    page = measure_page(tag, show=show, quantity=quantity)
    context = {
        **_context(request, page, show=show),
        "said": (answer.sentence, *answer.cautions),
        "said_verdict": answer.judgement.verdict.value if answer.judgement else "inside",
        "oob": True,
    }
    response = render(request, "castworthy/measure/stored.html", context)
    response.headers["X-Reading"] = "stored"
    return response


@require_safe
@anyone_signed_in
def place_history(request: HttpRequest, tag: str) -> HttpResponse:
    """What was read before at one place, replaced readings too."""
    show = show_for(request)
    quantity, place = request.GET.get("quantity", ""), request.GET.get("place", "")
    page = measure_page(tag, show=show, quantity=quantity, place=place)
    row = next(row for row in page.rows if row.place == place)
    context = {
        "sentences": sentences_of(row, show=show),
        "verdict": row.verdict.value,
        "may_work": head_frame(request, tag, "measure")["may_work"],
        "history": [
            (taken, reading_phrase(taken.value, quantity=taken.quantity, show=show))
            for taken in reversed(row.history)
        ],
    }
    return render(request, "castworthy/measure/history.html", context)


def _context(request: HttpRequest, page: MeasurePage, *, show: Show) -> dict[str, object]:
    standing = page.standing
    return {
        **head_frame(
            request,
            page.tag,
            "measure",
            measured=(standing.read_count, standing.required_count),
        ),
        "bench": bench_of(page, show=show),
    }


def _unit(quantity: str, *, show: Show) -> str:
    suffix = next((facts.suffix for name, facts in FACTS.items() if name == quantity), "mm")
    return show.unit(suffix)


def _asked(request: HttpRequest, asked: SlipAsked, *, show: Show) -> HttpResponse:
    likely = []
    for slip in asked.slips:
        suffix = FACTS[slip.quantity].suffix
        phrase = reading_phrase(slip.likely_value, quantity=slip.quantity, show=show)
        side = side_of(slip.likely_value, quantity=slip.quantity).split(" ")[0]
        size = abs(slip.likely_value) if side else slip.likely_value
        likely.append(
            {
                "words": f"It is {phrase}",
                "typed": f"{size:.9g} {suffix}",
                "side": side,
            }
        )
    response = render(request, "castworthy/measure/asked.html", {"likely": likely})
    response.headers["X-Reading"] = "asked"
    response.headers["X-Sentence"] = quote(" ".join(asked.sentences))
    return response


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/measure", measure, name="measure"),
    path("heads/<str:tag>/measure/record", record, name="record"),
    path("heads/<str:tag>/measure/history", place_history, name="measure-history"),
]
