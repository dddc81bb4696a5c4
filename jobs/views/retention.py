"""What is kept and how long; everything about a client as a file; forgetting one."""

from __future__ import annotations

import tempfile

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.domain.commissions import set_up_workshop
from jobs.domain.daybook import write_line
from jobs.domain.forgetting import ASKED, check_may_be_forgotten, forget_client
from jobs.forms.retention import ForgetForm, PackWordsForm, RetentionForm
from jobs.models import Client
from jobs.queries.export import write_export
from jobs.queries.retention import client_keeping, retention_page
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, answer_form


def retention(request: WorkshopRequest) -> HttpResponse:
    """One screen: what is kept, how long and why, the settings, and whom we have forgotten."""
    form = RetentionForm(request.POST or None, instance=request.workshop)
    return answer_form(
        request,
        form,
        act=lambda: set_up_workshop(now=request.now, actor=request.user, **form.cleaned_data),
        done="retention",
        said="The times are saved; the next night goes by them.",
        template="jobs/retention.html",
        submit="Save the times",
        **retention_page(request.workshop, request.now),
    )


def pack_words(request: WorkshopRequest) -> HttpResponse:
    """Guarantee, insurer and complaints as every handover pack says them."""
    form = PackWordsForm(request.POST or None, instance=request.workshop)
    return answer_form(
        request,
        form,
        act=lambda: set_up_workshop(now=request.now, actor=request.user, **form.cleaned_data),
        done="workshop",
        said="Every pack from now on says so.",
        title="What every handover pack says",
        lead="A commission can say it otherwise, under its facts for the pack. Blank prints “not recorded”.",
        back=reverse("workshop"),
        submit="Save the words",
    )


def export_client(request: WorkshopRequest, pk: int) -> HttpResponseBase:
    """Everything kept about a client, as a ZIP. By POST: that it was taken out is written down."""
    if request.method != "POST":
        raise Http404
    client = get_object_or_404(Client, pk=pk)
    out = tempfile.TemporaryFile()  # noqa: SIM115  the answer closes it
    write_export(client, out, workshop_name=request.workshop.name, now=request.now)
    write_line(act="export_client", now=request.now, actor=request.user, client=client.pk)
    out.seek(0)
    answer = FileResponse(out, as_attachment=True, filename=f"client-{client.pk}.zip", content_type="application/zip")
    answer["Cache-Control"] = "no-store"
    return answer


def forget(request: WorkshopRequest, pk: int) -> HttpResponse:
    """What forgetting does is said first; then one tick and one button."""
    client = get_object_or_404(Client, pk=pk)
    form = ForgetForm(request.POST if request.method == "POST" else None)
    try:
        check_may_be_forgotten(client, request.workshop, request.now)
        why_not = ""
    except Refusal as refusal:
        why_not = refusal.sentence
    return answer_form(
        request,
        form,
        act=lambda: forget_client(
            client=client, reason=ASKED, workshop=request.workshop, now=request.now, actor=request.user
        ),
        done=reverse("client", args=[pk]),
        said="The client is forgotten. Backups hold them until they run out.",
        template="jobs/forget_client.html",
        client=client,
        why_not=why_not,
        back=reverse("client", args=[pk]),
        submit="Forget this client for good",
        **client_keeping(client, request.workshop, request.now),
    )
