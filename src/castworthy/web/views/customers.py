"""Customers and their heads."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods

from castworthy.actions.trade import add_customer, change_customer
from castworthy.records.lookups import customers as lookups
from castworthy.web.entries import enter
from castworthy.web.forms.office import NamedForm
from castworthy.web.gate import anyone_signed_in

_LIST = "castworthy/office/customers.html"
_ONE = "castworthy/office/customer.html"


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def customers(request: HttpRequest) -> HttpResponse:
    """Every customer with the counts of heads, and a form for one more."""
    form = NamedForm(request.POST or None)
    context = {"customers": lookups.customers(), "form": form}
    if request.method != "POST":
        return render(request, _LIST, context)
    return enter(
        request,
        form=form,
        deed=partial(add_customer, by=request.user),
        told="The customer is on record.",
        to=reverse("customers"),
        page=_LIST,
        context=context,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def customer(request: HttpRequest, number: int) -> HttpResponse:
    """One customer with the heads, to read or to change."""
    row = lookups.customer_page(number)
    typed = {"name": row.name, "contact": row.contact, "note": row.note}
    form = NamedForm(request.POST or None, initial=typed)
    context = {"customer": row, "form": form}
    if request.method != "POST":
        return render(request, _ONE, context)
    return enter(
        request,
        form=form,
        deed=partial(change_customer, customer_id=row.id, by=request.user),
        told="The customer is changed.",
        to=reverse("customer", args=[row.id]),
        page=_ONE,
        context=context,
    )


urlpatterns: list[URLPattern] = [
    path("customers/", customers, name="customers"),
    path("customers/<int:number>/", customer, name="customer"),
]
