from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.defaults import permission_denied

from jobs.queries.workshop import the_workshop
from jobs.roles import May, ability_of, may


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


class PrivateMiddleware:
    """Headers that keep pages out of stores and search engines, and the browser's instruments out of pages.

    Every answer of ours is somebody's: a view that may be stored (a photograph, a feed) says so itself.
    """

    # Empty lists: to nobody, not even ourselves. Passkeys and a screen kept awake stay with our own pages.
    FEATURES = (
        "accelerometer=(), autoplay=(), camera=(), display-capture=(), encrypted-media=(), fullscreen=(self), "
        "geolocation=(), gyroscope=(), magnetometer=(), microphone=(), midi=(), payment=(), "
        "picture-in-picture=(), publickey-credentials-create=(self), publickey-credentials-get=(self), "
        "screen-wake-lock=(self), usb=(), xr-spatial-tracking=()"
    )

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Cache-Control", "private, no-store")
        response.headers.setdefault("X-Robots-Tag", "noindex, nofollow")
        response.headers.setdefault("Permissions-Policy", self.FEATURES)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response


class RolesMiddleware:
    """Opens an address only to whom the table in `jobs.roles` gives it; what is not listed opens to nobody."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        match = request.resolver_match
        name = (match.view_name if match else "") or ""
        if may(request.user, name):
            return self._first_hour(request, name)
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        # Answered, not raised: being refused is no fault that needs a traceback in the log.
        return permission_denied(request, PermissionDenied())

    def _first_hour(self, request: HttpRequest, name: str) -> HttpResponse | None:
        """Without a workshop every page leads to its set-up; who may not set it up is told who may."""
        is_open = ability_of(name) in (May.ANYONE, May.ACCOUNT, May.NOBODY)
        if request.workshop is not None or is_open or name == "first_hour":  # type: ignore[attr-defined]
            return None
        if may(request.user, "first_hour"):
            return redirect("first_hour")
        return render(request, "jobs/no_workshop.html")
