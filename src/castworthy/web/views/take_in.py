"""Taking a head in, and its facts afterwards."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods

from castworthy.actions.errors import DeedRefused
from castworthy.actions.heads import change_head, take_in_head
from castworthy.records.lookups.heads import head_facts
from castworthy.records.lookups.take_in import take_in_choices
from castworthy.web.forms.shop import HeadFactsForm, TakeInForm
from castworthy.web.frame import head_frame
from castworthy.web.gate import anyone_signed_in, machinist
from castworthy.web.refusals import refuse

_FACTS = ("mark", "loaded", "history", "asked", "note")


@require_http_methods(["GET", "POST"])
@machinist
def new(request: HttpRequest) -> HttpResponse:
    """Take a head in."""
    choices = take_in_choices()
    form = TakeInForm(request.POST or None, choices=choices, initial={"kind": "new casting"})
    if request.method == "POST" and form.is_valid():
        given = dict(form.cleaned_data)
        lot, customer = given.pop("lot"), given.pop("customer")
        try:
            head = take_in_head(
                **given,
                lot_id=int(lot) if lot else None,
                customer_id=int(customer) if customer else None,
                by=request.user,
            )
        except DeedRefused as refused:
            refuse(form, refused, lot_id="lot", customer_id="customer")
        else:
            return HttpResponseRedirect(reverse("measure", args=[head.tag]))
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "choices": choices}
    return render(request, "castworthy/take_in/new.html", context, status=status)


@require_http_methods(["GET", "POST"])
@anyone_signed_in
def take_in(request: HttpRequest, tag: str) -> HttpResponse:
    """A head's facts."""
    head = head_facts(tag)
    form = HeadFactsForm(
        request.POST or None, initial={name: getattr(head, name) for name in _FACTS}
    )
    if request.method == "POST" and form.is_valid():
        try:
            change_head(tag=tag, **form.cleaned_data, by=request.user)
        except DeedRefused as refused:
            refuse(form, refused)
        else:
            messages.success(request, f"The facts of {tag} are kept.")
            return HttpResponseRedirect(reverse("take-in", args=[tag]))
    status = 422 if request.method == "POST" else 200
    context = {**head_frame(request, tag, "take-in"), "form": form}
    return render(request, "castworthy/take_in/facts.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/new", new, name="take-in-new"),
    path("heads/<str:tag>/take-in", take_in, name="take-in"),
]
