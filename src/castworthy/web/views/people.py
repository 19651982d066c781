"""Accounts: an owner's to open, change and close; everybody's own units and password."""

from functools import partial
from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import PermissionDenied
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from castworthy.actions.people import add_person, change_person, change_units, set_password
from castworthy.records.lookups import people as lookups
from castworthy.web.entries import enter
from castworthy.web.forms.people import (
    AccountForm,
    NewPasswordForm,
    OwnPasswordForm,
    PersonForm,
    UnitsForm,
)
from castworthy.web.gate import OWNER_ONLY, is_owner, own_account, owner

_LIST = "castworthy/office/people.html"
_ONE = "castworthy/office/person.html"


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def people(request: HttpRequest) -> HttpResponse:
    """Everybody with an account, and a form for one more."""
    form = PersonForm(request.POST or None)
    context = {"people": lookups.people(), "form": form}
    if request.method != "POST":
        return render(request, _LIST, context)
    return enter(
        request,
        form=form,
        deed=partial(add_person, by=request.user),
        told="The account is open; hand over the sign-in name and the password.",
        to=reverse("people"),
        page=_LIST,
        context=context,
    )


@require_safe
@own_account
def person(request: HttpRequest, username: str) -> HttpResponse:
    """An account: one's own, or anybody's to an owner."""
    row = _theirs(request, username)
    return render(request, _ONE, _context(request, row))


@require_POST
@owner
def account(request: HttpRequest, username: str) -> HttpResponse:
    """Name, role, and whether the person may sign in."""
    row = lookups.person_named(username)
    form = AccountForm(request.POST, prefix="account")
    return enter(
        request,
        form=form,
        deed=partial(change_person, person_id=row.id, by=request.user),
        told="The account is changed.",
        to=reverse("person", args=[row.username]),
        page=_ONE,
        context=_context(request, row, account_form=form),
    )


@require_POST
@own_account
def password(request: HttpRequest, username: str) -> HttpResponse:
    """A new password; one's own session goes on, every other of that person ends."""
    row = _theirs(request, username)
    own = row.id == request.user.pk
    form = _password_form(own=own, sent=request.POST)

    def deed(**typed: str) -> None:
        changed = set_password(person_id=row.id, by=request.user, **typed)
        if own:
            update_session_auth_hash(request, changed)

    return enter(
        request,
        form=form,
        deed=deed,
        told="The new password holds from now on.",
        to=reverse("person", args=[row.username]),
        page=_ONE,
        context=_context(request, row, password_form=form),
    )


@require_POST
@own_account
def units(request: HttpRequest) -> HttpResponse:
    """The units one reads lengths in."""
    row = lookups.person(request.user.pk)
    form = UnitsForm(request.POST, prefix="units")
    return enter(
        request,
        form=form,
        deed=partial(change_units, by=request.user),
        told="Lengths are shown in these units from now on.",
        to=reverse("person", args=[row.username]),
        page=_ONE,
        context=_context(request, row, units_form=form),
    )


def _theirs(request: HttpRequest, username: str) -> lookups.PersonFacts:
    if not is_owner(request.user) and username != request.user.get_username():
        raise PermissionDenied(OWNER_ONLY)
    return lookups.person_named(username)


def _password_form(*, own: bool, sent: Any = None) -> Form:
    return (OwnPasswordForm if own else NewPasswordForm)(sent, prefix="password")


def _context(request: HttpRequest, row: lookups.PersonFacts, **forms: Form) -> dict[str, Any]:
    own = row.id == request.user.pk
    typed = {"full_name": row.full_name, "role": row.role, "active": row.active}
    return {
        "holder": row,
        "own": own,
        "account_form": AccountForm(prefix="account", initial=typed),
        "password_form": _password_form(own=own),
        "units_form": UnitsForm(prefix="units", initial={"show_length": row.show_length}),
    } | forms


urlpatterns: list[URLPattern] = [
    path("people/", people, name="people"),
    path("people/<str:username>/", person, name="person"),
    path("people/<str:username>/account", account, name="person-account"),
    path("people/<str:username>/password", password, name="person-password"),
    path("units", units, name="own-units"),
]
