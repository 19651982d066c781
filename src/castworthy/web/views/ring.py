"""The sealing rings of a head: grooves, joints and wire, stands read and judged, the drawing."""

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.rings import (
    FIELDS,
    PLACE_WORDS,
    RingAsked,
    RingRecorded,
    RingTyped,
    record_ring,
)
from castworthy.calc.sealing.joint import Joint
from castworthy.records.lookups.ring import RingPage, ring_page
from castworthy.web.answers import UNPROCESSABLE
from castworthy.web.contexts.ring import Field, next_place, ring_shown
from castworthy.web.contexts.sums.at_step import sums_at_step
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in

_TONES = {"inside": messages.SUCCESS, "": messages.SUCCESS}


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def ring(request: HttpRequest, tag: str) -> HttpResponse:
    """The rings of a head, and the six stands of one of them."""
    page = ring_page(tag)
    if request.method == "POST":
        return _record(request, page)
    place = request.GET.get("place", "")
    if place and place not in {each.cylinder for each in page.cylinders}:
        raise Http404(f"Sheet {page.sheet.code} has no cylinder {place!r}.")
    return _shown(request, page, place=place)


@require_safe
@anyone_signed_in
def groove_drawing(request: HttpRequest, tag: str) -> HttpResponse:
    """Deck, grooves and joints as DXF, full size."""
    from castworthy.reports.drawing import DeckDrawing, deck_dxf

    page, show = ring_page(tag), show_for(request)
    if page.design is None:
        raise Http404("The sheet of this head has no sealing ring to draw.")
    groove = page.design.groove
    wire, depth, width, across = (
        show.value(size, suffix="mm")
        for size in (groove.wire_mm, groove.depth_mm, groove.width_mm, groove.diameter_mm)
    )
    placed = [each.placed for each in page.cylinders if each.placed is not None]
    drawn = deck_dxf(
        DeckDrawing(
            sheet=page.sheet,
            rings=tuple(each.ring for each in placed),
            joints=tuple(each.joint for each in placed if isinstance(each.joint, Joint)),
            notes=(
                f"Head {tag}",
                f"Wire {wire}; groove {depth} deep, {width} wide, centreline {across} across.",
            ),
            metric=show.metric,
        )
    )
    return HttpResponse(
        drawn,
        content_type="image/vnd.dxf",
        headers={
            "Content-Disposition": f'attachment; filename="{tag}-groove.dxf"',
            "Cache-Control": "private, no-store",
        },
    )


def _record(request: HttpRequest, page: RingPage) -> HttpResponse:
    sent, show = request.POST, show_for(request)
    place = sent.get("place", "")
    try:
        answer = record_ring(
            tag=page.tag,
            uuid=sent.get("uuid", ""),
            cylinder=place,
            typed=RingTyped(**{name: sent.get(name, "") for name in FIELDS}),
            unit=show.unit("mm", difference=True),
            gauge=sent.get("gauge", ""),
            kept=sent.get("kept") == "yes",
            by=request.user,
        )
    except DeedRefused as refused:
        return _shown(request, page, place=place, refused=refused, status=UNPROCESSABLE)
    if isinstance(answer, RingAsked):
        return _shown(request, page, place=place, asked=answer, status=UNPROCESSABLE)
    return _told(request, page.tag, answer)


def _told(request: HttpRequest, tag: str, answer: RingRecorded) -> HttpResponse:
    level = _TONES.get(answer.verdict, messages.WARNING)
    for sentence in answer.sentences:
        messages.add_message(request, level, sentence)
    return redirect(f"{reverse('ring', args=[tag])}#read")


def _shown(
    request: HttpRequest,
    page: RingPage,
    *,
    place: str,
    refused: DeedRefused | None = None,
    asked: RingAsked | None = None,
    status: int = 200,
) -> HttpResponse:
    known = {each.cylinder for each in page.cylinders}
    sent, wrong = request.POST, "" if refused is None else refused.field
    context: dict[str, Any] = {
        **head_frame(request, page.tag, "measure"),
        "ring": ring_shown(
            page, place=place if place in known else next_place(page), show=show_for(request)
        ),
        "page": page,
        "step_sums": sums_at_step(page.tag, step="ring"),
        "fields": [
            Field(
                name=name,
                label=f"{label[:1].upper()}{label[1:]}",
                value=sent.get(name, ""),
                wrong=name == wrong,
            )
            for name, label in zip(FIELDS, PLACE_WORDS, strict=True)
        ],
        "refused": "" if refused is None else refused.sentence,
        "asked": () if asked is None else asked.sentences,
        "gauge": sent.get("gauge", page.gauge),
        "uuid": sent.get("uuid") or str(uuid4()),
    }
    return render(request, "castworthy/ring/page.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/ring", ring, name="ring"),
    path("heads/<str:tag>/ring/groove.dxf", groove_drawing, name="groove-drawing"),
]
