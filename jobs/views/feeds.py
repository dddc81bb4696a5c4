"""Calendars to subscribe to, and the one page that says whether the worker lives."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from jobs.domain.feeds import make_feed, revoke_feed, standing_feed
from jobs.forms.post import FeedForm
from jobs.invites.calendar_file import feed_etag
from jobs.invites.feeds import feed_body
from jobs.models import Feed
from jobs.queries.workshop import is_stalled
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_button


@never_cache
def feeds(request: WorkshopRequest) -> HttpResponse:
    """Every standing address, whose it is and since when; making one shows it, this once."""
    form = FeedForm(request.POST) if request.method == "POST" else FeedForm()
    context: dict[str, object] = {}
    if request.method == "POST" and form.is_valid():
        try:
            feed, token = make_feed(now=request.now, actor=request.user, **form.cleaned_data)
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            address = settings.PUBLIC_URL + reverse("feed", args=[token])
            context, form = {"made": feed, "address": address}, FeedForm()
    standing = Feed.objects.filter(revoked_at__isnull=True).select_related("person", "client", "created_by")
    context |= {"form": form, "feeds": standing}
    return render(request, "jobs/feeds.html", context, status=422 if form.errors else 200)


def take_back_feed(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Feed, pk=pk)
    return answer_button(
        request,
        act=lambda: revoke_feed(feed=found, now=request.now, actor=request.user),
        done=reverse("feeds"),
        said="That address opens nothing any more.",
    )


@require_safe
@login_not_required
def feed(request: WorkshopRequest, token: str) -> HttpResponse:
    """The calendar itself. Reads only; answers 304 to whoever has this version (RFC 9110 13.1.2)."""
    found = standing_feed(token)
    if found is None or request.workshop is None:
        raise Http404
    body = feed_body(found, request.workshop, request.now)
    answer = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    etag = feed_etag(body)
    answer["ETag"] = etag
    answer["Cache-Control"] = "private, no-cache"
    answer["X-Robots-Tag"] = "noindex"
    return get_conditional_response(request, etag=etag, response=answer) or answer


@never_cache
@require_safe
@login_not_required
def healthz(request: WorkshopRequest) -> HttpResponse:
    """200 where the worker has swept within three minutes, else 503. Says nothing of anybody's work."""
    if is_stalled(request.workshop, request.now):
        return HttpResponse("the worker has not swept for three minutes\n", status=503, content_type="text/plain")
    return HttpResponse("ok\n", content_type="text/plain")
