"""The prove page: crack check, pressure, vacuum port by port."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.photos import add_photo
from castworthy.actions.proof import record_crack_check, record_pressure, record_vacuum
from castworthy.calc.leak.proof import Medium
from castworthy.records.bench_air import last_air_typed
from castworthy.records.crack_places import CrackTyped
from castworthy.records.lookups.gauges import gauges_for
from castworthy.records.lookups.photos import photos_of
from castworthy.records.lookups.prove import prove_page
from castworthy.records.proof_words import (
    MOST_CM3,
    MOST_KPA,
    USUAL_KPA,
    energy_sentence,
    pressure_unit,
    vacuum_unit,
)
from castworthy.units import UnitError, read_value
from castworthy.web.answers import UNPROCESSABLE, HeadPage, answer, partial
from castworthy.web.contexts.crack_map import rows_typed
from castworthy.web.contexts.proof_cards import prove_page_of
from castworthy.web.forms.proof import CrackForm, PressureForm, VacuumForm, hold_fault
from castworthy.web.frame import head_frame, show_for
from castworthy.web.gate import anyone_signed_in, machinist
from castworthy.web.refusals import refuse

PAGE = HeadPage(step="prove", page="castworthy/prove/page.html", part="castworthy/prove/body.html")
_DAY = "castworthy.vacuum"
_LONGEST_CAPTION = 120


@require_safe
@anyone_signed_in
def prove(request: HttpRequest, tag: str) -> HttpResponse:
    """The tests of a head."""
    return answer(request, tag, shown=PAGE, context=_context(request, tag))


@require_POST
@machinist
def prove_crack(request: HttpRequest, tag: str) -> HttpResponse:
    """Record a crack check."""
    form = CrackForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        try:
            record_crack_check(
                tag=tag,
                method=given["method"],
                clear=given["result"] == "clear",
                places=_places(request),
                by=request.user,
            )
        except DeedRefused as refused:
            refuse(form, refused)
    return _card(request, tag, "crack", form)


@require_POST
@machinist
def prove_crack_photo(request: HttpRequest, tag: str) -> HttpResponse:
    """Keep a photo of a place that is not recorded yet, and name it in its row."""
    upload = request.FILES.get("camera")
    chosen, wrong = "", ""
    try:
        if upload is None:
            raise DeedRefused("No photo came; take it again.")
        sent = request.POST
        kept = add_photo(
            tag=tag,
            upload=upload,
            caption=sent.get("caption", "")[:_LONGEST_CAPTION],
            uuid=sent.get("uuid", ""),
            by=request.user,
        )
        chosen = str(kept.uuid)
    except DeedRefused as refused:
        wrong = refused.sentence
    context = {"photos": photos_of(tag), "chosen": chosen, "wrong": wrong}
    status = UNPROCESSABLE if wrong else 200
    return render(request, "castworthy/prove/crack_photo.html", context, status=status)


@require_POST
@machinist
def prove_pressure(request: HttpRequest, tag: str) -> HttpResponse:
    """Record a pressure test."""
    form = PressureForm(request.POST, show=show_for(request), gauges=gauges_for("kpa"))
    if form.is_valid():
        try:
            record_pressure(tag=tag, **form.cleaned_data, by=request.user)
        except DeedRefused as refused:
            refuse(form, refused)
    return _card(request, tag, "pressure", form)


@require_safe
@anyone_signed_in
def prove_energy(request: HttpRequest, tag: str) -> HttpResponse:
    """What bursting would set free, while the figures are typed; usual ones for what is wrong."""
    prove_page(tag)
    show, asked = show_for(request), request.GET
    medium = Medium.AIR if asked.get("medium") == Medium.AIR else Medium.WATER
    sentence = energy_sentence(
        medium=medium,
        pressure_kpa=_figure(
            asked.get("start", ""), suffix="kpa", bare=pressure_unit(show), most=MOST_KPA
        )
        or USUAL_KPA,
        volume_cm3=_figure(asked.get("volume", ""), suffix="cm3", bare="l", most=MOST_CM3),
        show=show,
    )
    return render(request, "castworthy/prove/energy.html", {"sentence": sentence})


def _figure(typed: str, *, suffix: str, bare: str, most: float) -> float | None:
    """A figure that a test is done with; ``None`` where it is not typed yet, or wrong."""
    try:
        value = read_value(typed, suffix=suffix, bare_unit=bare).value
    except UnitError:
        return None
    return value if 0.0 < value <= most else None


@require_POST
@machinist
def prove_vacuum(request: HttpRequest, tag: str, place: str) -> HttpResponse:
    """Record what one port held."""
    sent = request.POST
    held = sent.get("held", "")
    day = {name: sent.get(name, "") for name in ("dead_head", "hold", "gauge")}
    wrong: dict[str, tuple[str, str]] = {}
    fault = hold_fault(day["hold"])
    try:
        if fault:
            raise DeedRefused(fault, field="hold")
        record_vacuum(tag=tag, place=place, held=held, **day, by=request.user)
    except DeedRefused as refused:
        wrong[place] = (held, refused.sentence)
    else:
        request.session[_DAY] = day
    if not partial(request):
        return redirect(PAGE.step, tag) if not wrong else _whole(request, tag, wrong=wrong)
    context = head_frame(request, tag, PAGE.step) | _context(request, tag, wrong=wrong)
    port = next(port for port in context["tests"].ports if port.place == place)
    context |= {"port": port, "onward": not wrong, "oob": True}
    body = render_to_string("castworthy/prove/port.html", context, request=request)
    body += render_to_string("castworthy/prove/odd_port.html", context, request=request)
    return _with_news(request, body, context, status=UNPROCESSABLE if wrong else 200)


def _places(request: HttpRequest) -> tuple[CrackTyped, ...]:
    """The places of the crack check's form."""
    sent = request.POST
    return rows_typed(
        places=sent.getlist("place"), found=sent.getlist("found"), photos=sent.getlist("photo")
    )


def _card(request: HttpRequest, tag: str, name: str, form: forms.Form) -> HttpResponse:
    """The card of a test after it was recorded, or with what was refused."""
    wrong = bool(form.errors)
    if not partial(request):
        return _whole(request, tag, **{f"{name}_form": form}) if wrong else redirect(PAGE.step, tag)
    forms_now = {f"{name}_form": form} if wrong else {}
    context = head_frame(request, tag, PAGE.step) | _context(request, tag, **forms_now)
    context["oob"] = True
    body = render_to_string(f"castworthy/prove/{name}.html", context, request=request)
    return _with_news(request, body, context, status=UNPROCESSABLE if wrong else 200)


def _with_news(
    request: HttpRequest, body: str, context: Mapping[str, Any], *, status: int
) -> HttpResponse:
    told = dict(context)
    summary = render_to_string("castworthy/prove/summary.html", told, request=request)
    news = render_to_string("castworthy/parts/head_news.html", told, request=request)
    return HttpResponse(body + summary + news, status=status)


def _whole(
    request: HttpRequest,
    tag: str,
    *,
    wrong: Mapping[str, tuple[str, str]] | None = None,
    **forms_now: forms.Form,
) -> HttpResponse:
    context = _context(request, tag, wrong=wrong, **forms_now)
    return answer(request, tag, shown=PAGE, context=context, status=UNPROCESSABLE)


def _context(
    request: HttpRequest,
    tag: str,
    *,
    wrong: Mapping[str, tuple[str, str]] | None = None,
    crack_form: forms.Form | None = None,
    pressure_form: forms.Form | None = None,
) -> dict[str, Any]:
    show = show_for(request)
    page, gauges = prove_page(tag), gauges_for("kpa")
    work = page.sheet.work
    day = {"hold": f"{work.vacuum_hold_s:g}"} | request.session.get(_DAY, {})
    pressure = {
        "medium": "water",
        "hold": f"{work.pressure_hold_s:g}",
        "atmosphere": last_air_typed(),
    }
    return {
        "tests": prove_page_of(page, show=show, wrong=wrong),
        "crack_form": crack_form or CrackForm(),
        "crack_rows": (_places(request) if crack_form else ()) or (CrackTyped(),),
        "photos": photos_of(tag),
        "pressure_form": pressure_form or PressureForm(show=show, gauges=gauges, initial=pressure),
        "vacuum_form": VacuumForm(show=show, gauges=gauges, initial=day, auto_id="id_vacuum_%s"),
        "vacuum_unit": vacuum_unit(show),
    }


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/prove", prove, name="prove"),
    path("heads/<str:tag>/prove/crack", prove_crack, name="prove-crack"),
    path("heads/<str:tag>/prove/crack/photo", prove_crack_photo, name="prove-crack-photo"),
    path("heads/<str:tag>/prove/pressure", prove_pressure, name="prove-pressure"),
    path("heads/<str:tag>/prove/energy", prove_energy, name="prove-energy"),
    path("heads/<str:tag>/prove/vacuum/<str:place>", prove_vacuum, name="prove-vacuum"),
]
