"""The hinge check at a return visit, on the telephone and on paper."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from aftercare.domain import hinge_check as domain
from aftercare.domain.hinge_check import RoomFound
from aftercare.forms.hinge_check import DoorCheckForm, FinishCheckForm, RoomFoundForm
from aftercare.models import Door, DoorCheck, HingeCheck
from aftercare.queries.hinge_sheet import hinge_sheet, next_door, photograph_light
from jobs.models import Visit, VisitKind
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, answer_form
from jobs.views.paper import paper


def the_return_visit(pk: int) -> Visit:
    rows = Visit.objects.filter(kind=VisitKind.RETURN).select_related("commission__client", "person", "step")
    return get_object_or_404(rows, pk=pk)


def hinge_check(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The doors in the order to look at them, and the room."""
    visit = the_return_visit(pk)
    context = hinge_sheet(visit, request.workshop)
    check: HingeCheck | None = context["check"]
    noted = {name: getattr(check, name) for name in RoomFoundForm.base_fields} if check else {}
    form = RoomFoundForm(request.POST or None, initial=noted)
    try:
        domain.may_begin(visit, request.workshop, request.now)
        why_not = ""
    except Refusal as refusal:
        why_not = refusal.sentence
    return answer_form(
        request,
        form,
        act=lambda: domain.record_room(
            visit=visit,
            found=RoomFound(**form.cleaned_data),
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        ),
        done=reverse("hinge_check", args=[pk]),
        said="What was found of the room is kept.",
        template="aftercare/hinge_check.html",
        submit="Keep the room",
        why_not=why_not,
        light=photograph_light(visit, request.workshop),
        **context,
    )


def check_door(request: WorkshopRequest, pk: int, door_pk: int) -> HttpResponse:
    """One door; kept, the next one that nobody has looked at follows."""
    visit = the_return_visit(pk)
    door = get_object_or_404(Door.objects.select_related("room"), pk=door_pk, commission=visit.commission_id)
    context = hinge_sheet(visit, request.workshop)
    of_door = next(one for one in context["sheet"] if one.door.pk == door.pk)
    row = of_door.row or DoorCheck(door=door)
    form = DoorCheckForm(request.POST or None, row=row)
    overview = reverse("hinge_check", args=[pk])
    following = next_door(context["sheet"], door)

    def act() -> DoorCheck:
        for name, value in form.cleaned_data.items():
            setattr(row, name, value)
        return domain.check_door(visit=visit, row=row, workshop=request.workshop, now=request.now, actor=request.user)

    return answer_form(
        request,
        form,
        act=act,
        done=reverse("check_door", args=[pk, following.pk]) if following else overview,
        said=f"Door {door} is kept.",
        template="aftercare/check_door.html",
        of_door=of_door,
        following=following,
        back=overview,
        submit="Keep, and go on" if following else "Keep the door",
        **context,
    )


def finish_hinge_check(request: WorkshopRequest, pk: int) -> HttpResponse:
    visit = the_return_visit(pk)
    context = hinge_sheet(visit, request.workshop)
    check: HingeCheck | None = context["check"]
    if check is None:
        messages.error(request, "Nothing has been noted yet: look at a door, or note the room, first.")
        return redirect("hinge_check", pk)
    form = FinishCheckForm(request.POST if request.method == "POST" else None)
    return answer_form(
        request,
        form,
        act=lambda: domain.finish_check(
            check=check,
            second_visit=form.cleaned_data["second_visit"],
            workshop=request.workshop,
            now=request.now,
            actor=request.user,
        ),
        done=reverse("hinge_check", args=[pk]),
        said="The hinge check is finished, and the return visit with it.",
        template="aftercare/finish_hinge_check.html",
        back=reverse("hinge_check", args=[pk]),
        submit="Finish the check",
        **context,
    )


def hinge_sheet_pdf(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The same sheet on paper, with room for a pen; may be printed before the day."""
    visit = the_return_visit(pk)
    return paper(
        request,
        "pdf/hinge_sheet.html",
        hinge_sheet(visit, request.workshop) | {"light": photograph_light(visit, request.workshop)},
        name=f"hinge-check-{visit.commission.number}.pdf",
        back=reverse("hinge_check", args=[pk]),
    )
