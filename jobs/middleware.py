from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jobs.queries.workshop import the_workshop


class WorkshopMiddleware:
    """Puts the workshop on the request, reads the clock once, and shows times in the workshop's zone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.now = timezone.now()  # type: ignore[attr-defined]
        request.workshop = workshop = the_workshop()  # type: ignore[attr-defined]
        if workshop is None:
            return self.get_response(request)
        with timezone.override(workshop.tz):
            return self.get_response(request)
