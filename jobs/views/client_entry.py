"""In and out of the client's own page. Nothing here asks who the link belongs to before a button is pressed."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters, sensitive_variables
from django.views.decorators.http import require_http_methods, require_POST

from jobs.client_access import ClientRequest, client_view, delete_client_cookie, no_entry, set_client_cookie
from jobs.domain import links as domain
from jobs.rate_limits import too_many
from jobs.views.common import WorkshopRequest

# Longer than any token of ours, shorter than what would be work to hash.
TOKEN_LIMIT = 200


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_variables("token", "cookie")
def client_entry(request: WorkshopRequest, token: str) -> HttpResponse:
    """GET shows one and the same page for every token, and looks nothing up: mail scanners open links too."""
    if request.method != "POST":
        return render(request, "client/entry.html", {"token": token})
    if too_many(request, "client_link"):
        return render(request, "client/too_many.html", status=429)
    exchanged = domain.exchange_link(token=token[:TOKEN_LIMIT], now=request.now)
    if exchanged is None:
        return no_entry(request, token)
    session, cookie = exchanged
    response = redirect("client_page")
    set_client_cookie(response, cookie, session.expires_at - request.now)
    return response


@login_not_required
@require_POST
@sensitive_post_parameters("token")
def client_new_link(request: WorkshopRequest) -> HttpResponse:
    """A new link by mail to the address already held. The answer never says whether anybody was found."""
    if too_many(request, "client_new_link"):
        return render(request, "client/too_many.html", status=429)
    domain.ask_for_link(
        token=request.POST.get("token", "")[:TOKEN_LIMIT],
        cookie=request.COOKIES.get(settings.CLIENT_COOKIE_NAME, "")[:TOKEN_LIMIT],
        workshop=request.workshop,
        now=request.now,
    )
    return redirect("client_link_asked")


@login_not_required
@require_http_methods(["GET", "HEAD"])
def client_link_asked(request: WorkshopRequest) -> HttpResponse:
    return render(request, "client/link_asked.html")


@client_view("POST")
def client_leave(request: ClientRequest) -> HttpResponse:
    """This browser forgets the page."""
    domain.end_session(session=request.client_session, now=request.now)
    response = redirect("client_left")
    delete_client_cookie(response)
    return response


@login_not_required
@require_http_methods(["GET", "HEAD"])
def client_left(request: WorkshopRequest) -> HttpResponse:
    return render(request, "client/left.html")
