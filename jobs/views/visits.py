from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from jobs.domain import visits as domain
from jobs.forms.records import MoveVisitForm, VisitForm
from jobs.models import Visit
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def the_visit(pk: int) -> Visit:
    return get_object_or_404(Visit.objects.select_related("commission__client", "person"), pk=pk)


def book_visit(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    form = VisitForm(request.POST or None, initial={"person": commission.maker_id})
    form.fields["step"].queryset = commission.steps.all()  # type: ignore[attr-defined]
    return answer_form(
        request,
        form,
        act=lambda: domain.book_visit(
            commission=commission,
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
            **form.cleaned_data,
        ),
        done=commission.get_absolute_url(),
        said="Booked." if commission.client.email else "Booked. There is no e-mail: ring the client.",
        title="Book a visit",
        subtitle=str(commission),
        back=commission.get_absolute_url(),
        submit="Book the visit",
    )


def move_visit(request: WorkshopRequest, pk: int) -> HttpResponse:
    visit = the_visit(pk)
    initial: dict[str, Any] = {"person": visit.person_id, "starts_at": visit.starts_at, "ends_at": visit.ends_at}
    form = MoveVisitForm(request.POST or None, initial=initial)
    return answer_form(
        request,
        form,
        act=lambda: domain.move_visit(
            visit=visit, workshop=request.workshop, now=request.now, actor=request.user, **form.cleaned_data
        ),
        done=visit.commission.get_absolute_url(),
        said="Moved.",
        title=f"{'Move' if visit.starts_at else 'Arrange'} the {visit.get_kind_display().lower()}",
        subtitle=str(visit.commission),
        back=visit.commission.get_absolute_url(),
        submit="Move it" if visit.starts_at else "Arrange it",
    )


def cancel_visit(request: WorkshopRequest, pk: int) -> HttpResponse:
    visit = the_visit(pk)
    return answer_button(
        request,
        act=lambda: domain.cancel_visit(visit=visit, workshop=request.workshop, now=request.now, actor=request.user),
        done=visit.commission.get_absolute_url(),
        said="Cancelled.",
    )


def finish_visit(request: WorkshopRequest, pk: int) -> HttpResponse:
    visit = the_visit(pk)
    return answer_button(
        request,
        act=lambda: domain.finish_visit(visit=visit, now=request.now, actor=request.user),
        done=visit.commission.get_absolute_url(),
        said="Noted as done.",
    )
