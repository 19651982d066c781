"""The first page of all: the shop and its owner's account."""

from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods

from castworthy.actions.errors import DeedRefused
from castworthy.actions.people import create_shop
from castworthy.records.lookups.people import shop_exists
from castworthy.web.forms.shop import FirstRunForm
from castworthy.web.refusals import refuse


@require_http_methods(["GET", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    """Make the shop once; afterwards lead to the rack."""
    if shop_exists():
        return HttpResponseRedirect(reverse("rack"))
    form = FirstRunForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            person = create_shop(**form.cleaned_data)
        except DeedRefused as refused:
            refuse(form, refused)
        else:
            login(request, person)
            return HttpResponseRedirect(reverse("rack"))
    status = 422 if request.method == "POST" else 200
    return render(request, "castworthy/shop/start.html", {"form": form}, status=status)


urlpatterns: list[URLPattern] = [path("start", start, name="start")]
