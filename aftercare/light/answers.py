"""From arrays to answers: one PhotoWindow or NoWindow for a row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import numpy.typing as npt

from aftercare.light import sphere, sun
from aftercare.light.follow import Matches, NoteRows
from aftercare.light.general import RuleWindows
from aftercare.light.rows import GOOD_ELEVATION_DEG, DayRows, overcast_ranges
from aftercare.light.sphere import FloatArray
from aftercare.light.values import (
    Basis,
    NoWindow,
    PhotoWindow,
    Reason,
    TimeRange,
    WindowRequest,
)

DayLight = PhotoWindow | NoWindow


class Stage:
    """The requests and everything their answers share."""

    def __init__(self, requests: Sequence[WindowRequest], rows: DayRows) -> None:
        self.requests, self.rows = requests, rows
        self.days = [day for request in requests for day in request.days]
        self._overcast_starts, self._overcast_ends = overcast_ranges(rows)

    def request(self, row: int) -> WindowRequest:
        return self.requests[self.rows.request[row]]

    def overcast(self, row: int) -> TimeRange | None:
        return _range(self._overcast_starts[row], self._overcast_ends[row], self.request(row).zone)


@dataclass(frozen=True)
class RoomLight:
    """What the sun of a moment does in the room; arrays, NaN where unknown. Flags are 0 or 1."""

    enters: FloatArray
    strikes_doors: FloatArray
    reach_mm: FloatArray


def room_light(
    rows: DayRows, day_row: npt.NDArray[np.intp], bearing_deg: FloatArray, elevation_deg: FloatArray
) -> RoomLight:
    """`day_row` says to which day row each bearing and elevation belongs; all three of one length."""
    facing, doors = rows.facing_deg[day_row], rows.furniture_facing_deg[day_row]
    turn = sphere.turn_between_deg(bearing_deg, facing)
    above = elevation_deg > np.maximum(rows.obstruction_deg[day_row], sun.SUNRISE_ELEVATION_DEG)
    enters = np.where(np.isnan(facing), np.nan, (np.abs(turn) < 90.0) & above)
    on_doors = sun.incidence_deg(bearing_deg, elevation_deg, 90.0, doors) < 90.0
    strikes = np.where(np.isnan(facing) | np.isnan(doors), np.nan, (enters == 1.0) & on_doors)
    with np.errstate(divide="ignore", invalid="ignore"):
        # tan(profile angle) = tan(elevation) / cos(turn): the sun's slope seen along the wall.
        reach = rows.head_mm[day_row] * np.cos(np.radians(turn)) / np.tan(np.radians(elevation_deg))
    # A sun on the horizon reaches through the whole house: no figure is given under half a degree.
    return RoomLight(enters, strikes, np.where((enters == 1.0) & (elevation_deg > 0.5), reach, np.nan))


def note_answer(stage: Stage, notes: NoteRows, found: Matches, room: RoomLight, row: int) -> DayLight:
    """`row` indexes the note rows."""
    day_row = int(notes.day[row])
    request, day, overcast = stage.request(day_row), stage.days[day_row], stage.overcast(day_row)
    note = request.notes[notes.note[row]]
    best_at = sun.to_local(found.best_unix[row], request.zone)
    if best_at is None:
        return NoWindow(day, Reason.NEVER_THERE, note, float(notes.bearing_deg[row]), None, overcast)
    bearing_deg, elevation_deg = float(found.bearing_deg[row]), float(found.elevation_deg[row])
    if not found.score[row]:
        reason = Reason.OBSTRUCTED if found.obstructed[row] else Reason.SUN_DOWN
        return NoWindow(day, reason, note, bearing_deg, elevation_deg, overcast)
    return PhotoWindow(
        day=day,
        starts_at=sun.to_local(found.starts_unix[row], request.zone) or best_at,
        best_at=best_at,
        ends_at=sun.to_local(found.ends_unix[row], request.zone) or best_at,
        score=int(found.score[row]),
        basis=Basis.NOTE,
        bearing_deg=bearing_deg,
        elevation_deg=elevation_deg,
        note=note,
        note_elevation_deg=float(notes.elevation_deg[row]),
        sun_enters=_flag(room.enters[row]),
        sun_strikes_doors=_flag(room.strikes_doors[row]),
        reach_mm=_whole(room.reach_mm[row]),
        overcast=overcast,
    )


def rule_answer(stage: Stage, found: RuleWindows, room: RoomLight, row: int) -> DayLight:
    """`row` indexes the day rows."""
    request, day, overcast = stage.request(row), stage.days[row], stage.overcast(row)
    if request.aspect is None:
        return NoWindow(day, Reason.NOTHING_RECORDED, overcast=overcast)
    best_at = sun.to_local(found.best_unix[row], request.zone)
    if best_at is None or not found.score[row]:
        low = stage.rows.noon_elevation_deg[row] <= GOOD_ELEVATION_DEG
        return NoWindow(day, Reason.TOO_LOW if low else Reason.DIRECT_SUN, overcast=overcast)
    strikes_doors, score = _flag(room.strikes_doors[row]), int(found.score[row])
    return PhotoWindow(
        day=day,
        starts_at=sun.to_local(found.starts_unix[row], request.zone) or best_at,
        best_at=best_at,
        ends_at=sun.to_local(found.ends_unix[row], request.zone) or best_at,
        # Sun across polished doors spoils a photograph, whatever the rule says of the window.
        score=max(1, score // 2) if strikes_doors else score,
        basis=Basis.GENERAL_RULE,
        bearing_deg=float(found.bearing_deg[row]),
        elevation_deg=float(found.elevation_deg[row]),
        sun_enters=_flag(room.enters[row]),
        sun_strikes_doors=strikes_doors,
        reach_mm=_whole(room.reach_mm[row]),
        overcast=overcast,
    )


def _range(starts_unix: float, ends_unix: float, zone: tzinfo) -> TimeRange | None:
    starts_at, ends_at = sun.to_local(starts_unix, zone), sun.to_local(ends_unix, zone)
    return None if starts_at is None or ends_at is None else TimeRange(starts_at, ends_at)


def _flag(value: float) -> bool | None:
    return None if np.isnan(value) else bool(value)


def _whole(value: float) -> int | None:
    return None if np.isnan(value) else round(float(value))
