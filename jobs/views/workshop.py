"""The workshop itself: settings, people, calendar days, messages."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import calendar as days
from jobs.domain.commissions import set_up_workshop
from jobs.domain.people import save_person
from jobs.forms.calendar import ENTRY_FORMS
from jobs.forms.records import PersonForm, WorkshopForm
from jobs.models import Device, Person
from jobs.queries.calendar_page import ENTRY_MODELS, calendar_page
from jobs.queries.workshop import people_list
from jobs.views.common import WorkshopRequest, answer_button, answer_form


def workshop(request: WorkshopRequest) -> HttpResponse:
    form = WorkshopForm(request.POST or None, instance=request.workshop)
    return answer_form(
        request,
        form,
        act=lambda: set_up_workshop(now=request.now, actor=request.user, **form.cleaned_data),
        done="workshop",
        said="The workshop's settings are saved.",
        template="jobs/workshop.html",
        title="The workshop",
        people=people_list(),
        screens=Device.objects.filter(revoked_at__isnull=True),
        submit="Save the workshop",
    )


def new_person(request: WorkshopRequest) -> HttpResponse:
    return _person(request, Person(), "Add a person")


def edit_person(request: WorkshopRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk)
    return _person(request, person, f"Change {person}")


def _person(request: WorkshopRequest, person: Person, title: str) -> HttpResponse:
    form = PersonForm(request.POST or None, instance=person)
    return answer_form(
        request,
        form,
        act=lambda: save_person(person=form.save(commit=False), now=request.now, actor=request.user),
        done="workshop",
        title=title,
        back=reverse("workshop"),
        submit="Save the person",
    )


def calendar_days(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/calendar_days.html", calendar_page(request.workshop, request.now))


def add_day(request: WorkshopRequest, kind: str) -> HttpResponse:
    """A closure, an absence, a helper's day or a van's day."""
    if kind not in ENTRY_FORMS:
        raise Http404
    entry = ENTRY_FORMS[kind]
    form = entry.form(request.POST or None)
    return answer_form(
        request,
        form,
        act=lambda: entry.act(now=request.now, actor=request.user, **form.cleaned_data),
        done="calendar_days",
        title=entry.title,
        back=reverse("calendar_days"),
        submit=entry.submit,
    )


def remove_day(request: WorkshopRequest, kind: str, pk: int) -> HttpResponse:
    if kind not in ENTRY_MODELS:
        raise Http404
    entry: Any = get_object_or_404(ENTRY_MODELS[kind], pk=pk)
    return answer_button(
        request,
        act=lambda: days.remove_day(entry=entry, now=request.now, actor=request.user),
        done="calendar_days",
        said="Taken out of the calendar.",
    )
