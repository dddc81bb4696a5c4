"""A year of light at one room: for each day the good hours, sunrise and sunset on the local clock, and its twin
in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from itertools import groupby

from aftercare.light.answers import DayLight
from aftercare.light.clocks import ClockChange, clock_changes
from aftercare.light.errors import LightError
from aftercare.light.match import photo_windows
from aftercare.light.sun import SUNRISE_ELEVATION_DEG, Place, SunDay, sun_days
from aftercare.light.values import Aspect, LightNote, PhotoWindow
from aftercare.light.words import change_sentence, light_sentence, sun_sentence

DAY_MINUTES = 1440.0


@dataclass(frozen=True)
class DayOfLight:
    """Minutes are counted on the local clock from the day's midnight; None where there is nothing to show."""

    sun: SunDay
    light: DayLight

    @property
    def day(self) -> date:
        return self.sun.day

    @property
    def daylight_minutes(self) -> tuple[float, float] | None:
        """Sunrise and sunset; the whole day where the sun does not set."""
        if self.sun.rises_at is None or self.sun.sets_at is None:
            return (0.0, DAY_MINUTES) if self.sun.noon_elevation_deg > SUNRISE_ELEVATION_DEG else None
        return clock_minutes(self.sun.rises_at, self.day), clock_minutes(self.sun.sets_at, self.day)

    @property
    def window_minutes(self) -> tuple[float, float, float] | None:
        """Start, best and end of the photo window."""
        if not isinstance(self.light, PhotoWindow):
            return None
        start, best, end = (
            clock_minutes(moment, self.day)
            for moment in (self.light.starts_at, self.light.best_at, self.light.ends_at)
        )
        return start, best, end


@dataclass(frozen=True)
class YearOfLight:
    """`return_range` is the first and last day on which the return visit may be; `best_return` the best of them."""

    days: tuple[DayOfLight, ...]
    changes: tuple[ClockChange, ...]
    notes: tuple[LightNote, ...]
    zone: tzinfo
    return_range: tuple[date, date] | None = None
    best_return: DayOfLight | None = None

    @property
    def first_day(self) -> date:
        return self.days[0].day


def year_of_light(
    place: Place,
    notes: Sequence[LightNote],
    zone: tzinfo,
    first_day: date,
    day_count: int = 365,
    aspect: Aspect | None = None,
    return_range: tuple[date, date] | None = None,
) -> YearOfLight:
    """Every day from `first_day`. Raises LightError for a note by night, no days, or a range turned round."""
    if not 1 <= day_count <= 3660:
        raise LightError("day_count", f"A picture of {day_count} days cannot be drawn: ask for 1 to 3660.")
    if return_range is not None and return_range[1] < return_range[0]:
        raise LightError("return_range", "The last return day is before the first: put the two days in order.")
    dates = [first_day + timedelta(n) for n in range(day_count)]
    lights = photo_windows(place, notes, dates, zone, aspect)
    days = tuple(DayOfLight(*pair) for pair in zip(sun_days(place, dates, zone), lights, strict=True))
    return YearOfLight(
        days=days,
        changes=tuple(clock_changes(zone, dates[0], dates[-1])),
        notes=tuple(notes),
        zone=zone,
        return_range=return_range,
        best_return=_best_return(days, return_range),
    )


def month_lines(year: YearOfLight) -> list[str]:
    """The picture in words: a line for each month, told by the day nearest its middle, and the clock changes."""
    lines = []
    for (calendar_year, month), group in groupby(year.days, key=lambda each: (each.day.year, each.day.month)):
        middle = min(group, key=lambda each: abs(each.day.day - 15))
        words = f"{middle.day:%B} {calendar_year}, about the {middle.day.day}{_ordinal(middle.day.day)}:"
        lines.append(f"{words} {light_sentence(middle.light)} {sun_sentence(middle.sun)}")
        lines.extend(
            change_sentence(change)
            for change in year.changes
            if (change.day.year, change.day.month) == (calendar_year, month)
        )
    return lines


def clock_minutes(moment: datetime, day: date) -> float:
    """Minutes the clock shows past midnight of `day`; over 1440 for a moment of the next date."""
    clock = moment.hour * 60 + moment.minute + moment.second / 60
    return clock + (moment.date() - day).days * DAY_MINUTES


def _best_return(days: tuple[DayOfLight, ...], return_range: tuple[date, date] | None) -> DayOfLight | None:
    """The day of the range with the best score; of equals the earliest."""
    if return_range is None:
        return None
    offered = [d for d in days if return_range[0] <= d.day <= return_range[1] and isinstance(d.light, PhotoWindow)]
    return max(offered, key=_score, default=None)


def _score(day: DayOfLight) -> int:
    return day.light.score if isinstance(day.light, PhotoWindow) else 0


def _ordinal(number: int) -> str:
    return "th" if 10 < number < 14 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
