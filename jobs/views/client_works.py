"""Drawings, photographs and snags on the client's own page."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from jobs.client_access import READING, ClientRequest, client_view
from jobs.domain import client_works as domain
from jobs.domain.drawings import PDF
from jobs.forms.client_page import ClientApproveForm
from jobs.models import DrawingVersion, Photograph, Snag
from jobs.queries.client_works import shown_drawings
from jobs.refusal import Refusal
from jobs.views.client_page import answer, sorry
from jobs.views.photographs import serve


def the_drawing(request: ClientRequest, pk: int) -> DrawingVersion:
    """One of those on the page; a version that was replaced unapproved is not."""
    found = [one for one in shown_drawings(request.commission) if one.pk == pk]
    if not found:
        raise Http404
    return found[0]


@client_view(*READING)
def client_drawing(request: ClientRequest, pk: int) -> HttpResponseBase:
    """A PDF is handed over to be saved: it may carry what a browser should not run on our pages."""
    drawing = the_drawing(request, pk)
    return _private(serve(drawing.file, drawing.media_type, drawing.file_name, attachment=drawing.media_type == PDF))


@client_view(*READING, "POST", decide=True)
def client_approve(request: ClientRequest, pk: int) -> HttpResponse:
    drawing = the_drawing(request, pk)
    form = ClientApproveForm(
        request.POST if request.method == "POST" else None, initial={"name": request.commission.client.name}
    )
    return answer(
        request,
        form,
        act=lambda: domain.approve_drawing_by_link(
            link=request.client_session.link,
            drawing=drawing,
            name=form.cleaned_data["name"],
            workshop=request.workshop,
            now=request.now,
        ),
        title="Do you approve this drawing?",
        lead="We make what is drawn. Please look at every size, door and handle. Something is not right? Ring us.",
        submit="I approve this drawing",
        template="client/approve.html",
        drawing=drawing,
        is_picture=drawing.media_type != PDF,
        file_url=reverse("client_drawing", args=[drawing.pk]),
    )


@client_view(*READING)
def client_photograph(request: ClientRequest, pk: int) -> HttpResponseBase:
    photograph = _photograph(request, pk)
    return _private(serve(photograph.file, "image/jpeg", f"photograph-{pk}.jpg"))


@client_view(*READING)
def client_photograph_small(request: ClientRequest, pk: int) -> HttpResponseBase:
    photograph = _photograph(request, pk)
    return _private(serve(photograph.small, "image/jpeg", f"photograph-{pk}-small.jpg"))


@client_view("POST", decide=True)
def client_agree_snag(request: ClientRequest, pk: int) -> HttpResponse:
    snag = get_object_or_404(Snag.objects.select_related("commission"), pk=pk, commission=request.commission)
    try:
        decision = domain.agree_snag_by_link(
            link=request.client_session.link, snag=snag, workshop=request.workshop, now=request.now
        )
    except Refusal as refusal:
        return sorry(request, refusal.sentence)
    return redirect("client_done", pk=decision.pk)


def _photograph(request: ClientRequest, pk: int) -> Photograph:
    return get_object_or_404(Photograph, pk=pk, commission=request.commission, is_shown_to_client=True)


def _private(response: HttpResponseBase) -> HttpResponseBase:
    """The workshop's own browsers may keep a picture for an hour; a client's may not."""
    response["Cache-Control"] = "private, no-store"
    return response
