from __future__ import annotations

import datetime as dt
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.dateparse import parse_datetime

from aftercare.domain.light import note_light, remove_light_note
from aftercare.domain.photograph_time import read_photograph
from aftercare.forms.light import DayForm, LightNoteForm, PhotographForm
from aftercare.models import LightNote, LightNoteSource
from aftercare.queries.light_page import light_page, window_facts
from jobs.models import Room
from jobs.views.common import WorkshopRequest, answer_button, answer_form


def the_room(pk: int) -> Room:
    return get_object_or_404(Room.objects.select_related("commission__client"), pk=pk)


def room_light(request: WorkshopRequest, pk: int) -> HttpResponse:
    """A room's light, on the day asked for or today."""
    room = the_room(pk)
    today = request.workshop.local_day(request.now)
    form = DayForm(request.GET if "day" in request.GET else None, today=today, initial={"day": today})
    day = form.cleaned_data["day"] if form.is_bound and form.is_valid() else today
    page = light_page(room, day, request.workshop, request.now)
    return render(
        request,
        "aftercare/light/room.html",
        page | {"form": form, "window_facts": window_facts(room)},
        status=422 if form.errors else 200,
    )


def add_light_note(request: WorkshopRequest, pk: int) -> HttpResponse:
    """A light note, typed; or offered from a photograph, by `?at=` and the hidden source."""
    room = the_room(pk)
    offered = _offered(request)
    form = LightNoteForm(request.POST or None, initial=offered)
    return answer_form(
        request,
        form,
        act=lambda: note_light(
            room=room, person=request.user, now=request.now, actor=request.user, **form.cleaned_data
        ),
        done=reverse("room_light", args=[room.pk]),
        said="The light note is kept.",
        title=f"Light note: {room}",
        subtitle=str(room.commission),
        lead=_lead(request) if offered else "",
        back=reverse("room_light", args=[room.pk]),
        submit="Keep the light note",
    )


def _offered(request: WorkshopRequest) -> dict[str, object]:
    """What a photograph offers the form; nothing where the address was tampered with."""
    try:
        at = parse_datetime(request.GET.get("at", ""))
    except ValueError:
        at = None
    return {"noted_at": at, "source": LightNoteSource.PHOTOGRAPH} if at else {}


def _lead(request: WorkshopRequest) -> str:
    if "kept" in request.GET:
        return "The time is the photograph’s own. The picture is among the photographs of the room."
    return "The time is the photograph’s own. The picture itself was read and is not kept."


def light_from_photograph(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Reads when a photograph was taken, and offers that as a note; it is kept only once it is confirmed."""
    room = the_room(pk)
    form = PhotographForm(request.POST, request.FILES) if request.method == "POST" else PhotographForm()

    def act() -> dt.datetime:
        return read_photograph(
            room=room,
            file=form.cleaned_data["photograph"],
            is_kept=form.cleaned_data["is_kept"],
            zone=request.workshop.tz,
            now=request.now,
            actor=request.user,
        )

    def offer(taken_at: dt.datetime) -> str:
        kept = {"kept": "1"} if form.cleaned_data["is_kept"] else {}
        query = urlencode({"at": taken_at.strftime("%Y-%m-%dT%H:%M")} | kept)
        return f"{reverse('add_light_note', args=[room.pk])}?{query}"

    return answer_form(
        request,
        form,
        act=act,
        done=offer,
        title=f"Light note from a photograph: {room}",
        subtitle=str(room.commission),
        lead="Its time is read and offered as a light note.",
        back=reverse("room_light", args=[room.pk]),
        submit="Read its time",
    )


def delete_light_note(request: WorkshopRequest, pk: int) -> HttpResponse:
    note = get_object_or_404(LightNote.objects.select_related("room__commission"), pk=pk)
    return answer_button(
        request,
        act=lambda: remove_light_note(note=note, now=request.now, actor=request.user),
        done=reverse("room_light", args=[note.room_id]),
        said="The light note is out of the record.",
    )
