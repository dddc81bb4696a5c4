"""How a browser gets to the client's own page: a cookie of its own, apart from the workshop's sign-in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse, HttpResponseNotAllowed
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.debug import sensitive_post_parameters

from jobs.domain.links import session_of
from jobs.models import ClientSession, Commission, LinkScope
from jobs.views.common import WorkshopRequest


class ClientRequest(WorkshopRequest):
    """A request let in by a client's cookie; for type checking only."""

    client_session: ClientSession
    commission: Commission
    may_decide: bool


View = Callable[..., HttpResponseBase]
READING = ("GET", "HEAD")


def client_view(*methods: str, decide: bool = False) -> Callable[[View], View]:
    """Open a view to whoever holds a standing client cookie, with these methods only.

    `decide`: only to a link that may decide. Reading (GET, HEAD) writes nothing, here or in the view.
    """

    def decorate(view: View) -> View:
        @login_not_required
        @sensitive_post_parameters()
        @wraps(view)
        def guarded(request: ClientRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            session = session_of(request.COOKIES.get(settings.CLIENT_COOKIE_NAME, ""), now=request.now)
            if session is None:
                return no_entry(request)
            if request.method not in methods:
                return HttpResponseNotAllowed(methods)
            request.client_session = session
            request.commission = session.link.commission
            request.may_decide = session.link.scope == LinkScope.DECIDE
            if decide and not request.may_decide:
                return render(request, "client/only_looking.html", status=403)
            try:
                return view(request, *args, **kwargs)
            except Http404:
                return render(request, "client/not_here.html", status=404)

        return guarded

    return decorate


def no_entry(request: WorkshopRequest, token: str = "") -> HttpResponse:
    """The same kind page for a link that ran out, was taken back or never was."""
    return render(request, "client/no_entry.html", {"token": token}, status=403)


def set_client_cookie(response: HttpResponse, token: str, lasts: dt.timedelta) -> None:
    response.set_cookie(
        settings.CLIENT_COOKIE_NAME,
        token,
        max_age=lasts,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
        path="/",
    )


def delete_client_cookie(response: HttpResponse) -> None:
    response.set_cookie(
        settings.CLIENT_COOKIE_NAME,
        "",
        max_age=0,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
