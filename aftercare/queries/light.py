"""Light notes and rooms of the record as the pure light package wants them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from aftercare.light.errors import LightError
from aftercare.light.match import check_note, photo_windows_for
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, LightNote, NoWindow, PhotoWindow, WindowRequest
from jobs.models import Commission, Room, Workshop

# As the light package has it.
LONGEST_MM = 20_000


def place_of(row: Commission | Workshop) -> tuple[float, float] | None:
    """Latitude and longitude in degrees, where both are known."""
    if row.latitude_deg is None or row.longitude_deg is None:
        return None
    return row.latitude_deg, row.longitude_deg


def light_place(commission: Commission) -> Place | None:
    """Where the sun is reckoned for; None where the commission has no coordinates."""
    found = place_of(commission)
    return Place(*found) if found else None


def aspect_of(room: Room) -> Aspect | None:
    """How the room looks out; None where nobody noted which way its window faces."""
    if room.window_facing_deg is None:
        return None
    return Aspect(
        window_facing_deg=room.window_facing_deg,
        furniture_facing_deg=room.furniture_facing_deg,
        window_width_mm=_measured(room.window_width_mm, 1),
        window_height_mm=_measured(room.window_height_mm, 1),
        window_sill_mm=_measured(room.window_sill_mm, 0),
        obstruction_deg=room.obstruction_deg,
    )


def _measured(length_mm: int | None, least_mm: int) -> int | None:
    """A length the light can work with; one that cannot be true counts as not measured."""
    return length_mm if length_mm is not None and least_mm <= length_mm <= LONGEST_MM else None


def day_lights(room: Room, place: Place, days: Sequence[dt.date], zone: ZoneInfo) -> list[PhotoWindow | NoWindow]:
    """What each day offers in this room. One query for its light notes."""
    return photo_windows_for([window_request(room, place, days, zone)])[0]


def is_by_day(place: Place, note: LightNote, zone: ZoneInfo) -> bool:
    try:
        check_note(place, note, zone)
    except LightError:
        return False
    return True


def leading_room(rooms: Sequence[Room]) -> Room | None:
    """The room whose light leads: the first with a light note, else the first whose window facing is known."""
    with_note = [room for room in rooms if room.light_notes.all()]
    with_facing = [room for room in rooms if room.window_facing_deg is not None]
    return next(iter(with_note or with_facing), None)


@dataclass(frozen=True)
class LightOfDays:
    """The photo windows of a commission's leading room by day, or why there is none at all."""

    windows: Mapping[dt.date, PhotoWindow]
    why_none: str = ""


def light_of_days(
    commissions: Sequence[Commission], days: Mapping[int, Sequence[dt.date]], zone: ZoneInfo
) -> dict[int, LightOfDays]:
    """By commission, for the days asked of each. Two queries, and the sun is asked once for all of them."""
    rooms: dict[int, list[Room]] = defaultdict(list)
    for room in Room.objects.filter(commission__in=commissions).prefetch_related("light_notes"):
        rooms[room.commission_id].append(room)
    found: dict[int, LightOfDays] = {}
    requests: dict[int, WindowRequest] = {}
    for one in commissions:
        leading, place = leading_room(rooms[one.pk]), light_place(one)
        if leading is None:
            found[one.pk] = LightOfDays({}, "no room has a light note or a window facing yet")
        elif place is None:
            found[one.pk] = LightOfDays({}, "the site has no coordinates")
        else:
            requests[one.pk] = window_request(leading, place, days[one.pk], zone)
    answers = photo_windows_for(list(requests.values())) if requests else []
    for pk, lights in zip(requests, answers, strict=True):
        windows = {light.day: light for light in lights if isinstance(light, PhotoWindow)}
        found[pk] = LightOfDays(windows, "" if windows else _why_none(requests[pk]))
    return found


def _why_none(request: WindowRequest) -> str:
    if request.notes:
        return "the sun does not come back to the noted bearing then"
    return "without a light note the general rule holds, and by it there is no such light then"


def window_request(room: Room, place: Place, days: Sequence[dt.date], zone: ZoneInfo) -> WindowRequest:
    """A room and the days asked about, without notes that turn out to lie in the night.

    Such a note was kept before the site had coordinates.
    """
    notes = tuple(note for row in room.light_notes.all() if is_by_day(place, note := LightNote(row.noted_at), zone))
    return WindowRequest(place, notes, tuple(days), zone, aspect_of(room))
