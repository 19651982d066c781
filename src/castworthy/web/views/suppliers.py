"""Suppliers, their lots, and the heads that came in them."""

from functools import partial
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_POST

from castworthy.actions.trade import add_lot, add_supplier, change_supplier
from castworthy.records.lookups import suppliers as lookups
from castworthy.records.lookups.as_received import (
    AsReceived,
    added_up,
    received_by_lot,
    received_by_supplier,
)
from castworthy.web.entries import enter
from castworthy.web.forms.office import LotForm, NamedForm
from castworthy.web.gate import anyone_signed_in

_LIST = "castworthy/office/suppliers.html"
_ONE = "castworthy/office/supplier.html"


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def suppliers(request: HttpRequest) -> HttpResponse:
    """Every supplier with its counts, and a form for one more."""
    form = NamedForm(request.POST or None)
    received = received_by_supplier()
    rows = [(row, received.get(row.id, AsReceived())) for row in lookups.suppliers()]
    context = {"suppliers": rows, "form": form}
    if request.method != "POST":
        return render(request, _LIST, context)
    return enter(
        request,
        form=form,
        deed=partial(add_supplier, by=request.user),
        told="The supplier is on record.",
        to=reverse("suppliers"),
        page=_LIST,
        context=context,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def supplier(request: HttpRequest, number: int) -> HttpResponse:
    """One supplier with the lots, to read or to change."""
    row = lookups.supplier_page(number)
    form = NamedForm(request.POST or None, initial=_typed(row))
    context = _context(row, form=form, lot_form=LotForm(prefix="lot"))
    if request.method != "POST":
        return render(request, _ONE, context)
    return enter(
        request,
        form=form,
        deed=partial(change_supplier, supplier_id=row.id, by=request.user),
        told="The supplier is changed.",
        to=reverse("supplier", args=[row.id]),
        page=_ONE,
        context=context,
    )


@require_POST
@anyone_signed_in
def lots(request: HttpRequest, number: int) -> HttpResponse:
    """One lot more of a supplier."""
    row = lookups.supplier_page(number)
    form = LotForm(request.POST, prefix="lot")
    return enter(
        request,
        form=form,
        deed=partial(add_lot, supplier_id=row.id, by=request.user),
        told="The lot is on record.",
        to=reverse("supplier", args=[row.id]),
        page=_ONE,
        context=_context(row, form=NamedForm(initial=_typed(row)), lot_form=form),
    )


def _context(row: lookups.SupplierPage, **forms: Form) -> dict[str, Any]:
    received = received_by_lot(row.id)
    return {
        "supplier": row,
        "received": added_up(list(received.values())),
        "lots": [(lot, received.get(lot.id, AsReceived())) for lot in row.lots],
    } | forms


def _typed(row: lookups.SupplierPage) -> dict[str, str]:
    return {"name": row.name, "contact": row.contact, "note": row.note}


urlpatterns: list[URLPattern] = [
    path("suppliers/", suppliers, name="suppliers"),
    path("suppliers/<int:number>/", supplier, name="supplier"),
    path("suppliers/<int:number>/lots", lots, name="supplier-lots"),
]
