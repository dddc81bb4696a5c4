"""Photo windows: the hours of other days whose light comes nearest to what was noted in the room.

The note wins; general rules serve only a room without one. However many rooms and days are asked about, the sun
is asked a handful of times, each time on one array.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, tzinfo

import numpy as np

from aftercare.light import sun
from aftercare.light.answers import DayLight, Stage, note_answer, room_light, rule_answer
from aftercare.light.errors import LightError
from aftercare.light.follow import NoteRows, follow
from aftercare.light.general import general_windows
from aftercare.light.rows import day_rows
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, LightNote, WindowRequest


def photo_window(
    place: Place, notes: Sequence[LightNote], day: date, zone: tzinfo, aspect: Aspect | None = None
) -> DayLight:
    """What one day offers. Raises LightError("noted_at") for a note taken while the sun was down."""
    return photo_windows(place, notes, [day], zone, aspect)[0]


def photo_windows(
    place: Place, notes: Sequence[LightNote], days: Sequence[date], zone: tzinfo, aspect: Aspect | None = None
) -> list[DayLight]:
    """The same for many days, in their order."""
    return photo_windows_for([WindowRequest(place, tuple(notes), tuple(days), zone, aspect)])[0]


def photo_windows_for(requests: Sequence[WindowRequest]) -> list[list[DayLight]]:
    """The same for many rooms: one list for each request, in the order of its days."""
    stage = Stage(requests, day_rows(requests))
    found = _by_notes(stage)
    left = [row for row in range(len(stage.days)) if row not in found]
    if left:
        windows = general_windows(stage.rows)
        room = room_light(stage.rows, np.arange(len(stage.rows)), windows.bearing_deg, windows.elevation_deg)
        found.update({row: rule_answer(stage, windows, room, row) for row in left})
    in_order = iter(range(len(stage.days)))
    return [[found[next(in_order)] for _ in request.days] for request in requests]


def check_note(place: Place, note: LightNote, zone: tzinfo | None = None) -> sun.SunPositions:
    """Where the sun stood at a note; LightError("noted_at") if it was down. Arrays of shape (1,).

    The refusal names the hour on the zone's clock; without a zone, on the clock the note carries.
    """
    return _suns_at_notes([place], [note], [zone])


def _by_notes(stage: Stage) -> dict[int, DayLight]:
    """The best note's answer for every day row whose request has notes."""
    notes = _note_rows(stage)
    if not len(notes.day):
        return {}
    found = follow(stage.rows, notes)
    room = room_light(stage.rows, notes.day, found.bearing_deg, found.elevation_deg)
    # Best score first within each day; of equals the earlier note. The first of each day is the day's answer.
    order = np.lexsort((notes.note, -found.score, notes.day))
    chosen = order[np.unique(notes.day[order], return_index=True)[1]]
    return {int(notes.day[row]): note_answer(stage, notes, found, room, int(row)) for row in chosen}


def _note_rows(stage: Stage) -> NoteRows:
    """Every note on every day of its request."""
    pairs = [(r, n) for r, request in enumerate(stage.requests) for n in range(len(request.notes))]
    if not pairs:
        no_index, no_angle = np.zeros(0, dtype=np.intp), np.zeros(0)
        return NoteRows(no_index, no_index, no_angle, no_angle)
    asked = [stage.requests[r] for r, _ in pairs]
    at_note = _suns_at_notes(
        [request.place for request in asked],
        [request.notes[n] for request, (_, n) in zip(asked, pairs, strict=True)],
        [request.zone for request in asked],
    )
    counts = np.array([len(request.days) for request in stage.requests], dtype=np.intp)
    firsts = np.cumsum(counts) - counts
    days = np.concatenate([firsts[r] + np.arange(counts[r]) for r, _ in pairs])
    pair = np.repeat(np.arange(len(pairs)), [counts[r] for r, _ in pairs])
    which = np.array([n for _, n in pairs], dtype=np.intp)[pair]
    return NoteRows(days, which, at_note.azimuth_deg[pair], at_note.elevation_deg[pair])


def _suns_at_notes(
    places: Sequence[Place], notes: Sequence[LightNote], zones: Sequence[tzinfo | None]
) -> sun.SunPositions:
    """Arrays like the notes; the first note of the night is refused."""
    found = sun.positions(
        [place.latitude_deg for place in places],
        [place.longitude_deg for place in places],
        [note.noted_at.timestamp() for note in notes],
    )
    down = np.flatnonzero(~(found.elevation_deg > sun.SUNRISE_ELEVATION_DEG))
    if len(down):
        first = down[0]
        # Stored notes come back in UTC: astimezone(None) would be the machine's clock, so their own is kept.
        when = notes[first].noted_at.astimezone(zones[first] or notes[first].noted_at.tzinfo)
        raise LightError(
            "noted_at",
            f"The sun was down at {when:%H:%M} on {when.day} {when:%B %Y}: "
            "a light note is taken by daylight, so correct the time or the place.",
        )
    return found
