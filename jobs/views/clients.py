from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import clients as domain
from jobs.forms.records import ClientForm, DayRangeForm
from jobs.models import Client, ClientAway
from jobs.queries.clients import client_list, client_page
from jobs.queries.retention import client_keeping
from jobs.views.common import WorkshopRequest, answer_button, answer_form


def clients(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/clients.html", client_list())


def client(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Client, pk=pk)
    context = client_page(found) | client_keeping(found, request.workshop, request.now)
    return render(request, "jobs/client.html", context)


def new_client(request: WorkshopRequest) -> HttpResponse:
    return _client(request, Client(), "Add a client", reverse("clients"))


def edit_client(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Client, pk=pk)
    return _client(request, found, f"Change {found}", reverse("client", args=[pk]))


def _client(request: WorkshopRequest, found: Client, title: str, back: str) -> HttpResponse:
    form = ClientForm(request.POST or None, instance=found)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_client(client=form.save(commit=False), now=request.now, actor=request.user),
        done=lambda saved: reverse("client", args=[saved.pk]),
        title=title,
        back=back,
        submit="Save the client",
    )


def add_client_away(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Client, pk=pk)
    form = DayRangeForm(request.POST or None)
    return answer_form(
        request,
        form,
        act=lambda: domain.add_client_away(client=found, now=request.now, actor=request.user, **form.cleaned_data),
        done=reverse("client", args=[pk]),
        title="Days the client is away",
        subtitle=str(found),
        back=reverse("client", args=[pk]),
        submit="Note the days",
    )


def remove_client_away(request: WorkshopRequest, pk: int) -> HttpResponse:
    away = get_object_or_404(ClientAway, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_client_away(away=away, now=request.now, actor=request.user),
        done=reverse("client", args=[away.client_id]),
        said="Those days are free again.",
    )
