"""The people we send work to, and when they are shut."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import subcontractors as domain
from jobs.forms.records import ReasonedDayRangeForm
from jobs.forms.subcontractors import SubcontractorForm
from jobs.models import Subcontractor, SubcontractorClosure
from jobs.queries.subcontractors import subcontractor_list, subcontractor_page
from jobs.views.common import WorkshopRequest, answer_button, answer_form


def subcontractors(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/subcontractors.html", subcontractor_list(request.workshop, request.now))


def subcontractor(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Subcontractor, pk=pk)
    return render(request, "jobs/subcontractor.html", subcontractor_page(found, request.workshop, request.now))


def new_subcontractor(request: WorkshopRequest) -> HttpResponse:
    return _subcontractor(request, Subcontractor(), "Add a subcontractor", reverse("subcontractors"))


def edit_subcontractor(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Subcontractor, pk=pk)
    return _subcontractor(request, found, f"Change {found}", reverse("subcontractor", args=[pk]))


def _subcontractor(request: WorkshopRequest, found: Subcontractor, title: str, back: str) -> HttpResponse:
    form = SubcontractorForm(request.POST or None, instance=found)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_subcontractor(
            subcontractor=form.save(commit=False), now=request.now, actor=request.user
        ),
        done=lambda saved: reverse("subcontractor", args=[saved.pk]),
        title=title,
        back=back,
        submit="Save the subcontractor",
    )


def add_closure(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Subcontractor, pk=pk)
    form = ReasonedDayRangeForm(request.POST or None)
    back = reverse("subcontractor", args=[pk])
    return answer_form(
        request,
        form,
        act=lambda: domain.close_subcontractor(
            subcontractor=found, now=request.now, actor=request.user, **form.cleaned_data
        ),
        done=back,
        title="Days they are shut",
        subtitle=str(found),
        back=back,
        submit="Note the closure",
    )


def remove_closure(request: WorkshopRequest, pk: int) -> HttpResponse:
    closure = get_object_or_404(SubcontractorClosure, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_closure(closure=closure, now=request.now, actor=request.user),
        done=reverse("subcontractor", args=[closure.subcontractor_id]),
        said="That closure is out of the calendar.",
    )
