"""The wall screen on a request: a long cookie, known by its hash, that stands for a Device instead of a person."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jobs.domain.sign_in import device_of

# The longest that browsers keep a cookie (RFC 6265bis caps it at 400 days); nothing renews it, so a screen is paired
# afresh about once a year.
COOKIE_LASTS = dt.timedelta(days=400)


def set_cookie(response: HttpResponse, token: str) -> None:
    response.set_cookie(
        settings.WALL_COOKIE_NAME,
        token,
        max_age=COOKIE_LASTS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
        path="/",
    )


class WallMiddleware:
    """Where nobody is signed in and the cookie is that of a standing wall screen, the screen is the user.

    It has the role "wall"; `jobs.roles` says how little that opens.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        token = request.COOKIES.get(settings.WALL_COOKIE_NAME, "")
        if token and not request.user.is_authenticated:
            device = device_of(token, now=timezone.now())
            if device is not None:
                request.user = device  # type: ignore[assignment]
        return self.get_response(request)
