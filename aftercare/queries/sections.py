"""What aftercare adds to the commission page."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from aftercare.booking.window import return_days
from aftercare.light.values import PhotoWindow
from aftercare.light.words import light_sentence, overcast_sentence
from aftercare.models import Handover, LightNote
from aftercare.queries.light import day_lights, light_place
from jobs.models import Commission, Room, StepKind, VisitKind, VisitState, Workshop
from jobs.queries.workshop import the_workshop
from jobs.words import short_day, time_in_words


@dataclass(frozen=True)
class DayLight:
    """The photo window of one return day in words."""

    day: str
    hours: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class RoomLight:
    room: Room
    notes: Sequence[LightNote]
    days: tuple[DayLight, ...]
    why_none: str


def light_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Each room's light notes, and what the first, middle and last day of the return range offer."""
    workshop = _workshop()
    rooms = commission.rooms.prefetch_related("light_notes")
    return {"rooms": [_room_light(room, commission, workshop, now) for room in rooms]}


def _room_light(room: Room, commission: Commission, workshop: Workshop, now: dt.datetime) -> RoomLight:
    notes = list(room.light_notes.all())
    place = light_place(commission)
    if place is None:
        return RoomLight(room, notes, (), "The site has no coordinates, so no photo window can be worked out.")
    if not notes and room.window_facing_deg is None:
        return RoomLight(room, notes, (), "No light note yet, and nobody noted which way the window faces.")
    standing = standing_handover(commission)
    start = workshop.local_day(standing.handed_over_at if standing else now)
    every = return_days(
        start,
        commission.return_first_day or workshop.return_first_day,
        commission.return_last_day or workshop.return_last_day,
    )
    shown = [every[0], every[len(every) // 2], every[-1]]
    days = []
    for light in day_lights(room, place, shown, workshop.tz):
        hours = "none"
        if isinstance(light, PhotoWindow):
            hours = f"{time_in_words(light.starts_at.time())} to {time_in_words(light.ends_at.time())}"
        days.append(DayLight(short_day(light.day), hours, (light_sentence(light), overcast_sentence(light.overcast))))
    return RoomLight(room, notes, tuple(days), "")


def handover_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """The standing handover with its return visit and packs, those undone, or what stands in the way of one."""
    standing = standing_handover(commission)
    fitting = commission.steps.filter(kind=StepKind.FIT, finished_at__isnull=True).exists()
    return {
        "handover": standing,
        "visit": standing.return_visit if standing else None,
        "packs": list(standing.packs.all()) if standing else [],
        "return_visits": list(
            commission.visits.filter(kind=VisitKind.RETURN, state__in=[VisitState.ARRANGED, VisitState.DONE])
        ),
        "undone": list(commission.handovers.filter(undone_at__isnull=False)),
        "is_fitting_open": fitting,
    }


def standing_handover(commission: Commission) -> Handover | None:
    return (
        Handover.objects.filter(commission=commission, undone_at__isnull=True)
        .select_related("return_visit__person", "by")
        .first()
    )


def _workshop() -> Workshop:
    workshop = the_workshop()
    assert workshop is not None  # no page of a commission without a workshop
    return workshop
