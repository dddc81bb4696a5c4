"""Hours: start and stop with one tap, or tell how long it took."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.domain import hours as domain
from jobs.forms.hours import StartTimerForm, StopTimerForm, TellHoursForm
from jobs.models import HourEntry
from jobs.queries.hours_page import all_hours_page, hours_page
from jobs.refusal import Refusal
from jobs.roles import May, may
from jobs.views.common import WorkshopRequest, answer_button, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url


def hours(request: WorkshopRequest, number: int) -> HttpResponse:
    return render(request, "jobs/hours.html", hours_page(the_commission(number), request.user, request.now))


def all_hours(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/all_hours.html", all_hours_page())


def start_timer(request: WorkshopRequest, number: int) -> HttpResponse:
    """One tap on a kind starts its timer."""
    commission = the_commission(number)

    def act() -> None:
        form = StartTimerForm(request.POST)
        if not form.is_valid():
            raise Refusal("kind", "On what: choose one of the list.")
        domain.start_timer(
            person=request.user,
            commission=commission,
            kind=form.cleaned_data["kind"],
            started_at=form.cleaned_data["started_at"],
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        )

    return answer_button(request, act=act, done=sheet_url("hours", commission), said="The timer runs.")


def the_entry(request: WorkshopRequest, pk: int) -> HourEntry:
    """A helper has their own hours only."""
    found = HourEntry.objects.select_related("commission", "person")
    return get_object_or_404(found if may(request.user, May.DESK) else found.filter(person=request.user), pk=pk)


def stop_timer(request: WorkshopRequest, pk: int) -> HttpResponse:
    """One tap stops it; one that was left running overnight is asked about."""
    entry = the_entry(request, pk)
    back = sheet_url("hours", entry.commission)
    if request.method == "POST" and "minutes" not in request.POST:
        try:
            domain.stop_timer(entry=entry, now=request.now, actor=request.user)
        except Refusal as refusal:
            if refusal.field != "minutes":
                messages.error(request, refusal.sentence)
                return redirect(back)
        else:
            messages.success(request, "Stopped.")
            return redirect(back)
    form = StopTimerForm(request.POST if "minutes" in request.POST else None)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.stop_timer(
            entry=entry, minutes=form.cleaned_data["minutes"], now=request.now, actor=request.user
        ),
        commission=entry.commission,
        back=back,
        title=f"Stop the timer: {entry.get_kind_display()}",
        submit="Stop it",
        said="Stopped.",
        lead="It has run long. Say how long the work really took.",
    )


def tell_hours(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    today = request.workshop.local_day(request.now)
    first = {"worked_on": today, "person": request.user, "kind": request.GET.get("kind")}
    own = None if may(request.user, May.DESK) else request.user
    form = TellHoursForm(request.POST or None, initial=first, only=own)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.tell_hours(
            commission=commission, today=today, now=request.now, actor=request.user, **form.cleaned_data
        ),
        commission=commission,
        back=sheet_url("hours", commission),
        title="How long did it take?",
        submit="Note the hours",
        said="Noted.",
    )


def remove_hours(request: WorkshopRequest, pk: int) -> HttpResponse:
    entry = the_entry(request, pk)
    return answer_button(
        request,
        act=lambda: domain.remove_hours(entry=entry, now=request.now, actor=request.user),
        done=sheet_url("hours", entry.commission),
        said="Those hours are out.",
    )
