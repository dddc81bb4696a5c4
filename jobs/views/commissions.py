from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render

from jobs.domain import commissions as domain
from jobs.forms.commissions import CommissionForm, HoldForm, NewCommissionForm, PastForm
from jobs.models import Client, Template
from jobs.queries.commission_list import commission_list
from jobs.queries.commission_page import commission_page
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, add_refusal, answer_button, answer_form, the_commission


def commissions(request: WorkshopRequest) -> HttpResponse:
    """Every commission: live ones first, then the past, newest first."""
    return render(request, "jobs/commissions.html", commission_list(request.GET.get("show") == "past"))


def commission(request: WorkshopRequest, number: int) -> HttpResponse:
    page = commission_page(the_commission(number), request.workshop, request.now)
    return render(request, "jobs/commission.html", page)


def new_commission(request: WorkshopRequest) -> HttpResponse:
    """A new commission; the second half of the form holds what is already behind it."""
    if not Client.objects.exists() or not Template.objects.exists():
        return redirect("first_commission")
    data = request.POST if request.method == "POST" else None
    today = request.workshop.local_day(request.now)
    form = NewCommissionForm(data, today=today, initial={"client": request.GET.get("client")})
    past = PastForm(data, workshop=request.workshop)
    if data is not None and form.is_valid() and past.is_valid():
        try:
            opened = domain.open_commission(
                **form.cleaned_data, past=past.past(), now=request.now, actor=request.user
            )
        except Refusal as refusal:
            add_refusal(form, refusal)
        else:
            return redirect(opened)
    status = 422 if form.is_bound else 200
    return render(request, "jobs/new_commission.html", {"form": form, "past": past}, status=status)


def edit_commission(request: WorkshopRequest, number: int) -> HttpResponse:
    target = the_commission(number)
    form = CommissionForm(request.POST or None, instance=the_commission(number))
    return answer_form(
        request,
        form,
        act=lambda: domain.edit_commission(
            commission=target, now=request.now, actor=request.user, **form.cleaned_data
        ),
        done=target.get_absolute_url(),
        title=f"Change {target}",
        back=target.get_absolute_url(),
        submit="Save the commission",
    )


def put_on_hold(request: WorkshopRequest, number: int) -> HttpResponse:
    target = the_commission(number)
    form = HoldForm(request.POST or None)
    return answer_form(
        request,
        form,
        act=lambda: domain.put_on_hold(
            commission=target,
            reason=form.cleaned_data["hold_reason"],
            now=request.now,
            today=request.workshop.local_day(request.now),
            actor=request.user,
        ),
        done=target.get_absolute_url(),
        title=f"Put {target} on hold",
        back=target.get_absolute_url(),
        submit="Put on hold",
    )


def take_off_hold(request: WorkshopRequest, number: int) -> HttpResponse:
    target = the_commission(number)
    return answer_button(
        request,
        act=lambda: domain.take_off_hold(commission=target, now=request.now, actor=request.user),
        done=target.get_absolute_url(),
        said="It runs again.",
    )


def close_commission(request: WorkshopRequest, number: int) -> HttpResponse:
    target = the_commission(number)
    today = request.workshop.local_day(request.now)
    return answer_button(
        request,
        act=lambda: domain.close_commission(commission=target, today=today, now=request.now, actor=request.user),
        done=target.get_absolute_url(),
        said="Closed. It has left the board and stays in the record.",
    )


def reopen_commission(request: WorkshopRequest, number: int) -> HttpResponse:
    target = the_commission(number)
    return answer_button(
        request,
        act=lambda: domain.reopen_commission(commission=target, now=request.now, actor=request.user),
        done=target.get_absolute_url(),
        said="Open again.",
    )
