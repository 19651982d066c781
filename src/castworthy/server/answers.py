"""What every answer of the server goes through."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.views.defaults import page_not_found

from castworthy.records.errors import NotOnRecordError

Next = Callable[[HttpRequest], HttpResponse]


class NotOnRecordIs404:
    """Turns a lookup that found nothing into the page that says so."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer 404 with the lookup's own sentence."""
        return page_not_found(request, error) if isinstance(error, NotOnRecordError) else None
