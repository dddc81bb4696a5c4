"""Doors, shelves and the facts of the handover pack."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from aftercare.domain import fitted as domain
from aftercare.domain.packs import issue_pack
from aftercare.domain.run_doors import doors_of_run, take_run_doors
from aftercare.forms.fitted import DoorForm, FittedFactsForm, IssuePackForm, NewDoorForm, RunDoorsForm, ShelfForm
from aftercare.models import Door, FittedFacts, IssuedPack, Shelf
from aftercare.pack.render import PackNotMade
from aftercare.queries.fitted import GROUPS, blanks, fitted_page
from aftercare.views.records import the_handover
from jobs.models import RunPlan
from jobs.refusal import Refusal
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def fitted(request: WorkshopRequest, number: int) -> HttpResponse:
    return render(request, "aftercare/fitted.html", fitted_page(the_commission(number)))


def add_door(request: WorkshopRequest, number: int) -> HttpResponse:
    commission = the_commission(number)
    last = Door.objects.filter(commission=commission).order_by("position").last()
    fresh = Door(commission=commission, position=last.position + 1 if last else 1)
    if last is not None:
        fresh.room_id, fresh.board, fresh.thickness_mm = last.room_id, last.board, last.thickness_mm
    form = NewDoorForm(request.POST or None, instance=fresh)
    return answer_form(
        request,
        form,
        act=lambda: domain.add_doors(
            door=form.save(commit=False), alike=form.cleaned_data["alike"], now=request.now, actor=request.user
        ),
        done=reverse("fitted", args=[number]),
        said=lambda made: f"{len(made)} door{'s are' if len(made) > 1 else ' is'} on record.",
        title="Add doors",
        subtitle=str(commission),
        back=reverse("fitted", args=[number]),
        submit="Keep the doors",
    )


def take_doors_of_run(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The doors drawn for a room at the survey, put on record with what the run does not say of them."""
    plan = get_object_or_404(RunPlan.objects.select_related("room__commission__client"), room=pk)
    room = plan.room
    doors = doors_of_run(plan)
    form = RunDoorsForm(request.POST or None, instance=Door(commission=room.commission))
    back = reverse("fitted", args=[room.commission.number])
    return answer_form(
        request,
        form,
        act=lambda: take_run_doors(room=room, now=request.now, actor=request.user, **form.cleaned_data),
        done=back,
        said=lambda made: f"{len(made)} door{'s are' if len(made) > 1 else ' is'} on record.",
        title=f"Take the doors of the run: {room}",
        subtitle=str(room.commission),
        lead="; ".join(f"{one} {one.width_mm} × {one.height_mm} mm" for one in doors)
        + ". Each is the share of the run less 3 mm of gap. Check the sizes against what was made.",
        back=back,
        submit="Take them",
    )


def edit_door(request: WorkshopRequest, pk: int) -> HttpResponse:
    door = get_object_or_404(Door.objects.select_related("commission"), pk=pk)
    back = reverse("fitted", args=[door.commission.number])
    form = DoorForm(request.POST or None, instance=door)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_door(door=form.save(commit=False), now=request.now, actor=request.user),
        done=back,
        title=f"Change door {door}",
        subtitle=str(door.commission),
        back=back,
        submit="Save the door",
    )


def remove_door(request: WorkshopRequest, pk: int) -> HttpResponse:
    door = get_object_or_404(Door.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_door(door=door, now=request.now, actor=request.user),
        done=reverse("fitted", args=[door.commission.number]),
        said=f"Door {door} is out of the record.",
    )


def add_shelf(request: WorkshopRequest, number: int) -> HttpResponse:
    return _shelf(request, Shelf(commission=the_commission(number)), "Add a shelf")


def edit_shelf(request: WorkshopRequest, pk: int) -> HttpResponse:
    shelf = get_object_or_404(Shelf.objects.select_related("commission"), pk=pk)
    return _shelf(request, shelf, f"Change {shelf}")


def _shelf(request: WorkshopRequest, shelf: Shelf, title: str) -> HttpResponse:
    back = reverse("fitted", args=[shelf.commission.number])
    form = ShelfForm(request.POST or None, instance=shelf)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_shelf(shelf=form.save(commit=False), now=request.now, actor=request.user),
        done=back,
        title=title,
        subtitle=str(shelf.commission),
        back=back,
        submit="Save the shelf",
    )


def remove_shelf(request: WorkshopRequest, pk: int) -> HttpResponse:
    shelf = get_object_or_404(Shelf.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_shelf(shelf=shelf, now=request.now, actor=request.user),
        done=reverse("fitted", args=[shelf.commission.number]),
        said=f"“{shelf}” is out of the record.",
    )


def pack_facts(request: WorkshopRequest, number: int) -> HttpResponse:
    """Everything else the pack says; what is still blank is named first."""
    commission = the_commission(number)
    kept = FittedFacts.objects.filter(commission=commission).first()
    form = FittedFactsForm(request.POST or None, instance=kept or FittedFacts(commission=commission))
    still_blank = blanks(kept, request.workshop)
    return answer_form(
        request,
        form,
        act=lambda: domain.keep_facts(facts=form.save(commit=False), now=request.now, actor=request.user),
        done=commission.get_absolute_url(),
        said="The facts for the pack are kept.",
        template="aftercare/pack_facts.html",
        commission=commission,
        blanks=[(form[name].id_for_label, words) for name, words in still_blank],
        groups=[(heading, [form[name] for name in names]) for heading, names in GROUPS],
        back=commission.get_absolute_url(),
        submit="Keep the facts",
    )


def issue_pack_now(request: WorkshopRequest, pk: int) -> HttpResponse:
    """The next revision of a pack from the record as it stands; takes some seconds."""
    handover = the_handover(pk)
    back = handover.commission.get_absolute_url()
    form = IssuePackForm(request.POST or None)

    def act() -> IssuedPack:
        try:
            return issue_pack(
                handover=handover, now=request.now, reason=form.cleaned_data["reason"], actor=request.user
            )
        except PackNotMade as fault:
            raise Refusal("", str(fault)) from fault

    return answer_form(
        request,
        form,
        act=act,
        done=back,
        said=lambda pack: f"Revision {pack.revision} of the pack is kept. It has not been sent to anybody.",
        title="Issue the handover pack",
        subtitle=str(handover.commission),
        lead="The pack is made from the record as it stands and kept byte for byte. This takes some seconds.",
        back=back,
        submit="Issue the pack",
    )
