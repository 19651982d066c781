"""Taking a head in, and its facts afterwards."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_safe

from castworthy.actions import heads, trade
from castworthy.actions.errors import DeedRefused
from castworthy.records.cautions import cautions_at
from castworthy.records.lookups.heads import HeadFacts, head_facts
from castworthy.records.lookups.take_in import take_in_choices
from castworthy.web.forms.door import CORE, NEW, HeadFactsForm, OriginForm, TakeInForm
from castworthy.web.frame import head_frame
from castworthy.web.gate import anyone_signed_in, machinist, may_work
from castworthy.web.refusals import refuse

UNPROCESSABLE = 422
_LAST_SHEET = "last sheet"
_FACTS = ("mark", "loaded", "history", "asked", "note")
_MAY_RETURN = ("sent back", "scrapped")
_RENAMED = {"lot_id": "lot", "customer_id": "customer", "code": "lot_code"}


@require_http_methods(["GET", "POST"])
@machinist
def new(request: HttpRequest) -> HttpResponse:
    """Take a head in."""
    form = TakeInForm(
        request.POST or None,
        choices=take_in_choices(),
        initial={"sheet": request.session.get(_LAST_SHEET, "")},
    )
    if request.method == "POST" and form.is_valid():
        sent = request.POST.copy()
        try:
            head = _take_in(form, sent=sent, by=request.user)
        except DeedRefused as refused:
            form = TakeInForm(sent, choices=take_in_choices())
            form.is_valid()
            refuse(form, refused, **_RENAMED)
        else:
            request.session[_LAST_SHEET] = form.cleaned_data["sheet"]
            messages.success(request, f"{head.tag} is taken in. Write the tag on it, then measure.")
            return HttpResponseRedirect(reverse("take-in", args=[head.tag]))
    choices = take_in_choices()
    context = {
        "form": form,
        "choices": choices,
        "next_tag": _next_tag(choices, form["sheet"].value()),
        "cautions": cautions_at("take in"),
    }
    status = UNPROCESSABLE if request.method == "POST" else 200
    return render(request, "castworthy/take_in/new.html", context, status=status)


@require_safe
@machinist
def free_tag(request: HttpRequest) -> HttpResponse:
    """The field of the tag, with the next free one of the sheet chosen."""
    choices = take_in_choices()
    form = TakeInForm(initial={"tag": request.GET.get("tag", "")}, choices=choices)
    context = {"form": form, "next_tag": _next_tag(choices, request.GET.get("sheet"))}
    return render(request, "castworthy/take_in/tag.html", context)


@require_http_methods(["GET", "POST"])
@anyone_signed_in
def take_in(request: HttpRequest, tag: str) -> HttpResponse:
    """A head's facts, and the few things that may be done about it as a whole."""
    head = head_facts(tag)
    form = HeadFactsForm(request.POST or None, choices=take_in_choices(), initial=_initial(head))
    refused_deed = ""
    if request.method == "POST":
        deed = request.POST.get("deed", "keep")
        if deed in _DEEDS:
            try:
                words = _DEEDS[deed](request, tag)
            except DeedRefused as refused:
                refused_deed = refused.sentence
            else:
                messages.success(request, words)
                return HttpResponseRedirect(reverse("take-in", args=[tag]))
            form = HeadFactsForm(choices=take_in_choices(), initial=_initial(head))
        elif form.is_valid():
            sent = request.POST.copy()
            try:
                _keep(form, sent=sent, head=head, by=request.user)
            except DeedRefused as refused:
                form = HeadFactsForm(sent, choices=take_in_choices())
                form.is_valid()
                refuse(form, refused, **_RENAMED)
            else:
                messages.success(request, f"The facts of {tag} are kept.")
                return HttpResponseRedirect(reverse("take-in", args=[tag]))
    context = {
        **head_frame(request, tag, "take-in"),
        "form": form,
        "core": head.kind == CORE,
        "may_return": may_work(request.user) and head.outcome in _MAY_RETURN,
        "refused": refused_deed,
        "cautions": cautions_at("take in"),
    }
    status = UNPROCESSABLE if request.method == "POST" else 200
    return render(request, "castworthy/take_in/facts.html", context, status=status)


def _take_in(form: TakeInForm, *, sent: QueryDict, by: Any) -> Any:
    given = form.cleaned_data
    lot_id, customer_id = _origin(form, kind=given["kind"], sent=sent, by=by)
    return heads.take_in_head(
        sheet=given["sheet"],
        kind=given["kind"],
        tag=given["tag"],
        loaded=given["loaded"],
        mark=given["mark"],
        lot_id=lot_id,
        customer_id=customer_id,
        history=form.told,
        asked=given["asked"],
        note=given["note"],
        by=by,
    )


def _keep(form: HeadFactsForm, *, sent: QueryDict, head: HeadFacts, by: Any) -> None:
    lot_id, customer_id = _origin(form, kind=head.kind, sent=sent, by=by)
    facts = {name: form.cleaned_data[name] for name in _FACTS}
    heads.change_head(tag=head.tag, lot_id=lot_id, customer_id=customer_id, **facts, by=by)


def _origin(
    form: OriginForm, *, kind: str, sent: QueryDict, by: Any
) -> tuple[int | None, int | None]:
    """Lot and customer, added first where they are new.

    What was added is chosen in ``sent``, so that a form shown again does not add it twice.
    """
    given = form.cleaned_data
    lot = "" if kind == CORE else given["lot"]
    customer = given["customer"]
    if lot == NEW:
        supplier = given["supplier"]
        if supplier in {NEW, ""}:
            added = trade.add_supplier(name=given["supplier_name"], by=by)
            supplier = sent["supplier"] = str(added.pk)
        added_lot = trade.add_lot(supplier_id=int(supplier), code=given["lot_code"], by=by)
        lot = sent["lot"] = str(added_lot.pk)
    if customer == NEW:
        added_customer = trade.add_customer(
            name=given["customer_name"], contact=given["customer_contact"], by=by
        )
        customer = sent["customer"] = str(added_customer.pk)
    return (int(lot) if lot else None, int(customer) if customer else None)


def _adopt(request: HttpRequest, tag: str) -> str:
    head = heads.adopt_revision(tag=tag, by=request.user)
    return f"{tag} is judged by revision {head.revision.number} from now on."


def _send_back(request: HttpRequest, tag: str) -> str:
    heads.send_back(tag=tag, note=request.POST.get("why", ""), by=request.user)
    return f"{tag} goes back. Its readings stay on record."


def _scrap(request: HttpRequest, tag: str) -> str:
    heads.scrap(tag=tag, note=request.POST.get("why", ""), by=request.user)
    return f"{tag} is scrap. Its readings stay on record."


def _return(request: HttpRequest, tag: str) -> str:
    heads.return_to_shop(tag=tag, note=request.POST.get("why", ""), by=request.user)
    return f"{tag} is back in the shop."


_DEEDS = {"adopt": _adopt, "send-back": _send_back, "scrap": _scrap, "return": _return}


def _initial(head: HeadFacts) -> dict[str, Any]:
    facts = {name: getattr(head, name) for name in _FACTS}
    return {**facts, "lot": head.lot_id or "", "customer": head.customer_id or ""}


def _next_tag(choices: Any, code: str | None) -> str:
    sheets = choices.sheets
    found = next((sheet for sheet in sheets if sheet.code == code), sheets[0] if sheets else None)
    return found.next_tag if found else ""


urlpatterns: list[URLPattern] = [
    path("heads/new", new, name="take-in-new"),
    path("heads/new/tag", free_tag, name="take-in-tag"),
    path("heads/<str:tag>/take-in", take_in, name="take-in"),
]
