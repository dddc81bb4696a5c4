"""Photo windows: the hours of other days whose light comes nearest to what was noted in the room.

The note wins; general rules serve only a room without one. However many rooms and days are asked about, the sun
is asked a handful of times, each time on one array.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

import numpy as np

from aftercare.light import general, sphere, sun
from aftercare.light.errors import LightError
from aftercare.light.follow import Matches, NoteRows, follow
from aftercare.light.rows import DayRows, IntArray, day_rows, overcast_ranges
from aftercare.light.sphere import FloatArray
from aftercare.light.sun import Place
from aftercare.light.values import (
    Aspect,
    Basis,
    LightNote,
    NoWindow,
    PhotoWindow,
    Reason,
    TimeRange,
    WindowRequest,
)

DayLight = PhotoWindow | NoWindow


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
    rows = day_rows(requests)
    answers: list[DayLight | None] = [None] * len(rows)
    stage = _Stage(requests, rows, [day for request in requests for day in request.days])
    _answer_by_notes(stage, answers)
    _answer_by_rule(stage, answers)
    done = iter(answers)
    return [[_certain(next(done)) for _ in request.days] for request in requests]


def check_note(place: Place, note: LightNote) -> sun.SunPositions:
    """Where the sun stood at a note; LightError("noted_at") if it was down. Arrays of shape (1,)."""
    found = sun.positions_at(place, [note.noted_at])
    if not found.elevation_deg[0] > sun.SUNRISE_ELEVATION_DEG:
        raise _sun_was_down(note)
    return found


class _Stage:
    """Everything the answers share, worked out once."""

    def __init__(self, requests: Sequence[WindowRequest], rows: DayRows, days: list[date]) -> None:
        self.requests, self.rows, self.days = requests, rows, days
        self._overcast_starts, self._overcast_ends = overcast_ranges(rows)

    def zone(self, row: int) -> tzinfo:
        return self.requests[self.rows.request[row]].zone

    def overcast(self, row: int) -> TimeRange | None:
        starts_at = sun.to_local(self._overcast_starts[row], self.zone(row))
        ends_at = sun.to_local(self._overcast_ends[row], self.zone(row))
        return None if starts_at is None or ends_at is None else TimeRange(starts_at, ends_at)


@dataclass(frozen=True)
class _Room:
    """What the sun at the best moment does in the room; arrays, NaN where unknown."""

    enters: FloatArray
    strikes: FloatArray
    reach_mm: FloatArray


def _room(rows: DayRows, index: IntArray, bearing: FloatArray, elevation: FloatArray) -> _Room:
    facing, doors = rows.facing_deg[index], rows.furniture_facing_deg[index]
    turn = sphere.turn_between_deg(bearing, facing)
    above = elevation > np.maximum(rows.obstruction_deg[index], sun.SUNRISE_ELEVATION_DEG)
    enters = np.where(np.isnan(facing), np.nan, (np.abs(turn) < 90.0) & above)
    lit = sun.incidence_deg(bearing, elevation, 90.0, doors) < 90.0
    strikes = np.where(np.isnan(facing) | np.isnan(doors), np.nan, (enters == 1.0) & lit)
    with np.errstate(divide="ignore", invalid="ignore"):
        # The profile angle: the sun's slope as seen along the window's normal.
        reach = rows.head_mm[index] * np.cos(np.radians(turn)) / np.tan(np.radians(elevation))
    return _Room(enters, strikes, np.where((enters == 1.0) & (elevation > 0.5), reach, np.nan))


def _answer_by_notes(stage: _Stage, answers: list[DayLight | None]) -> None:
    notes = _note_rows(stage)
    if not len(notes.day):
        return
    found = follow(stage.rows, notes)
    # Best score first within each day; of equals the earlier note. The first of each day is the day's answer.
    order = np.lexsort((notes.note, -found.score, notes.day))
    chosen = order[np.unique(notes.day[order], return_index=True)[1]]
    room = _room(stage.rows, notes.day[chosen], found.bearing_deg[chosen], found.elevation_deg[chosen])
    for place_in_room, row in enumerate(chosen):
        answers[notes.day[row]] = _note_answer(stage, notes, found, room, int(row), place_in_room)


def _note_rows(stage: _Stage) -> NoteRows:
    """Every note on every day of its request."""
    pairs = [(r, n) for r, request in enumerate(stage.requests) for n in range(len(request.notes))]
    if not pairs:
        empty = np.zeros(0)
        return NoteRows(empty.astype(np.intp), empty.astype(np.intp), empty, empty)
    noted = [stage.requests[r].notes[n] for r, n in pairs]
    places = np.array(
        [(stage.requests[r].place.latitude_deg, stage.requests[r].place.longitude_deg) for r, _ in pairs]
    )
    at_note = sun.positions(places[:, 0], places[:, 1], [note.noted_at.timestamp() for note in noted])
    for down in np.flatnonzero(~(at_note.elevation_deg > sun.SUNRISE_ELEVATION_DEG)):
        raise _sun_was_down(noted[down])
    counts = np.array([len(request.days) for request in stage.requests], dtype=np.intp)
    firsts = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.intp)
    days = np.concatenate([firsts[r] + np.arange(counts[r]) for r, _ in pairs])
    pair = np.repeat(np.arange(len(pairs)), [counts[r] for r, _ in pairs])
    which = np.array([n for _, n in pairs], dtype=np.intp)[pair]
    return NoteRows(days, which, at_note.azimuth_deg[pair], at_note.elevation_deg[pair])


def _note_answer(
    stage: _Stage, notes: NoteRows, found: Matches, room: _Room, row: int, place_in_room: int
) -> DayLight:
    day_row = int(notes.day[row])
    day, zone, overcast = stage.days[day_row], stage.zone(day_row), stage.overcast(day_row)
    note = stage.requests[stage.rows.request[day_row]].notes[notes.note[row]]
    best_at = sun.to_local(found.best_unix[row], zone)
    if best_at is None:
        return NoWindow(day, Reason.NEVER_THERE, note, float(notes.bearing_deg[row]), None, overcast)
    bearing, elevation = float(found.bearing_deg[row]), float(found.elevation_deg[row])
    if not found.score[row]:
        reason = Reason.OBSTRUCTED if found.obstructed[row] else Reason.SUN_DOWN
        return NoWindow(day, reason, note, bearing, elevation, overcast)
    return PhotoWindow(
        day=day,
        starts_at=sun.to_local(found.starts_unix[row], zone) or best_at,
        best_at=best_at,
        ends_at=sun.to_local(found.ends_unix[row], zone) or best_at,
        score=int(found.score[row]),
        basis=Basis.NOTE,
        bearing_deg=bearing,
        elevation_deg=elevation,
        note=note,
        note_elevation_deg=float(notes.elevation_deg[row]),
        sun_enters=_flag(room.enters[place_in_room]),
        sun_strikes_doors=_flag(room.strikes[place_in_room]),
        reach_mm=_whole(room.reach_mm[place_in_room]),
        overcast=overcast,
    )


def _answer_by_rule(stage: _Stage, answers: list[DayLight | None]) -> None:
    left = np.array([row for row, answer in enumerate(answers) if answer is None], dtype=np.intp)
    if not len(left):
        return
    found = general.general_windows(stage.rows)
    room = _room(stage.rows, left, found.bearing_deg[left], found.elevation_deg[left])
    for place_in_room, row in enumerate(left.tolist()):
        answers[row] = _rule_answer(stage, found, room, row, place_in_room)


def _rule_answer(stage: _Stage, found: general.RuleWindows, room: _Room, row: int, place_in_room: int) -> DayLight:
    day, zone, overcast = stage.days[row], stage.zone(row), stage.overcast(row)
    if stage.requests[stage.rows.request[row]].aspect is None:
        return NoWindow(day, Reason.NOTHING_RECORDED, overcast=overcast)
    best_at = sun.to_local(found.best_unix[row], zone)
    if best_at is None or not found.score[row]:
        low = stage.rows.noon_elevation_deg[row] <= general.GOOD_ELEVATION_DEG
        return NoWindow(day, Reason.TOO_LOW if low else Reason.DIRECT_SUN, overcast=overcast)
    strikes = _flag(room.strikes[place_in_room])
    score = int(found.score[row])
    return PhotoWindow(
        day=day,
        starts_at=sun.to_local(found.starts_unix[row], zone) or best_at,
        best_at=best_at,
        ends_at=sun.to_local(found.ends_unix[row], zone) or best_at,
        # Sun across polished doors spoils a photograph, whatever the rule says of the window.
        score=max(1, score // 2) if strikes else score,
        basis=Basis.GENERAL_RULE,
        bearing_deg=float(found.bearing_deg[row]),
        elevation_deg=float(found.elevation_deg[row]),
        sun_enters=_flag(room.enters[place_in_room]),
        sun_strikes_doors=strikes,
        reach_mm=_whole(room.reach_mm[place_in_room]),
        overcast=overcast,
    )


def _sun_was_down(note: LightNote) -> LightError:
    when: datetime = note.noted_at
    return LightError(
        "noted_at",
        f"The sun was down at {when:%H:%M} on {when.day} {when:%B %Y}: "
        "a light note is taken by daylight, so correct the time or the place.",
    )


def _flag(value: float) -> bool | None:
    return None if np.isnan(value) else bool(value)


def _whole(value: float) -> int | None:
    return None if np.isnan(value) else round(float(value))


def _certain(answer: DayLight | None) -> DayLight:
    assert answer is not None
    return answer
