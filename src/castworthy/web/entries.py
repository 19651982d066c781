"""A form of the office: shown, refused at its field, or done and led on."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from castworthy.actions.errors import DeedRefused
from castworthy.web.answers import UNPROCESSABLE
from castworthy.web.refusals import refuse


def enter(
    request: HttpRequest,
    *,
    form: Form,
    deed: Callable[..., Any],
    told: str,
    to: str,
    page: str,
    context: dict[str, Any],
) -> HttpResponse:
    """Do ``deed`` with what the form holds and go to the address ``to``.

    ``told`` is said on the page one is led to.  A form that is wrong, or a refused deed, shows
    ``page`` again with status 422, the field marked and everything typed still there.
    """
    if form.is_valid():
        try:
            deed(**form.cleaned_data)
        except DeedRefused as refused:
            refuse(form, refused)
        else:
            messages.success(request, told)
            return HttpResponseRedirect(to)
    return render(request, page, context, status=UNPROCESSABLE)
