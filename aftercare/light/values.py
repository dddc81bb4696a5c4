"""Value objects: what was noted in a room, how the room looks out, and what a day offers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from enum import StrEnum

from aftercare.light.errors import LightError
from aftercare.light.sun import Place


@dataclass(frozen=True)
class LightNote:
    """The moment at which the room looked best; aware."""

    noted_at: datetime

    def __post_init__(self) -> None:
        if self.noted_at.utcoffset() is None:
            raise LightError("noted_at", "The note's time has no zone: give the time together with its zone.")


@dataclass(frozen=True)
class Aspect:
    """How a room looks out. Bearings clockwise from north, 0 to under 360; lengths in whole millimetres.

    `window_facing_deg` is where somebody inside looks, straight out; `furniture_facing_deg` where the doors look.
    `obstruction_deg` is how high the roofs or trees opposite stand, seen from the window.
    """

    window_facing_deg: float
    furniture_facing_deg: float | None = None
    window_width_mm: int | None = None
    window_height_mm: int | None = None
    window_sill_mm: int | None = None
    obstruction_deg: float = 0.0

    def __post_init__(self) -> None:
        _check_bearing("window_facing_deg", "Window facing", self.window_facing_deg)
        if self.furniture_facing_deg is not None:
            _check_bearing("furniture_facing_deg", "Furniture facing", self.furniture_facing_deg)
        if not 0 <= self.obstruction_deg < 90:  # NaN fails too
            raise LightError(
                "obstruction_deg",
                f"The height of what stands opposite must be from 0 to 89 degrees, not {self.obstruction_deg}: "
                "0 is an open view.",
            )
        _check_length("window_width_mm", "Window width", self.window_width_mm, 1)
        _check_length("window_height_mm", "Window height", self.window_height_mm, 1)
        _check_length("window_sill_mm", "Sill height", self.window_sill_mm, 0)

    @property
    def window_head_mm(self) -> int | None:
        """Top of the glass above the floor; None where either measure is missing."""
        if self.window_height_mm is None or self.window_sill_mm is None:
            return None
        return self.window_sill_mm + self.window_height_mm


class Basis(StrEnum):
    NOTE = "note"
    GENERAL_RULE = "general rule"


class Reason(StrEnum):
    """Why a day has no photo window."""

    SUN_DOWN = "sun down"  # the sun is under the horizon when at the note's bearing
    OBSTRUCTED = "obstructed"  # it cleared what stands opposite on the note's day, and does not now
    NEVER_THERE = "never there"  # it never stands at that bearing (only between the tropics)
    TOO_LOW = "too low"  # general rule: it stays under 15 degrees all day
    DIRECT_SUN = "direct sun"  # general rule: it shines straight in whenever it is high enough
    NOTHING_RECORDED = "nothing recorded"  # neither a note nor a window facing


@dataclass(frozen=True)
class TimeRange:
    """Aware, on the clock of the zone asked for."""

    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True)
class PhotoWindow:
    """When the light of one day comes nearest to the note's (or to the general rule). Times are whole seconds.

    `score` 0 to 100 is this project's own scale: 100 is the sun exactly where it stood; a general rule never
    passes 60. `height_difference_deg` is negative where the sun stands lower than at the note. `reach_mm` is how
    far into the room, square to the window, direct light touches the floor; None where the sun does not enter or
    sill and height are unknown. `sun_enters` and `sun_strikes_doors` are None where the facing is unknown.
    """

    day: date
    starts_at: datetime
    best_at: datetime
    ends_at: datetime
    score: int
    basis: Basis
    bearing_deg: float
    elevation_deg: float
    note: LightNote | None = None
    note_elevation_deg: float | None = None
    sun_enters: bool | None = None
    sun_strikes_doors: bool | None = None
    reach_mm: int | None = None
    overcast: TimeRange | None = None

    @property
    def height_difference_deg(self) -> float | None:
        return None if self.note_elevation_deg is None else self.elevation_deg - self.note_elevation_deg


@dataclass(frozen=True)
class NoWindow:
    """A day whose light cannot match; an overcast day may still serve. Elevation is where the sun would be."""

    day: date
    reason: Reason
    note: LightNote | None = None
    bearing_deg: float | None = None
    elevation_deg: float | None = None
    overcast: TimeRange | None = None


@dataclass(frozen=True)
class WindowRequest:
    """One room and the days asked about. Without notes, `aspect` serves by general rule."""

    place: Place
    notes: tuple[LightNote, ...]
    days: tuple[date, ...]
    zone: tzinfo
    aspect: Aspect | None = None


def _check_bearing(field: str, name: str, bearing_deg: float) -> None:
    if not (math.isfinite(bearing_deg) and 0 <= bearing_deg < 360):
        raise LightError(
            field,
            f"{name} must be a bearing from 0 to 359 degrees, not {bearing_deg:g}: "
            "north is 0, east 90, south 180, west 270.",
        )


def _check_length(field: str, name: str, length_mm: int | None, least_mm: int) -> None:
    if length_mm is not None and not least_mm <= length_mm <= 20_000:
        raise LightError(
            field, f"{name} must be from {least_mm} to 20000 mm, not {length_mm}: leave it blank if not measured."
        )
