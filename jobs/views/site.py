"""Parking and keys."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import keys as keys_domain
from jobs.domain import parking as domain
from jobs.forms.works import GiveBackForm, HandOnForm, ParkingPlanForm, ParkingRuleForm, TakeKeysForm
from jobs.models import ClientKey, ParkingPlan, ParkingRule
from jobs.queries.parking_page import parking_page
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url


def parking(request: WorkshopRequest, number: int) -> HttpResponse:
    return render(request, "jobs/parking.html", parking_page(the_commission(number), request.workshop, request.now))


def parking_rules(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/parking_rules.html", {"rules": ParkingRule.objects.all()})


def new_parking_rule(request: WorkshopRequest) -> HttpResponse:
    rule = ParkingRule(checked_on=request.workshop.local_day(request.now))
    return _rule(request, rule, "Note what a council asks")


def edit_parking_rule(request: WorkshopRequest, pk: int) -> HttpResponse:
    rule = get_object_or_404(ParkingRule, pk=pk)
    return _rule(request, rule, f"Change {rule}")


def _rule(request: WorkshopRequest, rule: ParkingRule, title: str) -> HttpResponse:
    form = ParkingRuleForm(request.POST or None, instance=rule)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_parking_rule(
            rule=form.save(commit=False),
            today=request.workshop.local_day(request.now),
            now=request.now,
            actor=request.user,
        ),
        done=reverse("parking_rules"),
        title=title,
        back=reverse("parking_rules"),
        submit="Save it",
    )


def plan_parking(request: WorkshopRequest, number: int) -> HttpResponse:
    return _plan(request, ParkingPlan(commission=the_commission(number)), "Plan a place to park")


def the_plan(pk: int) -> ParkingPlan:
    return get_object_or_404(ParkingPlan.objects.select_related("commission", "rule"), pk=pk)


def edit_parking(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _plan(request, the_plan(pk), "Change the place to park")


def _plan(request: WorkshopRequest, plan: ParkingPlan, title: str) -> HttpResponse:
    form = ParkingPlanForm(request.POST or None, instance=plan)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.plan_parking(plan=form.save(commit=False), now=request.now, actor=request.user),
        commission=plan.commission,
        back=sheet_url("parking", plan.commission),
        title=title,
        submit="Save it",
    )


def remove_parking(request: WorkshopRequest, pk: int) -> HttpResponse:
    plan = the_plan(pk)
    return answer_button(
        request,
        act=lambda: domain.remove_parking(plan=plan, now=request.now, actor=request.user),
        done=sheet_url("parking", plan.commission),
        said="That place is out of the plan.",
    )


def client_keys(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    found = commission.client_keys.select_related("holder").prefetch_related("receipts")
    return render(request, "jobs/client_keys.html", {"commission": commission, "client_keys": found})


def take_keys(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    form = TakeKeysForm(request.POST or None, initial={"at": request.now, "holder": request.user})
    return answer_sheet_form(
        request,
        form,
        act=lambda: keys_domain.take_keys(
            commission=commission, now=request.now, actor=request.user, **form.cleaned_data
        ),
        commission=commission,
        back=sheet_url("client_keys", commission),
        title="Take keys into our care",
        submit="Write the receipt",
    )


def the_key(pk: int) -> ClientKey:
    return get_object_or_404(ClientKey.objects.select_related("commission__client", "holder"), pk=pk)


def hand_on_keys(request: WorkshopRequest, pk: int) -> HttpResponse:
    key = the_key(pk)
    form = HandOnForm(request.POST or None)
    return answer_sheet_form(
        request,
        form,
        act=lambda: keys_domain.hand_on_keys(
            key=key, holder=form.cleaned_data["holder"], now=request.now, actor=request.user
        ),
        commission=key.commission,
        back=sheet_url("client_keys", key.commission),
        title=f"Hand on the keys {key}",
        submit="Write the receipt",
    )


def give_back_keys(request: WorkshopRequest, pk: int) -> HttpResponse:
    key = the_key(pk)
    form = GiveBackForm(request.POST or None, initial={"at": request.now})
    return answer_sheet_form(
        request,
        form,
        act=lambda: keys_domain.give_back_keys(key=key, now=request.now, actor=request.user, **form.cleaned_data),
        commission=key.commission,
        back=sheet_url("client_keys", key.commission),
        title=f"Give back the keys {key}",
        submit="Write the receipt",
    )
