"""What aftercare adds to the site day on a phone: the light note, and the hinge check of a return visit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.utils.dateparse import parse_datetime

from aftercare.domain import hinge_check
from aftercare.domain.light import note_light
from aftercare.forms.hinge_check import DoorCheckForm
from aftercare.models import Door, DoorCheck, LightNote, LightNoteSource
from jobs.models import Commission, Visit, VisitKind, VisitState
from jobs.phone.kinds import one_of
from jobs.refusal import AlreadyTrue, Refusal
from jobs.registries import PageSection, SiteActKind, SiteMoment, phone_sections, site_acts


def light_section(commission: Commission, now: dt.datetime) -> Mapping[str, Any]:
    rooms = list(commission.rooms.prefetch_related("light_notes"))
    return {"anchor": "do-light", "words": "Light", "rooms": rooms, "commission": commission} if rooms else {}


def apply_light(moment: SiteMoment) -> str:
    """The hour told, or the hour of the tap; a telephone a little ahead of us is not in the future."""
    room = one_of(moment.commission.rooms.select_related("commission"), moment.payload.get("room", ""), "room")
    told = moment.payload.get("noted_at", "")
    try:
        at = parse_datetime(told) if told else moment.happened_at
    except ValueError:
        at = None
    if at is None:
        raise Refusal("noted_at", "When the light was good: this is no day and time.")
    if at.tzinfo is None:
        at = at.replace(tzinfo=moment.workshop.tz)
    if moment.happened_at < at <= moment.happened_at + dt.timedelta(minutes=5):
        at = moment.happened_at
    if LightNote.objects.filter(room=room, noted_at=at).exists():
        raise AlreadyTrue(f"The light of this minute in {room} is noted already.")
    source = LightNoteSource.PHOTOGRAPH if moment.payload.get("source") == "photograph" else LightNoteSource.TYPED
    note_light(
        room=room,
        noted_at=at,
        person=moment.person,
        now=moment.happened_at,
        actor=moment.person,
        words=moment.payload.get("words", "").strip()[:200],
        source=source,
    )
    return f"Light noted: {room}, {moment.workshop.local(at):%H:%M}."


def doors_section(commission: Commission, now: dt.datetime) -> Mapping[str, Any]:
    """The doors of the return visit of these days; none where no visit is arranged, or no door is in the record."""
    visit = _visit(commission, now)
    doors = list(Door.objects.filter(commission=commission).select_related("room"))
    if visit is None or not doors:
        return {}
    rows = {row.door_id: row for row in DoorCheck.objects.filter(check_of__visit=visit)}
    return {
        "anchor": "do-doors",
        "words": "Doors",
        "visit": visit,
        "commission": commission,
        "doors": [(door, rows.get(door.pk)) for door in doors],
        "form": DoorCheckForm(row=DoorCheck(), auto_id="door_%s"),
    }


def _visit(commission: Commission, now: dt.datetime) -> Visit | None:
    """The return visit whose day has come; the latest where there are several."""
    near = now + dt.timedelta(days=1)
    visits = commission.visits.filter(kind=VisitKind.RETURN, state=VisitState.ARRANGED, starts_at__lte=near)
    return visits.order_by("-starts_at").first()


def apply_door(moment: SiteMoment) -> str:
    visits = moment.commission.visits.filter(kind=VisitKind.RETURN).select_related("commission", "step", "person")
    visit = one_of(visits, moment.payload.get("visit", ""), "visit")
    door = one_of(
        Door.objects.filter(commission=moment.commission).select_related("room"),
        moment.payload.get("door", ""),
        "door",
    )
    row = DoorCheck.objects.filter(check_of__visit=visit, door=door).first() or DoorCheck(door=door)
    form = DoorCheckForm(dict(moment.payload), row=row)
    if not form.is_valid():
        field, faults = next(iter(form.errors.items()))
        raise Refusal(field, str(faults[0]))
    for name, value in form.cleaned_data.items():
        setattr(row, name, value)
    hinge_check.check_door(
        visit=visit, row=row, workshop=moment.workshop, now=moment.happened_at, actor=moment.person
    )
    return f"Door {door} checked: {row.get_verdict_display()}."


def door_subject(moment: SiteMoment) -> str:
    return f"door:{moment.payload.get('visit', '')}:{moment.payload.get('door', '')}"[:40]


def register() -> None:
    site_acts.add("note_light", SiteActKind("Light noted", apply_light))
    site_acts.add("check_door", SiteActKind("Door checked", apply_door, door_subject))
    phone_sections.add("light", PageSection("aftercare/phone/light.html", light_section), order=50)
    phone_sections.add("doors", PageSection("aftercare/phone/doors.html", doors_section), order=60)
