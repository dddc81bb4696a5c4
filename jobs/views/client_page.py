"""The client's own page and what can be answered on it. Reading writes nothing; answers are POST."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from jobs.client_access import READING, ClientRequest, client_view
from jobs.domain import client_decisions as domain
from jobs.domain.clients import remove_client_away
from jobs.domain.slot_offers import pick_offer
from jobs.domain.visits import SlotTaken
from jobs.forms.client_page import ClientAccessForm, ClientAwayForm, ClientDeclarationForm, first_access
from jobs.models import ClientAway, ClientDecision, SlotOffer
from jobs.queries.client_page import client_page as page_of
from jobs.queries.client_page import said_words, times_section
from jobs.refusal import Refusal
from jobs.views.common import add_refusal


@client_view(*READING)
def client_page(request: ClientRequest) -> HttpResponse:
    page = page_of(request.commission, request.workshop, request.now)
    return render(request, "client/page.html", page | {"may_decide": request.may_decide})


@client_view(*READING)
def client_done(request: ClientRequest, pk: int) -> HttpResponse:
    """What was just done, with its minute, and the way to take it back."""
    decision = get_object_or_404(ClientDecision, pk=pk, commission=request.commission)
    page = {"said": said_words(decision, request.workshop, request.now), "may_decide": request.may_decide}
    return render(request, "client/done.html", page | {"to_mail": bool(request.commission.client.email)})


@client_view("POST", decide=True)
def client_undo(request: ClientRequest, pk: int) -> HttpResponse:
    decision = get_object_or_404(ClientDecision, pk=pk, commission=request.commission)
    try:
        domain.undo_decision(decision=decision, workshop=request.workshop, now=request.now)
    except Refusal as refusal:
        return sorry(request, refusal.sentence)
    return redirect("client_done", pk=pk)


@client_view(*READING, "POST", decide=True)
def client_declare(request: ClientRequest) -> HttpResponse:
    form = ClientDeclarationForm(request.POST if request.method == "POST" else None)
    return answer(
        request,
        form,
        act=lambda: domain.declare_by_link(
            link=request.client_session.link,
            nothing_changed=form.cleaned_data["answer"] == "same",
            what_changed=form.cleaned_data["what_changed"],
            workshop=request.workshop,
            now=request.now,
        ),
        title="Has anything changed in the room?",
        lead="We cut to the sizes we took. Please tell us if a floor, a skirting board, a socket or a wall has "
        "changed since we measured.",
        submit="Tell the workshop",
    )


@client_view(*READING, "POST", decide=True)
def client_access(request: ClientRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = ClientAccessForm(data, instance=first_access(request.commission))
    return answer(
        request,
        form,
        act=lambda: domain.arrange_access_by_link(
            link=request.client_session.link,
            access=form.save(commit=False),
            workshop=request.workshop,
            now=request.now,
        ),
        title="Who opens the door?",
        lead="Please never write a code here, or where a key is. Ring us for that.",
        submit="Tell the workshop",
    )


@client_view(*READING, "POST", decide=True)
def client_away(request: ClientRequest) -> HttpResponse:
    """Their own away days stand here alone, for those who may decide."""
    form = ClientAwayForm(request.POST if request.method == "POST" else None)
    today = request.workshop.local_day(request.now)
    return answer(
        request,
        form,
        act=lambda: domain.add_away_by_link(
            link=request.client_session.link,
            today=today,
            workshop=request.workshop,
            now=request.now,
            **form.cleaned_data,
        ),
        title="When are you away?",
        lead="We plan no visit for these days. We show them to nobody else.",
        submit="Tell the workshop",
        template="client/away.html",
        away=lambda: request.commission.client.away.filter(last_day__gte=today).order_by("first_day"),
    )


@client_view("POST", decide=True)
def client_away_remove(request: ClientRequest, pk: int) -> HttpResponse:
    away = get_object_or_404(ClientAway, pk=pk, client=request.commission.client)
    remove_client_away(away=away, now=request.now, actor=None)
    return redirect("client_away")


@client_view("POST", decide=True)
def client_pick(request: ClientRequest, pk: int) -> HttpResponse:
    """Two may press at the same moment: one has the time, the other reads so and sees what is still free."""
    offers = SlotOffer.objects.select_related("commission__client", "person", "visit__commission__client")
    offer = get_object_or_404(offers, pk=pk, commission=request.commission)
    try:
        decision = pick_offer(
            offer=offer, link=request.client_session.link, workshop=request.workshop, now=request.now
        )
    except SlotTaken as taken:
        left = times_section(request.commission, request.now).get("offers", [])
        page = {"sentence": taken.sentence, "offers": left, "may_decide": True}
        return render(request, "client/slot_gone.html", page, status=409)
    except Refusal as refusal:
        return sorry(request, refusal.sentence)
    return redirect("client_done", pk=decision.pk)


def sorry(request: ClientRequest, sentence: str) -> HttpResponse:
    return render(request, "client/sorry.html", {"sentence": sentence}, status=422)


def answer(
    request: ClientRequest,
    form: forms.BaseForm,
    *,
    act: Callable[[], ClientDecision],
    title: str,
    lead: str,
    submit: str,
    template: str = "client/form_page.html",
    **context: object,
) -> HttpResponse:
    """One form on a page of its own: shown, or done and confirmed. What was typed stays, as 422."""
    if form.is_bound and form.is_valid():
        try:
            decision = act()
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            return redirect("client_done", pk=decision.pk)
    page = {"form": form, "title": title, "lead": lead, "submit": submit, "back": reverse("client_page")} | context
    return render(request, template, page, status=422 if form.is_bound else 200)
