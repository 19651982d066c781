"""Writing a sheet: form and text in step, the deck drawn beside them."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_POST

from castworthy.actions.errors import DeedRefused
from castworthy.actions.sheets import write_sheet
from castworthy.records.lookups.sheets import sheet_page, sheets
from castworthy.sheets.draft import Draft
from castworthy.sheets.draft_text import write_draft
from castworthy.sheets.pattern import PatternError
from castworthy.sheets.skeleton import skeleton
from castworthy.web.contexts.sheet_form import sheet_form, table_card
from castworthy.web.contexts.sheet_live import live
from castworthy.web.forms.sheet import (
    FORM,
    PATTERNS,
    TEXT,
    WAYS,
    Written,
    draft_of,
    draft_sent,
    lay_out,
    written,
)
from castworthy.web.frame import show_for
from castworthy.web.gate import machinist

_LARGEST_FILE = 1_000_000
_NO_TOML = "The form opens once the text reads as TOML; mend the line named first."


@require_http_methods(["GET", "POST"])
@machinist
def new(request: HttpRequest) -> HttpResponse:
    """Start a sheet from nothing or from a copy, and save it."""
    if request.method == "POST":
        return _save(request, written(request.POST))
    match request.GET.get("from", ""):
        case "nothing":
            unit = "mm" if request.GET.get("unit") == "mm" else "in"
            return _editor(request, _begin(skeleton(unit=unit)))
        case "copy":
            return _editor(request, _copy(request.GET.get("sheet", "")))
    return _start(request)


@require_POST
@machinist
def from_file(request: HttpRequest) -> HttpResponse:
    """Start a sheet from a file; what is wrong with it is told beside its text."""
    upload = request.FILES.get("file")
    if upload is None:
        return _start(request, fault="Choose a file first.")
    if upload.size > _LARGEST_FILE:
        return _start(request, fault="This file is larger than 1 MB; a sheet is a short text.")
    try:
        text = upload.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        return _start(request, fault="This file is no text in UTF-8; choose a sheet in TOML.")
    return _editor(request, _begin(text, way=TEXT))


@require_http_methods(["GET", "POST"])
@machinist
def edit(request: HttpRequest, code: str) -> HttpResponse:
    """Write the next revision of a sheet."""
    if request.method == "POST":
        return _save(request, written(request.POST), revises=code)
    page = sheet_page(code)
    begun = _begin(page.text, code=page.code, base_number=page.number)
    return _editor(request, begun)


@require_POST
@machinist
def draft(request: HttpRequest) -> HttpResponse:
    """Draw and check what stands in the editor; ``?show=`` turns to the other way."""
    sent = written(request.POST)
    wanted = request.GET.get("show", "")
    if wanted not in WAYS:
        return render(request, "castworthy/sheets/live.html", _live(request, sent))
    if wanted == FORM and sent.draft is None:
        context = {**_panel(sent), **_live(request, sent), "fault": _NO_TOML}
        return render(request, "castworthy/sheets/turned.html", context, status=422)
    turned = Written(
        way=wanted,
        text=sent.text,
        draft=sent.draft,
        code=sent.code,
        base_number=sent.base_number,
    )
    context = {**_panel(turned), **_live(request, turned)}
    return render(request, "castworthy/sheets/turned.html", context)


@require_POST
@machinist
def pattern(request: HttpRequest, name: str) -> HttpResponse:
    """Lay a regular pattern out in one table of the form."""
    if name not in PATTERNS:
        raise Http404
    typed = {key: request.POST[key] for key in request.POST if key.startswith("pattern.")}
    sent = draft_sent(request.POST)
    table = PATTERNS[name].table
    try:
        laid = lay_out(sent, pattern=name, sent=request.POST)
    except PatternError as error:
        fault = (name, error.field, str(error))
        card = table_card(sent, table, is_open=True, typed=typed, fault=fault)
        return render(request, "castworthy/sheets/table.html", {"table": card}, status=422)
    card = table_card(laid.draft, table, is_open=True, typed=typed, said=laid.sentence)
    response = render(request, "castworthy/sheets/table.html", {"table": card})
    response.headers["HX-Trigger-After-Settle"] = "sheet-changed"
    return response


def _save(request: HttpRequest, sent: Written, *, revises: str = "") -> HttpResponse:
    try:
        kept = write_sheet(
            text=sent.text,
            note=sent.note,
            by=request.user,
            revises=revises,
            base_number=_over(request) or sent.base_number or None,
            must_be_new=not revises,
        )
    except DeedRefused as refused:
        return _editor(request, sent, revises=revises, refused=refused)
    if kept.changed:
        messages.success(request, f"Revision {kept.number} of {kept.code} is kept.")
    else:
        told = f"Nothing was changed; {kept.code} stays at revision {kept.number}."
        messages.info(request, told)
    return HttpResponseRedirect(reverse("sheet", args=[kept.code]))


def _over(request: HttpRequest) -> int:
    """The newest revision, when a person knowingly saves over it; 0 otherwise."""
    number = request.POST.get("over", "")
    return int(number) if number.isascii() and number.isdigit() else 0


def _editor(
    request: HttpRequest,
    sent: Written,
    *,
    revises: str = "",
    refused: DeedRefused | None = None,
) -> HttpResponse:
    code = revises or sent.code
    page = sheet_page(code) if code else None
    context = {
        **_panel(sent),
        **_live(request, sent),
        "code": code,
        "next_number": page.revisions[0].number + 1 if page else 1,
        "heads_count": sum(each.heads_count for each in page.revisions) if page else 0,
        "refused": refused,
        "overtaken": refused is not None and refused.code == "overtaken",
        "wrong": _wrong_field(refused),
    }
    status = 422 if refused else 200
    return render(request, "castworthy/sheets/edit.html", context, status=status)


def _wrong_field(refused: DeedRefused | None) -> str:
    """The field a refusal is about, where the findings do not mark it."""
    if refused is None or refused.code == "sheet":
        return ""
    return "note" if refused.field == "note" else "head.code" if refused.field == "text" else ""


def _panel(sent: Written) -> dict[str, Any]:
    shown = sent.draft if sent.way == FORM else None
    return {"sent": sent, "form": sheet_form(shown) if shown is not None else None}


def _live(request: HttpRequest, sent: Written) -> dict[str, Any]:
    return {"live": live(sent.text, draft=sent.draft, show=show_for(request)), "way": sent.way}


def _begin(text: str, *, way: str = FORM, code: str = "", base_number: int = 0) -> Written:
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    found = draft_of(plain)
    return Written(
        way=way if found is not None else TEXT,
        text=plain,
        draft=found,
        code=code,
        base_number=base_number,
    )


def _copy(code: str) -> Written:
    page = sheet_page(code)
    found = draft_of(page.text) or Draft()
    head = {**found.section("head"), "code": ""}
    copied = Draft(unit=found.unit, sections={**found.sections, "head": head}, rows=found.rows)
    return _begin(write_draft(copied, base=page.text))


def _start(request: HttpRequest, *, fault: str = "") -> HttpResponse:
    context = {"sheets": sheets(), "fault": fault}
    status = 422 if fault else 200
    return render(request, "castworthy/sheets/start.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("sheets/new", new, name="sheet-new"),
    path("sheets/new/file", from_file, name="sheet-file-in"),
    path("sheets/draft", draft, name="sheet-draft"),
    path("sheets/draft/lay-out/<str:name>", pattern, name="sheet-pattern"),
    path("sheets/<str:code>/edit", edit, name="sheet-edit"),
]
