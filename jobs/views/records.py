"""Rooms, access and finishes of a commission."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from jobs.domain import clients as domain
from jobs.forms.records import AccessForm, FinishForm, RoomForm
from jobs.models import AccessArrangement, FinishRecord, Room
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission


def arrange_access(request: WorkshopRequest, number: int) -> HttpResponse:
    """The arrangement for the whole commission; one for a single visit is reached from that visit."""
    commission = the_commission(number)
    access = AccessArrangement.objects.filter(commission=commission, visit__isnull=True).first()
    form = AccessForm(request.POST or None, instance=access or AccessArrangement(commission=commission))
    return answer_form(
        request,
        form,
        act=lambda: domain.arrange_access(access=form.save(commit=False), now=request.now, actor=request.user),
        done=commission.get_absolute_url(),
        said="The access arrangement is noted.",
        title="Access: who lets us in",
        subtitle=str(commission),
        back=commission.get_absolute_url(),
        submit="Save the access arrangement",
    )


def add_room(request: WorkshopRequest, number: int) -> HttpResponse:
    return _room(request, Room(commission=the_commission(number)), "Add a room")


def edit_room(request: WorkshopRequest, pk: int) -> HttpResponse:
    room = get_object_or_404(Room.objects.select_related("commission"), pk=pk)
    return _room(request, room, f"Change {room}")


def _room(request: WorkshopRequest, room: Room, title: str) -> HttpResponse:
    form = RoomForm(request.POST or None, instance=room)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_room(room=form.save(commit=False), now=request.now, actor=request.user),
        done=room.commission.get_absolute_url(),
        title=title,
        subtitle=str(room.commission),
        back=room.commission.get_absolute_url(),
        submit="Save the room",
    )


def add_finish(request: WorkshopRequest, number: int) -> HttpResponse:
    return _finish(request, FinishRecord(commission=the_commission(number)), "Add a finish")


def edit_finish(request: WorkshopRequest, pk: int) -> HttpResponse:
    finish = get_object_or_404(FinishRecord.objects.select_related("commission"), pk=pk)
    return _finish(request, finish, f"Change the finish of {finish}")


def remove_finish(request: WorkshopRequest, pk: int) -> HttpResponse:
    finish = get_object_or_404(FinishRecord.objects.select_related("commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_finish(finish=finish, now=request.now, actor=request.user),
        done=finish.commission.get_absolute_url(),
        said=f"The finish of {finish} is out of the record.",
    )


def _finish(request: WorkshopRequest, finish: FinishRecord, title: str) -> HttpResponse:
    form = FinishForm(request.POST or None, instance=finish)
    return answer_form(
        request,
        form,
        act=lambda: domain.record_finish(finish=form.save(commit=False), now=request.now, actor=request.user),
        done=finish.commission.get_absolute_url(),
        title=title,
        subtitle=str(finish.commission),
        back=finish.commission.get_absolute_url(),
        submit="Save the finish",
    )
