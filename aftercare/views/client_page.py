"""The client's own page after handover: another day for the return visit, the pack, permissions for photographs."""

from __future__ import annotations

import datetime as dt

from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from aftercare.domain import client_choices as domain
from aftercare.forms.client_page import PermissionsForm
from aftercare.models import Handover, IssuedPack, Permission
from aftercare.pack.page import pack_context
from aftercare.queries.alternatives import return_alternatives
from aftercare.queries.client_page import open_return, return_option, return_section
from aftercare.queries.sections import standing_handover
from jobs.client_access import READING, ClientRequest, client_view
from jobs.domain.visits import SlotTaken
from jobs.refusal import Refusal
from jobs.views.client_page import answer, sorry


def the_handover(request: ClientRequest) -> Handover:
    handover = standing_handover(request.commission)
    if handover is None:
        raise Http404
    handover.commission = request.commission
    return handover


@client_view(*READING, "POST", decide=True)
def client_return(request: ClientRequest) -> HttpResponse:
    """The visit as it stands and two other days; the times are computed afresh each time, before any transaction."""
    handover = the_handover(request)
    if not open_return(handover, request.now):
        return sorry(request, "The return visit can no longer be moved here. Please ring us.")
    offered = return_alternatives(handover, request.workshop, request.now)
    sentence, status = "", 200
    if request.method == "POST":
        try:
            decision = domain.pick_return_time(
                handover=handover,
                starts_at=_instant(request.POST.get("starts_at", "")),
                offered=offered,
                link=request.client_session.link,
                workshop=request.workshop,
                now=request.now,
            )
        except SlotTaken as taken:
            sentence, status = taken.sentence, 409
            offered = return_alternatives(handover, request.workshop, request.now)
        except Refusal as refusal:
            return sorry(request, refusal.sentence)
        else:
            return redirect("client_done", pk=decision.pk)
    page = return_section(request.commission, request.now) | {"sentence": sentence}
    page["options"] = [return_option(one, request.workshop) for one in offered]
    return render(request, "client/return_visit.html", page, status=status)


def _instant(text: str) -> dt.datetime:
    """What the form carried; what it cannot have carried is an instant that nobody offers."""
    try:
        found = dt.datetime.fromisoformat(text)
    except ValueError:
        return dt.datetime.min.replace(tzinfo=dt.UTC)
    return found if found.tzinfo is not None else found.replace(tzinfo=dt.UTC)


@client_view(*READING)
def client_pack(request: ClientRequest) -> HttpResponse:
    page = pack_context(the_handover(request), request.now)
    return render(request, "client/pack.html", page)


@client_view(*READING)
def client_pack_pdf(request: ClientRequest, pk: int) -> HttpResponseBase:
    """The pack as it was issued, byte for byte."""
    packs = IssuedPack.objects.filter(handover__undone_at__isnull=True, handover__commission=request.commission)
    pack = get_object_or_404(packs, pk=pk)
    if not pack.file.name or not pack.file.storage.exists(pack.file.name):
        raise Http404
    name = f"handover-pack-revision-{pack.revision}.pdf"
    return FileResponse(pack.file.open("rb"), filename=name, content_type="application/pdf")


@client_view(*READING, "POST", decide=True)
def client_permissions(request: ClientRequest) -> HttpResponse:
    history = list(Permission.objects.filter(commission=request.commission))
    standing = [one for one in history if one.withdrawn_at is None]
    form = PermissionsForm(
        request.POST if request.method == "POST" else None,
        standing=[one.use for one in standing],
        initial={"given_by": request.commission.client.name},
    )
    return answer(
        request,
        form,
        act=lambda: domain.give_permissions_by_link(
            link=request.client_session.link,
            uses=form.cleaned_data["uses"],
            given_by=form.cleaned_data["given_by"],
            workshop=request.workshop,
            now=request.now,
        ),
        title="May we use photographs?",
        lead="You need not allow anything: the work and the price stay the same. You can take it back at any time, "
        "here, with one button.",
        submit="Allow what I ticked",
        template="client/permissions.html",
        standing=standing,
        over=[one for one in history if one.withdrawn_at is not None],
    )


@client_view("POST", decide=True)
def client_permission_withdraw(request: ClientRequest, pk: int) -> HttpResponse:
    permission = get_object_or_404(
        Permission.objects.select_related("commission"), pk=pk, commission=request.commission
    )
    try:
        decision = domain.withdraw_permission_by_link(
            link=request.client_session.link, permission=permission, workshop=request.workshop, now=request.now
        )
    except Refusal as refusal:
        return sorry(request, refusal.sentence)
    return redirect("client_done", pk=decision.pk)
