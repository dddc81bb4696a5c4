"""Working days of a workshop: bank holidays of a UK nation, weekdays worked, closures, each with its reason.

Pure: no Django, no clock, no input or output. Bank holidays come from the `holidays` library, imported on
first use. That library lists both the weekend day and its substitute (Boxing Day 2026: Saturday the 26th and
Monday the 28th); the official list has only the substitute, so `bank_holidays` keeps weekdays only.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

__all__ = [
    "MONTH_NAMES",
    "NATIONS",
    "WEEKDAY_NAMES",
    "DayRange",
    "add_working_days",
    "bank_holidays",
    "closed_because",
    "covering",
    "date_in_words",
    "days_between",
    "is_working_day",
    "working_days",
]

# Each nation of the United Kingdom and the library's name for it. England and Wales share one list by law.
NATIONS: dict[str, str] = {
    "england": "ENG",
    "wales": "WLS",
    "scotland": "SCT",
    "northern_ireland": "NIR",
}

# Written out, not taken from strftime, so that a server's locale cannot change what a client reads.
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTH_NAMES = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
SATURDAY = 5
# Nobody waits longer than this for a working day; past it the settings are wrong.
LONGEST_SEARCH_DAYS = 3 * 366


@dataclass(frozen=True)
class DayRange:
    """A run of whole days, both ends included, with the reason in words ("summer closure")."""

    first: date
    last: date
    reason: str = ""

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError(
                f"The range ends on {date_in_words(self.last)}, before it begins on "
                f"{date_in_words(self.first)}: put the earlier day first."
            )

    def covers(self, day: date) -> bool:
        return self.first <= day <= self.last


def date_in_words(day: date) -> str:
    """ "Thursday 5 November 2026", the same on every server."""
    return f"{WEEKDAY_NAMES[day.weekday()]} {day.day} {MONTH_NAMES[day.month - 1]} {day.year}"


def days_between(first: date, last: date) -> Iterator[date]:
    """Every day from `first` to `last`, both included; none when `last` is earlier."""
    for offset in range((last - first).days + 1):
        yield first + timedelta(days=offset)


def covering(ranges: Iterable[DayRange], day: date) -> DayRange | None:
    """The first of `ranges` that holds `day`, or None."""
    return next((span for span in ranges if span.covers(day)), None)


def bank_holidays(nation: str, first: date, last: date) -> dict[date, str]:
    """Bank holidays of a nation from `first` to `last`, both included, weekdays only, in date order.

    The value is the name, with "(substitute day)" where the holiday itself falls at a weekend.
    Raises ValueError for a nation that is not one of NATIONS.
    """
    found: dict[date, str] = {}
    for year in range(first.year, last.year + 1):
        for day, name in _named_days(nation, year).items():
            if first <= day <= last and day.weekday() < SATURDAY:
                found[day] = name
    return found


def closed_because(
    day: date, *, nation: str, weekdays: Collection[int], closures: Iterable[DayRange] = ()
) -> str | None:
    """Why `day` is not worked, in words, or None when it is a working day.

    `weekdays` are the weekdays worked, Monday 0 to Sunday 6. A holiday that falls at a weekend and has its
    substitute later is no bank holiday, but a workshop that works on Saturdays still does not visit a
    client on Boxing Day: such a day is closed too and is called by its name.
    """
    name = _named_days(nation, day.year).get(day)
    if name is not None:
        return f"bank holiday: {name}" if day.weekday() < SATURDAY else f"holiday at the weekend: {name}"
    if day.weekday() not in weekdays:
        return f"{WEEKDAY_NAMES[day.weekday()]} is not worked"
    closure = covering(closures, day)
    if closure is not None:
        return f"workshop closed: {closure.reason or 'no reason noted'}"
    return None


def is_working_day(day: date, *, nation: str, weekdays: Collection[int], closures: Iterable[DayRange] = ()) -> bool:
    """Whether `day` is worked; the reason where it is not comes from `closed_because`."""
    return closed_because(day, nation=nation, weekdays=weekdays, closures=closures) is None


def working_days(
    first: date,
    last: date,
    *,
    nation: str,
    weekdays: Collection[int],
    closures: Iterable[DayRange] = (),
) -> list[date]:
    """The working days from `first` to `last`, both included."""
    shut = tuple(closures)
    return [
        day
        for day in days_between(first, last)
        if is_working_day(day, nation=nation, weekdays=weekdays, closures=shut)
    ]


def add_working_days(
    start: date,
    count: int,
    *,
    nation: str,
    weekdays: Collection[int],
    closures: Iterable[DayRange] = (),
) -> date:
    """The day `count` working days after `start` (before it when negative); `start` itself is not counted.

    With `count` 0 it is `start`, or the next working day when `start` is not worked. Raises ValueError when
    three years hold too few working days, which means that the weekdays or closures are wrong.
    """
    shut = tuple(closures)
    step = timedelta(days=-1 if count < 0 else 1)
    day, left = start, abs(count)
    for _ in range(LONGEST_SEARCH_DAYS + 2 * abs(count)):
        worked = is_working_day(day, nation=nation, weekdays=weekdays, closures=shut)
        if worked and left == 0:
            return day
        day += step
        if left and is_working_day(day, nation=nation, weekdays=weekdays, closures=shut):
            left -= 1
    raise ValueError("No working day in three years: check the weekdays worked and the closures.")


@lru_cache(maxsize=256)
def _named_days(nation: str, year: int) -> dict[date, str]:
    """All named days of a year, weekend ones included, in date order. Read-only for callers."""
    if nation not in NATIONS:
        known = ", ".join(NATIONS)
        raise ValueError(f"Nation: {nation!r} is not known; choose one of {known}.")
    import holidays  # on first use: the library is not needed by a request that asks for no date

    listed = holidays.country_holidays("GB", subdiv=NATIONS[nation], years=year, language="en_GB")
    return {
        day: name.replace("(observed)", "(substitute day)")
        for day, name in sorted(listed.items())
        if day.year == year
    }
