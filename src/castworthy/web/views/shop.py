"""What pages and papers say of the shop, an owner's to change."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods

from castworthy.actions.people import change_shop
from castworthy.records.lookups.people import shop as the_shop
from castworthy.web.entries import enter
from castworthy.web.forms.shop import ShopForm
from castworthy.web.gate import owner

_PAGE = "castworthy/office/shop.html"


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def shop(request: HttpRequest) -> HttpResponse:
    """Name, address, telephone, currency and warranty."""
    if request.method != "POST":
        return render(request, _PAGE, {"form": ShopForm(initial=_now())})

    def deed(*, shop_name: str, **typed: str) -> None:
        change_shop(name=shop_name, by=request.user, **typed)

    form = ShopForm(request.POST)
    return enter(
        request,
        form=form,
        deed=deed,
        told="Pages and papers say so from now on.",
        to=reverse("shop"),
        page=_PAGE,
        context={"form": form},
    )


def _now() -> dict[str, Any]:
    facts = the_shop()
    return {
        "shop_name": facts.name,
        "address": facts.address,
        "phone": facts.phone,
        "currency": facts.currency,
        "warranty": facts.warranty,
    }


urlpatterns: list[URLPattern] = [path("shop", shop, name="shop")]
