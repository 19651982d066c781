"""The sheets on record: what they hold, their revisions, what changed between them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_POST, require_safe

from castworthy.actions.sheets import retire_sheet
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.judged import heads_by_revision
from castworthy.records.lookups.sheets import SheetPage, sheet_page, sheets
from castworthy.web.contexts.sheet_limits import limit_lines
from castworthy.web.contexts.sheet_live import deck_drawing, readings_count
from castworthy.web.contexts.sheet_page import difference, known_parts, settings
from castworthy.web.frame import show_for
from castworthy.web.gate import anyone_signed_in, machinist
from castworthy.web.views import sheet_editor


@require_safe
@anyone_signed_in
def all_sheets(request: HttpRequest) -> HttpResponse:
    """Every sheet, each with its deck."""
    cards = [(line, deck_drawing(sheet_page(line.code).sheet)) for line in sheets()]
    return render(request, "castworthy/sheets/list.html", {"cards": cards})


@require_safe
@anyone_signed_in
def sheet(request: HttpRequest, code: str, number: int | None = None) -> HttpResponse:
    """One sheet at its newest revision, or at an older one."""
    page = sheet_page(code, number=number)
    show = show_for(request)
    judged = heads_by_revision(page.code)
    context = {
        "page": page,
        "deck": deck_drawing(page.sheet, show=show),
        "limits": limit_lines(page.sheet, show=show),
        "work": settings(page.sheet.work, show=show),
        "parts": known_parts(page.sheet, show=show),
        "prices": settings(page.sheet.prices, show=show),
        "readings_count": readings_count(page.sheet),
        "revisions": [
            (revision, judged.get(revision.number, ()), before)
            for revision, before in zip(page.revisions, _numbers_before(page), strict=True)
        ],
    }
    return render(request, "castworthy/sheets/sheet.html", context)


@require_safe
@anyone_signed_in
def changes(request: HttpRequest, code: str) -> HttpResponse:
    """What one revision changed of another: ``?old=1&new=3``."""
    newest = sheet_page(code)
    new = sheet_page(code, number=_number(request.GET.get("new", ""), newest.number))
    old = sheet_page(code, number=_number(request.GET.get("old", ""), max(1, new.number - 1)))
    if old.number > new.number:
        old, new = new, old
    found = difference(old.sheet, new=new.sheet, texts=(old.text, new.text), show=show_for(request))
    context = {"old": old, "new": new, "difference": found, "revisions": newest.revisions}
    return render(request, "castworthy/sheets/difference.html", context)


@require_safe
@anyone_signed_in
def file(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """A revision's text as a file."""
    page = sheet_page(code, number=number)
    name = f"{page.code}-revision-{page.number}.toml"
    return HttpResponse(
        page.text,
        content_type="application/toml; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@require_POST
@machinist
def retire(request: HttpRequest, code: str) -> HttpResponse:
    """Take a sheet off the list for new heads, or put it back."""
    retired = request.POST.get("retired") == "yes"
    retire_sheet(code=code, retired=retired, by=request.user)
    said = "is no longer offered for new heads" if retired else "is offered for new heads again"
    messages.success(request, f"{code} {said}.")
    return HttpResponseRedirect(reverse("sheet", args=[code]))


def _numbers_before(page: SheetPage) -> list[int | None]:
    """For each revision the number of the one before it."""
    numbers = [revision.number for revision in page.revisions]
    return [*numbers[1:], None]


def _number(text: str, usual: int) -> int:
    if not text:
        return usual
    if not (text.isascii() and text.isdigit() and len(text) < 7):
        raise NotOnRecord(f"There is no revision {text!r}.")
    return int(text)


urlpatterns: list[URLPattern] = [
    path("sheets/", all_sheets, name="sheets"),
    *sheet_editor.urlpatterns,
    path("sheets/<str:code>/", sheet, name="sheet"),
    path("sheets/<str:code>/difference", changes, name="sheet-difference"),
    path("sheets/<str:code>/revisions/<int:number>", sheet, name="sheet-revision"),
    path("sheets/<str:code>/revisions/<int:number>.toml", file, name="sheet-file"),
    path("sheets/<str:code>/retire", retire, name="sheet-retire"),
]
