"""Plain sentences for screens, mail and paper. Clock times are rounded to the minute, heights to the degree."""

from __future__ import annotations

from datetime import date, datetime, timedelta, tzinfo

from aftercare.light.answers import DayLight
from aftercare.light.clocks import ClockChange, clock_changes, offset_minutes
from aftercare.light.nearest import MatchSearch
from aftercare.light.sun import SUNRISE_ELEVATION_DEG, SunDay
from aftercare.light.values import Basis, NoWindow, PhotoWindow, Reason, TimeRange

# A difference that rounds to this or less is called the same height.
_SAME_HEIGHT_DEG = 1

_NO_WINDOW = {
    Reason.SUN_DOWN: "No photo window: the sun is down when it comes to the note's bearing.",
    Reason.OBSTRUCTED: "No photo window: the sun stays behind what stands opposite at the note's bearing.",
    Reason.NEVER_THERE: "No photo window: the sun never stands at the note's bearing on this day.",
    Reason.TOO_LOW: "No photo window by the general rule (no light note): the sun stays under 15° all day.",
    Reason.DIRECT_SUN: (
        "No photo window by the general rule (no light note): the sun shines straight in whenever it is high enough."
    ),
    Reason.NOTHING_RECORDED: (
        "No photo window: record a light note, or which way the window faces, and this day can be judged."
    ),
}


def time_words(moment: datetime) -> str:
    """09:31, to the nearest minute."""
    return f"{moment + timedelta(seconds=30):%H:%M}"


def day_words(day: date, this_year: int | None = None) -> str:
    """4 March, or 4 March 2027 where the year is another (or none is given)."""
    words = f"{day.day} {day:%B}"
    return words if day.year == this_year else f"{words} {day.year}"


def height_words(window: PhotoWindow) -> str:
    """How the sun's height compares with the note's, and what that does to the light; "" without a note."""
    difference_deg = window.height_difference_deg
    if difference_deg is None:
        return ""
    rounded_deg = round(difference_deg)
    if abs(rounded_deg) <= _SAME_HEIGHT_DEG:
        return "the sun stands as high as at the note"
    lower = rounded_deg < 0
    words = f"the sun stands {abs(rounded_deg)}° {'lower' if lower else 'higher'}"
    if window.sun_enters is False:
        # Its light comes round by the sky and the walls opposite: nothing reaches in directly.
        return words
    return f"{words}: light {'reaches further in' if lower else 'falls shorter'}"


def light_sentence(light: DayLight) -> str:
    """One sentence on what the day offers, window or none."""
    if isinstance(light, NoWindow):
        return _NO_WINDOW[light.reason]
    hours = f"{time_words(light.starts_at)} to {time_words(light.ends_at)}"
    if light.basis is Basis.GENERAL_RULE:
        return f"By the general rule (no light note), the light is indirect from {hours}."
    return f"Photo window {hours}, best {time_words(light.best_at)}; {height_words(light)}."


def doors_sentence(light: DayLight) -> str | None:
    """Whether direct sun falls on the doors; None where facings are not recorded or there is no window."""
    if isinstance(light, NoWindow) or light.sun_strikes_doors is None:
        return None
    if light.sun_strikes_doors:
        return f"On a clear day direct sun strikes the doors at {time_words(light.best_at)}: expect glare."
    return "No direct sun on the doors."


def reach_sentence(light: DayLight) -> str | None:
    """How far in the sun patch reaches; None where not known or not to the point (beyond any room)."""
    if isinstance(light, NoWindow) or light.reach_mm is None or light.reach_mm > 20_000:
        return None
    return f"Direct light reaches {light.reach_mm / 1000:.1f} m in across the floor."


def overcast_sentence(overcast: TimeRange | None) -> str:
    if overcast is None:
        return "Overcast: no daylight worth a photograph."
    return f"Overcast: any time between {time_words(overcast.starts_at)} and {time_words(overcast.ends_at)}."


def sun_sentence(sun_day: SunDay) -> str:
    if sun_day.rises_at is None or sun_day.sets_at is None:
        up = sun_day.noon_elevation_deg > SUNRISE_ELEVATION_DEG
        return "The sun does not set." if up else "The sun does not rise."
    return f"Sunrise {time_words(sun_day.rises_at)}, sunset {time_words(sun_day.sets_at)}."


def match_sentence(search: MatchSearch) -> str:
    """Whether the days on offer have the note's light, when it comes back, and what is nearest."""
    year = search.earliest.year
    nearest, first = search.nearest, search.first_match
    if search.matched and nearest is not None:
        return f"Nearest is {day_words(nearest.day, year)} at {time_words(nearest.best_at)}{_difference(nearest)}."
    back = (
        "cannot be matched within a year"
        if first is None
        else f"cannot be matched before {day_words(first.day, year)}"
    )
    if nearest is None:
        return f"The light of the note {back}; choose by the overcast hours."
    when = f"{day_words(nearest.day, year)} at {time_words(nearest.best_at)}"
    return f"The light of the note {back}; nearest is {when}{_difference(nearest)}."


def clock_change_sentence(noted_on: date, day: date, zone: tzinfo) -> str | None:
    """What the clocks do between the note and another day; None where they do nothing.

    "Clocks go back on 25 October: the same sun is an hour earlier on the clock."
    """
    earlier, later = sorted((noted_on, day))
    changes = clock_changes(zone, earlier, later)
    if not changes:
        return None
    minutes = offset_minutes(zone, day) - offset_minutes(zone, noted_on)
    return f"Clocks go {_change_words(changes, earlier.year)}: {_shift_words(minutes)}."


def change_sentence(change: ClockChange, this_year: int | None = None) -> str:
    return f"Clocks go {_change_words([change], this_year)}."


def _change_words(changes: list[ClockChange], this_year: int | None) -> str:
    words = [f"{'forward' if c.minutes > 0 else 'back'} on {day_words(c.day, this_year)}" for c in changes]
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _shift_words(minutes: int) -> str:
    if not minutes:
        return "between these two days the clock agrees again"
    span = {60: "an hour", 120: "two hours"}.get(abs(minutes), f"{abs(minutes)} minutes")
    return f"the same sun is {span} {'later' if minutes > 0 else 'earlier'} on the clock"


def _difference(window: PhotoWindow) -> str:
    words = height_words(window)
    return f", {words}" if words else ""
