"""The site day on a phone: its pages, what it sends, and the two files that make it keep itself."""

from __future__ import annotations

import json
import logging
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import static
from django.urls import reverse

from jobs.domain.site_acts import SentAct, record_act, settle_act
from jobs.domain.site_photographs import LARGEST_PART_BYTES, Part, join_whole, take_part
from jobs.middleware import PrivateMiddleware
from jobs.models import ActOutcome, SiteAct
from jobs.phone.part import read_part
from jobs.phone.reading import LARGEST_BYTES, read_acts, read_form
from jobs.phone.shell import shell
from jobs.queries.phone_page import acts_page, phone_page, today_page
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, answer_button, the_commission

log = logging.getLogger(__name__)
# Labels are read through the camera on this page alone.
WITH_CAMERA = PrivateMiddleware.FEATURES.replace("camera=()", "camera=(self)")


def site_today(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/phone/today.html", today_page(request.workshop, request.now))


def site_phone(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    page = phone_page(commission, request.user, request.workshop, request.now)
    answer = render(request, "jobs/phone/site_day.html", page)
    answer["Permissions-Policy"] = WITH_CAMERA
    return answer


def site_form(request: WorkshopRequest, number: int) -> HttpResponse:
    """An act without scripts: the same act, done now."""
    commission = the_commission(number)
    done = reverse("site_phone", args=[number])
    if request.method != "POST":
        raise Http404
    try:
        photograph = _picture(request, number)
        sent = read_form(request.POST, commission, request.now, photograph=photograph)
        row = record_act(sent=sent, workshop=request.workshop, now=request.now, person=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        say = messages.error if row.outcome == ActOutcome.REFUSED else messages.success
        say(request, row.sentence)
    return redirect(done)


def _picture(request: WorkshopRequest, number: int) -> UUID | None:
    file = request.FILES.get("picture")
    if file is None:
        return None
    key = uuid4()
    join_whole(
        key=key,
        commission=the_commission(number),
        purpose=request.POST.get("purpose", "snag"),
        data=file.read(),
        workshop=request.workshop,
        now=request.now,
        person=request.user,
    )
    return key


def site_acts(request: WorkshopRequest) -> HttpResponse:
    """GET: what phones have told. POST: what a phone tells, as JSON; answered act by act."""
    if request.method != "POST":
        return render(request, "jobs/phone/acts.html", acts_page())
    if _length(request) > LARGEST_BYTES:
        return _no("", "Too much at once: 256 kB is the most. Send fewer acts at a time.")
    try:
        acts = read_acts(request.body, person_pk=request.user.pk)
    except Refusal as refusal:
        return _no(refusal.field, refusal.sentence)
    return JsonResponse({"results": [_result(request, sent) for sent in acts]})


def _length(request: WorkshopRequest) -> int:
    told = request.headers.get("Content-Length", "")
    return int(told) if told.isdigit() else 0


def _no(field: str, sentence: str, status: int = 400) -> JsonResponse:
    return JsonResponse({"key": field, "sentence": sentence}, status=status)


def _result(request: WorkshopRequest, sent: SentAct) -> dict[str, Any]:
    """One act that fails must not hold up those behind it: the phone keeps it and tells it again."""
    try:
        row = record_act(sent=sent, workshop=request.workshop, now=request.now, person=request.user)
    except Refusal as refusal:
        return {"key": str(sent.key), "outcome": ActOutcome.REFUSED, "sentence": refusal.sentence}
    except Exception:
        log.exception("An act from a phone could not be recorded: %s", sent.kind)
        return {"key": str(sent.key), "outcome": "later", "sentence": "The workshop could not take this in just now."}
    return {
        "key": str(row.key),
        "outcome": row.outcome,
        "sentence": row.sentence,
        "received_at": row.received_at.isoformat(),
    }


def settle_site_act(request: WorkshopRequest, pk: int) -> HttpResponse:
    act = get_object_or_404(SiteAct.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: settle_act(act=act, now=request.now, actor=request.user),
        done="site_acts",
        said="Seen to.",
    )


def site_photograph(request: WorkshopRequest, key: UUID, offset: int) -> HttpResponse:
    """PUT: one part of a photograph. 409 says from where to go on; 422 that it became no photograph."""
    if request.method != "PUT":
        raise Http404
    if _length(request) > LARGEST_PART_BYTES:
        return _no("data", "A part of a photograph has from 1 byte to 512 kB.")
    try:
        part: Part = read_part(request.GET, request.body, key=key, offset_bytes=offset)
        row = take_part(part=part, workshop=request.workshop, now=request.now, person=request.user)
    except Refusal as refusal:
        return _no(refusal.field, refusal.sentence)
    if row.refused:
        return _no("picture", row.refused, status=422)
    goes_on = row.joined_at is not None or row.received_bytes == offset + len(part.data)
    return JsonResponse(
        {"received": row.received_bytes, "size": row.size_bytes, "whole": row.joined_at is not None},
        status=200 if goes_on else 409,
    )


def site_probe(request: WorkshopRequest) -> HttpResponse:
    """Whether we are there, who is signed in, and a fresh token for what is sent next."""
    return JsonResponse({"person": request.user.pk, "name": request.user.name, "token": get_token(request)})


@login_not_required
def manifest(request: WorkshopRequest) -> HttpResponse:
    icon = {"type": "image/png", "purpose": "any maskable"}
    facts = {
        "id": reverse("site_today"),
        "name": "Shutline site day",
        "short_name": "Site day",
        "start_url": reverse("site_today"),
        "scope": reverse("site_today"),
        "display": "standalone",
        "lang": "en-GB",
        "background_color": "#f7f5ef",
        "theme_color": "#f7f5ef",
        "icons": [
            icon | {"src": static("img/phone-192.png"), "sizes": "192x192"},
            icon | {"src": static("img/phone-512.png"), "sizes": "512x512"},
        ],
    }
    return HttpResponse(json.dumps(facts), content_type="application/manifest+json")


@login_not_required
def service_worker(request: WorkshopRequest) -> HttpResponse:
    files, version = shell()
    context = {"files": json.dumps(files), "version": version}
    return render(request, "jobs/phone/service_worker.js", context, content_type="text/javascript")
