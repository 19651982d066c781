"""Spec sheets: the list, one with its deck and limits in words, and writing one as text."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from castworthy.actions.errors import DeedRefused
from castworthy.actions.sheets import retire_sheet, write_sheet
from castworthy.records.lookups import sheets as lookups
from castworthy.sheets.skeleton import skeleton
from castworthy.web.answers import UNPROCESSABLE
from castworthy.web.contexts.sheet_limits import limit_lines
from castworthy.web.contexts.sheet_live import FindingLine, deck_drawing, live
from castworthy.web.forms.sheet_text import SheetTextForm
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in, machinist
from castworthy.web.refusals import refuse

_WRITE = "castworthy/office/sheet_write.html"
_MOST_DIGITS_COUNT = 9


@require_safe
@anyone_signed_in
def sheets(request: HttpRequest) -> HttpResponse:
    """Every sheet with its newest revision."""
    return render(request, "castworthy/office/sheets.html", {"sheets": lookups.sheets()})


@require_safe
@anyone_signed_in
def sheet(request: HttpRequest, code: str) -> HttpResponse:
    """One sheet, at its newest revision or at ``?revision=``."""
    page = lookups.sheet_page(code, number=_number(request.GET.get("revision", "")))
    show = show_for(request)
    context = {
        "page": page,
        "drawing": deck_drawing(page.sheet, show=show),
        "limits": limit_lines(page.sheet, show=show),
    }
    return render(request, "castworthy/office/sheet.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@machinist
def new(request: HttpRequest) -> HttpResponse:
    """Write a sheet, beginning with a small one to write over or with a copy."""
    if request.method == "POST":
        return _keep(request, context={}, must_be_new=True)
    copied = request.GET.get("copy", "")
    text = lookups.sheet_page(copied).text if copied else skeleton(unit="in")
    return render(request, _WRITE, {"form": SheetTextForm(initial={"text": text})})


@require_http_methods(["GET", "HEAD", "POST"])
@machinist
def edit(request: HttpRequest, code: str) -> HttpResponse:
    """Write the next revision of a sheet."""
    page = lookups.sheet_page(code)
    if request.method == "POST":
        return _keep(request, context={"page": page}, revises=page.code)
    form = SheetTextForm(initial={"text": page.text, "base_number": page.number})
    return render(request, _WRITE, {"form": form, "page": page})


@require_POST
@machinist
def retire(request: HttpRequest, code: str) -> HttpResponse:
    """Take a sheet off the list for new heads, or put it back."""
    retire_sheet(code=code, retired=request.POST.get("retired") == "yes", by=request.user)
    return HttpResponseRedirect(reverse("sheet", args=[code]))


def _keep(request: HttpRequest, *, context: dict[str, Any], **more: Any) -> HttpResponse:
    form = SheetTextForm(request.POST)
    findings: tuple[FindingLine, ...] = ()
    if form.is_valid():
        try:
            kept = write_sheet(**form.cleaned_data, by=request.user, **more)
        except DeedRefused as refused:
            refuse(form, refused)
            if refused.code == "sheet":
                findings = _findings(request, request.POST["text"])
        else:
            messages.success(request, _told(kept.code, kept.number, changed=kept.changed))
            return HttpResponseRedirect(reverse("sheet", args=[kept.code]))
    shown = {"form": form, "findings": findings} | context
    return render(request, _WRITE, shown, status=UNPROCESSABLE)


def _findings(request: HttpRequest, text: str) -> tuple[FindingLine, ...]:
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return live(plain, draft=None, show=show_for(request)).findings


def _told(code: str, number: int, *, changed: bool) -> str:
    if changed:
        return f"Revision {number} of {code} is kept."
    return f"Nothing was changed; {code} stays at revision {number}."


def _number(text: str) -> int | None:
    sound = text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS_COUNT
    return int(text) if sound else None


urlpatterns: list[URLPattern] = [
    path("sheets/", sheets, name="sheets"),
    path("sheets/new", new, name="sheet-new"),
    path("sheets/<str:code>/", sheet, name="sheet"),
    path("sheets/<str:code>/edit", edit, name="sheet-edit"),
    path("sheets/<str:code>/retire", retire, name="sheet-retire"),
]
