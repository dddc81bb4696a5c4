"""A new workshop's first hour: five answers, the first commission; and emptying the demo to begin with one's own."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from jobs.domain import first_hour as domain
from jobs.forms.first_hour import FirstClientForm, FirstCommissionForm, FirstHourForm
from jobs.models import Person
from jobs.queries.workshop import what_the_demo_holds
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_form


@require_http_methods(["GET", "HEAD", "POST"])
def first_hour(request: WorkshopRequest) -> HttpResponse:
    """Five questions, asked once: afterwards the workshop's own page holds the answers."""
    if request.workshop is not None:
        return redirect("workshop")
    form = FirstHourForm(request.POST or None)
    return answer_form(
        request,
        form,
        act=lambda: domain.begin_workshop(now=request.now, actor=request.user, **form.cleaned_data),
        done="first_commission",
        said=lambda workshop: f"{workshop} is set up. Everything can be changed on the page “Workshop”.",
        template="jobs/first_hour.html",
        submit="Set up the workshop",
    )


@require_http_methods(["GET", "HEAD", "POST"])
def first_commission(request: WorkshopRequest) -> HttpResponse:
    """A client and their commission on one page."""
    data = request.POST if request.method == "POST" else None
    client = FirstClientForm(data, prefix="client")
    form = FirstCommissionForm(data, prefix="job", initial={"maker": request.user.pk})
    if data is not None and client.is_valid() and form.is_valid():
        try:
            opened = domain.open_first_commission(
                client=client.cleaned_data,
                commission=form.cleaned_data,
                today=request.workshop.local_day(request.now),
                now=request.now,
                actor=request.user,
            )
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"{opened} is open. What it still lacks stands at the top of its page.")
            return redirect(opened)
    context = {"client_form": client, "form": form}
    return render(request, "jobs/first_commission.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def empty_demo(request: WorkshopRequest) -> HttpResponse:
    """Says exactly what goes and what stays; one button does it."""
    if not request.workshop.is_demo:
        raise Http404
    if request.method == "POST":
        try:
            domain.empty_demo(workshop=request.workshop, now=request.now, actor=request.user)
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
            return redirect("workshop")
        messages.success(request, "The demo is gone. Now your own workshop.")
        return redirect("first_hour")
    people = Person.objects.filter(is_active=True)
    context = {"goes": what_the_demo_holds(), "people": people, "back": reverse("workshop")}
    return render(request, "jobs/empty_demo.html", context)
