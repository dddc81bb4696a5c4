from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from aftercare.domain import future_work as domain
from aftercare.forms.hinge_check import FutureWorkForm
from aftercare.models import FutureWork
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def add_future_work(request: WorkshopRequest, number: int) -> HttpResponse:
    return _work(request, FutureWork(commission=the_commission(number)), "Note further work")


def edit_future_work(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _work(request, the_work(pk), "Change what was noted of further work")


def settle_future_work(request: WorkshopRequest, pk: int) -> HttpResponse:
    work = the_work(pk)
    return answer_button(
        request,
        act=lambda: domain.settle_future_work(
            work=work, today=request.workshop.local_day(request.now), now=request.now, actor=request.user
        ),
        done=work.commission.get_absolute_url(),
        said="It is settled, and off the board.",
    )


def the_work(pk: int) -> FutureWork:
    return get_object_or_404(FutureWork.objects.select_related("commission"), pk=pk)


def _work(request: WorkshopRequest, work: FutureWork, title: str) -> HttpResponse:
    form = FutureWorkForm(request.POST or None, instance=work)
    return answer_form(
        request,
        form,
        act=lambda: domain.note_future_work(
            work=form.save(commit=False),
            today=request.workshop.local_day(request.now),
            now=request.now,
            actor=request.user,
        ),
        done=work.commission.get_absolute_url(),
        said="It is noted.",
        title=title,
        subtitle=str(work.commission),
        back=work.commission.get_absolute_url(),
        submit="Note it",
    )
