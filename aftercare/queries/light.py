"""Light notes and rooms of the record as the pure light package wants them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from zoneinfo import ZoneInfo

from aftercare.light.errors import LightError
from aftercare.light.match import check_note, photo_windows_for
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, LightNote, NoWindow, PhotoWindow, WindowRequest
from jobs.models import Commission, Room


def light_place(commission: Commission) -> Place | None:
    """Where the sun is reckoned for; None where the commission has no coordinates."""
    if commission.latitude_deg is None or commission.longitude_deg is None:
        return None
    return Place(commission.latitude_deg, commission.longitude_deg)


def aspect_of(room: Room) -> Aspect | None:
    """How the room looks out; None where nobody noted which way its window faces."""
    if room.window_facing_deg is None:
        return None
    return Aspect(
        window_facing_deg=room.window_facing_deg,
        furniture_facing_deg=room.furniture_facing_deg,
        window_width_mm=room.window_width_mm,
        window_height_mm=room.window_height_mm,
        window_sill_mm=room.window_sill_mm,
        obstruction_deg=room.obstruction_deg,
    )


def day_lights(room: Room, place: Place, days: Sequence[dt.date], zone: ZoneInfo) -> list[PhotoWindow | NoWindow]:
    """What each day offers in this room. One query for its light notes.

    A note kept before the site had coordinates may turn out to lie in the night; it is left aside.
    """
    notes = tuple(note for row in room.light_notes.all() if is_by_day(place, note := LightNote(row.noted_at), zone))
    return photo_windows_for([WindowRequest(place, notes, tuple(days), zone, aspect_of(room))])[0]


def is_by_day(place: Place, note: LightNote, zone: ZoneInfo) -> bool:
    try:
        check_note(place, note, zone)
    except LightError:
        return False
    return True


def leading_room(commission: Commission) -> Room | None:
    """The room whose light leads: the first with a light note, else the first whose window facing is known."""
    rooms = list(commission.rooms.prefetch_related("light_notes"))
    with_note = [room for room in rooms if room.light_notes.all()]
    with_facing = [room for room in rooms if room.window_facing_deg is not None]
    return next(iter(with_note or with_facing), None)


def photo_windows_by_day(
    commission: Commission, days: Sequence[dt.date], zone: ZoneInfo
) -> tuple[dict[dt.date, PhotoWindow], str]:
    """The photo windows of the leading room, and one sentence where there are none. Three queries at most."""
    place, room = light_place(commission), leading_room(commission)
    if room is None:
        return {}, "No photo window: no room has a light note or a window facing yet."
    if place is None:
        return {}, "No photo window: the site has no coordinates."
    found = [light for light in day_lights(room, place, days, zone) if isinstance(light, PhotoWindow)]
    reason = "" if found else "No photo window: the sun does not come back to the noted bearing on these days."
    return {window.day: window for window in found}, reason
