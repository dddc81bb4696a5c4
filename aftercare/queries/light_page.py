"""A room's light: its notes, any day asked about, the days of the return visit, and the picture of the year."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from aftercare.booking.window import return_days
from aftercare.light.nearest import find_match
from aftercare.light.picture import YearPicture, year_picture
from aftercare.light.sun import Place, sun_days
from aftercare.light.values import Basis, LightNote, PhotoWindow, WindowRequest
from aftercare.light.words import (
    clock_change_sentence,
    doors_sentence,
    height_words,
    light_sentence,
    match_sentence,
    overcast_sentence,
    reach_sentence,
    sun_sentence,
    time_words,
)
from aftercare.light.year import DayOfLight, YearOfLight, month_lines, year_of_light
from aftercare.queries.booking_facts import range_of
from aftercare.queries.light import light_place, window_request
from aftercare.queries.sections import standing_handover
from jobs.models import Room, Workshop
from jobs.words import day_in_words, short_day

PICTURE_DAYS = 365
# How near to today a day asked about has to be: beyond, nobody's window still looks out on the same roofs.
FAR_YEARS = 10


@dataclass(frozen=True)
class DayInWords:
    """What one day offers. `score` is of 100, None where there is no photo window."""

    day: dt.date
    name: str
    hours: str
    score: int | None
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class RangeRow:
    day: str
    hours: str
    score: str
    words: str


def light_page(room: Room, day: dt.date, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Three queries: the room's notes, its readings of light, the standing handover."""
    notes = list(room.light_notes.select_related("person"))
    handover = standing_handover(room.commission)
    starts_on = workshop.local_day(handover.handed_over_at if handover else now)
    days = return_days(starts_on, *range_of(room.commission, workshop))
    page: dict[str, Any] = {
        "room": room,
        "commission": room.commission,
        "notes": notes,
        "is_handed_over": handover is not None,
        "return_first": days[0],
        "return_last": days[-1],
        "why_none": why_no_light(room, len(notes)),
    }
    place = light_place(room.commission)
    if place is None or page["why_none"]:
        return page
    request = window_request(room, place, days, workshop.tz)
    year = _year(request, workshop.local_day(now))
    return page | {
        "answer": _answer(request, day, place),
        "match": _match(request, days),
        "range": [_row(one) for one in _in_range(request, year) if one.day.weekday() in workshop.weekdays],
        "picture": _picture(year, room),
        "months": month_lines(year),
    }


def why_no_light(room: Room, note_count: int) -> str:
    """Why nothing can be said of a room's light; "" where something can."""
    if light_place(room.commission) is None:
        return "The site has no coordinates, so no photo window can be worked out."
    if not note_count and room.window_facing_deg is None:
        return "No light note yet, and nobody noted which way the window faces."
    return ""


def far_sentence(day: dt.date, today: dt.date) -> str:
    """Why a day is too far off to be asked about; "" where it is not."""
    if abs(day.year - today.year) <= FAR_YEARS:
        return ""
    return f"Day: give one between {today.year - FAR_YEARS} and {today.year + FAR_YEARS}; {day.year} is too far off."


def _answer(request: WindowRequest, day: dt.date, place: Place) -> DayInWords:
    one = _days_of(request, [day])[0]
    light = one.light
    noted_on = light.note.noted_at.astimezone(request.zone).date() if light.note else None
    told = [
        _best_words(light) if isinstance(light, PhotoWindow) else light_sentence(light),
        reach_sentence(light),
        doors_sentence(light),
        clock_change_sentence(noted_on, day, request.zone) if noted_on else None,
        overcast_sentence(light.overcast),
        sun_sentence(sun_days(place, [day], request.zone)[0]),
    ]
    return DayInWords(day, day_in_words(day), hours_words(one), _score(one), tuple(words for words in told if words))


def _match(request: WindowRequest, days: Sequence[dt.date]) -> str:
    if not request.notes:
        return ""
    return match_sentence(find_match(request.place, request.notes, days[0], days[-1], request.zone, request.aspect))


def hours_words(one: DayOfLight) -> str:
    light = one.light
    if not isinstance(light, PhotoWindow):
        return "none"
    return f"{time_words(light.starts_at)} to {time_words(light.ends_at)}"


def _row(one: DayOfLight) -> RangeRow:
    score = _score(one)
    light = one.light
    # The hours stand in a column of their own.
    words = _best_words(light) if isinstance(light, PhotoWindow) else light_sentence(light)
    return RangeRow(short_day(one.day), hours_words(one), "" if score is None else str(score), words)


def _best_words(window: PhotoWindow) -> str:
    """Without the hours, which stand beside it."""
    height = height_words(window) if window.basis is Basis.NOTE else "indirect light, by the general rule"
    return f"Best at {time_words(window.best_at)}; {height}."


def _score(one: DayOfLight) -> int | None:
    return one.light.score if isinstance(one.light, PhotoWindow) else None


def _year(request: WindowRequest, today: dt.date) -> YearOfLight:
    """A year from the first of a month, with the notes and the return visit in it where both can be."""
    first, last = request.days[0], request.days[-1]
    noted = [note.noted_at.astimezone(request.zone).date() for note in request.notes]
    starts = (min([*noted, first, today]) if noted else min(first, today)).replace(day=1)
    if starts + dt.timedelta(days=PICTURE_DAYS - 1) < last:
        starts = first.replace(day=1)
    return year_of_light(
        request.place, request.notes, request.zone, starts, PICTURE_DAYS, request.aspect, (first, last)
    )


def _in_range(request: WindowRequest, year: YearOfLight) -> list[DayOfLight]:
    return [one for one in year.days if request.days[0] <= one.day <= request.days[-1]]


def _days_of(request: WindowRequest, days: Sequence[dt.date]) -> Sequence[DayOfLight]:
    return year_of_light(request.place, request.notes, request.zone, days[0], len(days), request.aspect).days


@dataclass(frozen=True)
class Drawing:
    """The picture of the year with what a template cannot work out: its title, and where labels go."""

    picture: YearPicture
    title: str
    label_x: float
    label_anchor: str


def _picture(year: YearOfLight, room: Room) -> Drawing:
    picture = year_picture(year)
    box, frame = picture.return_box, picture.frame
    is_right = box is not None and box.x + box.width > (frame.left + frame.right) / 2
    label_x = 0.0 if box is None else (box.x - 12 if is_right else box.x + box.width + 12)
    return Drawing(picture, _title(year.notes, year, room), label_x, "end" if is_right else "start")


def _title(notes: Sequence[LightNote], year: YearOfLight, room: Room) -> str:
    where = f"{room.commission.nickname}, {room.name}"
    if not notes:
        return f"{where}: when the light is indirect, by the general rule"
    if len(notes) > 1:
        return f"{where}: when the light is as it was noted"
    noted_at = notes[0].noted_at.astimezone(year.zone)
    return f"{where}: when the light is as it was at {time_words(noted_at)} on {noted_at.day} {noted_at:%B}"


def window_facts(room: Room) -> list[tuple[str, str]]:
    """What is recorded of a room's window and doors; blank where it is not."""
    return [
        ("Window faces", _bearing(room.window_facing_deg)),
        ("Doors face", _bearing(room.furniture_facing_deg)),
        ("Window, wide × high", _size(room.window_width_mm, room.window_height_mm)),
        ("Sill above the floor", _length(room.window_sill_mm)),
        ("What stands opposite reaches", f"{room.obstruction_deg}°" if room.obstruction_deg else "0°, an open view"),
    ]


POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def _bearing(bearing_deg: int | None) -> str:
    return "" if bearing_deg is None else f"{bearing_deg}°, {POINTS[round(bearing_deg / 45) % 8]}"


def _length(length_mm: int | None) -> str:
    return "" if length_mm is None else f"{length_mm} mm"


def _size(width_mm: int | None, height_mm: int | None) -> str:
    if width_mm is None and height_mm is None:
        return ""
    return f"{'–' if width_mm is None else width_mm} × {'–' if height_mm is None else height_mm} mm"
