"""Signing in and out."""

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from castworthy.actions.errors import DeedRefused
from castworthy.actions.people import sign_in
from castworthy.web.forms.shop import SignInForm
from castworthy.web.refusals import refuse


@require_http_methods(["GET", "POST"])
def enter(request: HttpRequest) -> HttpResponse:
    """Sign in, then go where one was going."""
    back = _back(request)
    if request.user.is_authenticated:
        return HttpResponseRedirect(back)
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            person = sign_in(
                name=form.cleaned_data["name"],
                password=form.cleaned_data["password"],
                address=request.META.get("REMOTE_ADDR", ""),
            )
        except DeedRefused as refused:
            refuse(form, refused)
        else:
            login(request, person)
            return HttpResponseRedirect(back)
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "next": back}
    return render(request, "castworthy/shop/sign_in.html", context, status=status)


@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return HttpResponseRedirect(reverse("sign-in"))


def _back(request: HttpRequest) -> str:
    asked = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        asked, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return asked if safe else reverse("rack")


urlpatterns: list[URLPattern] = [
    path("sign-in", enter, name="sign-in"),
    path("sign-out", leave, name="sign-out"),
]
