"""The way in, the carry, the vans and the site-day sheet."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import route as domain
from jobs.forms.route import CarryPlanForm, CarryRecordForm, RoutePlaceForm, VanForm
from jobs.models import CarryPlan, CarryRecord, PointKind, RoutePlace, Van
from jobs.queries.carry_page import carry_page, floors_of
from jobs.queries.route_page import route_page
from jobs.queries.site_day import site_day as site_day_sheet
from jobs.roles import May, may
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission
from jobs.views.paper import paper


def the_place(pk: int) -> RoutePlace:
    return get_object_or_404(RoutePlace.objects.select_related("commission__client", "room"), pk=pk)


def route(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    context = {"commission": commission, "kinds": PointKind.choices, **route_page(commission)}
    return render(request, "jobs/route.html", context)


def add_route_place(request: WorkshopRequest, number: int, kind: str) -> HttpResponse:
    if kind not in PointKind.values:
        raise Http404
    place = RoutePlace(commission=the_commission(number), kind=kind)
    return _place(request, place, f"On the way in: {PointKind(kind).label.lower()}")


def edit_route_place(request: WorkshopRequest, pk: int) -> HttpResponse:
    place = the_place(pk)
    return _place(request, place, f"Change {place}")


def _place(request: WorkshopRequest, place: RoutePlace, title: str) -> HttpResponse:
    back = reverse("route", args=[place.commission.number])
    form = RoutePlaceForm(request.POST or None, instance=place)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_route_place(place=form.place(), now=request.now, actor=request.user),
        done=back,
        title=title,
        subtitle=str(place.commission),
        back=back,
        submit="Save the place",
    )


def move_route_place(request: WorkshopRequest, pk: int, way: str) -> HttpResponse:
    place = the_place(pk)
    return answer_button(
        request,
        act=lambda: domain.move_route_place(
            place=place, earlier=way == "earlier", now=request.now, actor=request.user
        ),
        done=reverse("route", args=[place.commission.number]),
    )


def remove_route_place(request: WorkshopRequest, pk: int) -> HttpResponse:
    place = the_place(pk)
    name = place.name
    return answer_button(
        request,
        act=lambda: domain.remove_route_place(place=place, now=request.now, actor=request.user),
        done=reverse("route", args=[place.commission.number]),
        said=f"{name} is off the way in.",
    )


def carry(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    page = carry_page(commission, request.workshop, request.now)
    return render(request, "jobs/carry.html", {"commission": commission, **page})


def plan_carry(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    plan = CarryPlan.objects.filter(commission=commission).first() or CarryPlan(commission=commission)
    form = CarryPlanForm(request.POST or None, instance=plan)
    return answer_form(
        request,
        form,
        act=lambda: domain.plan_carry(plan=form.save(commit=False), now=request.now, actor=request.user),
        done=reverse("carry", args=[number]),
        title="What the carry is reckoned with",
        subtitle=str(commission),
        back=reverse("carry", args=[number]),
        submit="Save",
    )


def record_carry(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    today = request.workshop.local_day(request.now)
    record = CarryRecord(commission=commission, done_on=today, floors=floors_of(commission))
    own = None if may(request.user, May.DESK) else request.user
    form = CarryRecordForm(request.POST or None, instance=record, only=own, initial={"carriers": [request.user]})
    return answer_form(
        request,
        form,
        act=lambda: domain.record_carry(
            commission=commission,
            record=form.save(commit=False),
            carriers=form.cleaned_data["carriers"],
            today=today,
            now=request.now,
            actor=request.user,
        ),
        done=reverse("carry", args=[number]),
        said="Noted: later carries are reckoned from it.",
        title="How long the carry took",
        subtitle=str(commission),
        back=reverse("carry", args=[number]),
        submit="Note it",
    )


def vans(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/vans.html", {"vans": list(Van.objects.all())})


def new_van(request: WorkshopRequest) -> HttpResponse:
    return _van(request, Van(), "Add a van")


def edit_van(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Van, pk=pk)
    return _van(request, found, f"Change {found}")


def _van(request: WorkshopRequest, van: Van, title: str) -> HttpResponse:
    form = VanForm(request.POST or None, instance=van)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_van(van=form.save(commit=False), now=request.now, actor=request.user),
        done=reverse("vans"),
        title=title,
        back=reverse("vans"),
        submit="Save the van",
    )


def site_day(request: WorkshopRequest, number: int) -> HttpResponse:
    sheet = site_day_sheet(the_commission(number), request.workshop, request.now)
    return render(request, "jobs/site_day.html", {**sheet, "for_print": False})


def site_day_pdf(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    sheet = site_day_sheet(commission, request.workshop, request.now)
    back = reverse("site_day", args=[number])
    return paper(request, "pdf/site_day.html", sheet, name=f"site-day-{number}.pdf", back=back)
