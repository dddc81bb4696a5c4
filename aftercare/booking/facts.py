"""What has to be known to find a time for a return visit: plain values, gathered by the caller."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Protocol
from zoneinfo import ZoneInfo

from aftercare.booking.wallclock import zone_of
from aftercare.booking.window import FIRST_DAY, LAST_DAY, range_problems
from jobs.calendar_days import NATIONS, DayRange
from jobs.travel import Place

__all__ = ["BookingFacts", "Busy", "LightWindow", "Preference", "TimeWindow"]


class LightWindow(Protocol):
    """The photo window of one date: aware instants and a score from 0 (poor) to 100 (as on the day)."""

    @property
    def starts_at(self) -> datetime: ...
    @property
    def best_at(self) -> datetime: ...
    @property
    def ends_at(self) -> datetime: ...
    @property
    def score(self) -> float: ...


@dataclass(frozen=True)
class TimeWindow:
    """Local hours of one day within which a whole visit has to lie."""

    earliest: time
    latest: time

    def __post_init__(self) -> None:
        if self.latest <= self.earliest:
            raise ValueError(
                f"Access: the window ends at {self.latest:%H:%M}, not after its start at "
                f"{self.earliest:%H:%M}; give a later end."
            )


@dataclass(frozen=True)
class Busy:
    """Another visit of the maker. `label` may be read by a client: a town, never a name.

    `known_minutes` is a journey somebody has driven between here and there; it beats the reckoned one.
    """

    starts_at: datetime
    ends_at: datetime
    place: Place | None = None
    label: str = ""
    known_minutes: int | None = None


@dataclass(frozen=True)
class Preference:
    """What the client last asked for: a weekday (Monday 0), a local time of day, or both."""

    weekday: int | None = None
    start: time | None = None


@dataclass(frozen=True)
class BookingFacts:
    """Everything a return visit depends on. Days are local dates, instants are aware, windows are local time.

    `access` gives the windows of a weekday (Monday 0); a weekday that is missing has `default_access`, an
    empty tuple means that nobody lets us in that day. `earliest` and `latest` bound the maker's own day at
    the client's door. `load` says how many other things the maker has on a day. Nothing is offered before
    `not_before`. `photo_windows` is by local date; where it has no entry, `default_time` is aimed at;
    `no_photo_window_because` says why there is none at all ("the site has no coordinates").
    """

    handed_over_on: date
    first_day: int = FIRST_DAY
    last_day: int = LAST_DAY
    zone: str = "Europe/London"
    nation: str = "england"
    weekdays: frozenset[int] = frozenset(range(5))
    closures: tuple[DayRange, ...] = ()
    client_away: tuple[DayRange, ...] = ()
    absences: tuple[DayRange, ...] = ()
    access: Mapping[int, tuple[TimeWindow, ...]] = field(default_factory=dict)
    default_access: tuple[TimeWindow, ...] = (TimeWindow(time(7), time(20)),)
    earliest: time = time(8)
    latest: time = time(18)
    busy: tuple[Busy, ...] = ()
    place: Place | None = None
    speed_kmh: float = 40.0
    winding: float = 1.3
    unknown_travel_minutes: int = 30
    duration_minutes: int = 90
    photo_windows: Mapping[date, LightWindow] = field(default_factory=dict)
    no_photo_window_because: str = ""
    default_time: time = time(10)
    preferred: Preference | None = None
    load: Mapping[date, int] = field(default_factory=dict)
    not_before: datetime | None = None

    def __post_init__(self) -> None:
        problems = [sentence for _, sentence in fact_problems(self)]
        if problems:
            raise ValueError(" ".join(problems))

    @property
    def tz(self) -> ZoneInfo:
        return zone_of(self.zone)


def fact_problems(facts: BookingFacts) -> list[tuple[str, str]]:
    """What cannot be used in the facts, as pairs of field name and sentence."""
    problems = list(range_problems(facts.first_day, facts.last_day))
    zone_of(facts.zone)
    if facts.nation not in NATIONS:
        problems.append(("nation", f"Nation: {facts.nation!r} is not one of {', '.join(NATIONS)}."))
    if not facts.weekdays <= frozenset(range(7)):
        problems.append(("weekdays", "Weekdays worked: give numbers from 0 (Monday) to 6 (Sunday)."))
    if not 15 <= facts.duration_minutes <= 12 * 60:
        problems.append(
            ("duration_minutes", f"Length of the visit: {facts.duration_minutes} min is outside 15 to 720.")
        )
    if facts.latest <= facts.earliest:
        problems.append(("latest", "Latest hour: it has to be later than the earliest hour."))
    if facts.speed_kmh <= 0 or facts.winding < 1 or facts.unknown_travel_minutes < 0:
        problems.append(
            ("speed_kmh", "Travel: the speed must be above 0 km/h, the factor 1 or more, minutes 0 or more.")
        )
    for visit in facts.busy:
        if visit.starts_at.tzinfo is None or visit.ends_at.tzinfo is None or visit.ends_at < visit.starts_at:
            problems.append(("busy", "Other visits: each needs a time zone and an end after its start."))
    if facts.not_before is not None and facts.not_before.tzinfo is None:
        problems.append(("not_before", "Not before: the time needs a time zone."))
    return problems
