"""Dates to slots and back, and calendars as bit masks.

A mask is a Python int: bit s says that slot s is open. "Open for d slots in a row" is then a few shifts and ANDs.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

MORNING = 0
AFTERNOON = 1
HALVES = ("morning", "afternoon")
DAY_WORDS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTH_WORDS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip
MONDAY_TO_FRIDAY = (0, 1, 2, 3, 4)


def say_date(day: date) -> str:
    """Thursday 7 May; written out here so that no locale of the machine changes a stored sentence."""
    return f"{DAY_WORDS[day.weekday()]} {day.day} {MONTH_WORDS[day.month - 1]}"


@dataclass(frozen=True)
class HalfDayAxis:
    """The working days of the workshop in order, two slots each: slot 2i is the morning of `days[i]`."""

    days: tuple[date, ...]

    @classmethod
    def between(
        cls,
        first: date,
        last: date,
        weekdays: Collection[int] = MONDAY_TO_FRIDAY,
        closed: Collection[date] = (),
    ) -> HalfDayAxis:
        """Working days from first to last inclusive; weekdays count from Monday 0; closed days fall out."""
        span = (last - first).days
        days = (first + timedelta(days=offset) for offset in range(span + 1))
        shut = frozenset(closed)
        return cls(tuple(day for day in days if day.weekday() in weekdays and day not in shut))

    @cached_property
    def slot_count(self) -> int:
        return 2 * len(self.days)

    @cached_property
    def ordinals(self) -> tuple[int, ...]:
        """Day number (`date.toordinal`) of each slot, rising."""
        return tuple(day.toordinal() for day in self.days for _half in HALVES)

    def slot_on_or_after(self, day: date, half: int = MORNING) -> int:
        """Slot of that half-day, or of the next working morning; `slot_count` where the axis ends before it."""
        index = bisect_left(self.days, day)
        if index < len(self.days) and self.days[index] == day:
            return 2 * index + half
        return 2 * index

    def slot_after(self, day: date) -> int:
        """First slot of a later day: the exclusive end that keeps "done by the evening of day"."""
        return self.slot_on_or_after(day + timedelta(days=1))

    def date_of(self, slot: int) -> date:
        """Date of a slot; slots past either end are given the nearest day of the axis."""
        return self.days[min(max(slot, 0), self.slot_count - 1) // 2]

    def say(self, slot: int) -> str:
        """Thursday 7 May, morning."""
        if not self.days:
            return "a calendar without a working day"
        if slot >= self.slot_count:
            return f"after {say_date(self.days[-1])}"
        return f"{say_date(self.date_of(slot))}, {HALVES[slot % 2]}"

    @cached_property
    def all_open(self) -> int:
        return (1 << self.slot_count) - 1

    def mask_of_days(self, open_days: Collection[date]) -> int:
        """Both halves of each of these days that is on the axis."""
        days = frozenset(open_days)
        return sum(0b11 << (2 * index) for index, day in enumerate(self.days) if day in days)

    def mask_of_half_days(self, half_days: Iterable[tuple[date, int]]) -> int:
        """Single half-days, given as (date, MORNING or AFTERNOON)."""
        wanted = frozenset(half_days)
        return sum(
            1 << (2 * index + half)
            for index, day in enumerate(self.days)
            for half in (MORNING, AFTERNOON)
            if (day, half) in wanted
        )


@dataclass(frozen=True)
class Calendar:
    """When something may happen. `words` say whose it is: "the client is at home", "the van's days"."""

    id: str
    words: str
    open_mask: int
    any_day: str = ""
    """How "without it" is said ("the client at home on any working day")."""

    def is_open(self, slot: int) -> bool:
        return slot >= 0 and bool(self.open_mask >> slot & 1)


def calendar_of_open_days(id: str, words: str, axis: HalfDayAxis, open_days: Collection[date]) -> Calendar:
    """Open on the given days only (helper days, van days)."""
    return Calendar(id, words, axis.mask_of_days(open_days))


def calendar_without_days(
    id: str,
    words: str,
    axis: HalfDayAxis,
    closed_days: Collection[date],
    weekdays: Collection[int] = tuple(range(7)),
) -> Calendar:
    """Open on the given weekdays of the axis except the closed days (client away, sprayer's holiday)."""
    shut = frozenset(closed_days)
    days = [day for day in axis.days if day.weekday() in weekdays and day not in shut]
    return Calendar(id, words, axis.mask_of_days(days))


@dataclass(frozen=True)
class Subcontractor:
    """Somebody else's working days, counted along our axis, which may be shut when they work and the other way.

    `days_done_before[s]`: how many of their working days lie before the date of slot s.
    `days_done_through[s]`: the same, the date of slot s included.
    """

    id: str
    words: str
    days_done_before: tuple[int, ...]
    days_done_through: tuple[int, ...]

    def ready_slot(self, start_slot: int, lead_days: int) -> int:
        """First slot in which work left there at start_slot can be fetched; the slot count if past the axis.

        The day it is left does not count; it is ready on the day after the last of lead_days working days.
        """
        wanted = self.days_done_through[start_slot] + lead_days
        return max(start_slot + 1, bisect_left(self.days_done_before, wanted))

    def ready_table(self, lead_days: int) -> tuple[int, ...]:
        """`ready_slot` for every slot at once: both counts only rise, so one walk along the axis is enough."""
        done, count = self.days_done_before, len(self.days_done_before)
        table, ready = [], 0
        for slot, through in enumerate(self.days_done_through):
            wanted = through + lead_days
            while ready < count and done[ready] < wanted:
                ready += 1
            table.append(ready if ready > slot else slot + 1)
        return tuple(table)


def subcontractor_with_days(
    id: str,
    words: str,
    axis: HalfDayAxis,
    weekdays: Collection[int] = MONDAY_TO_FRIDAY,
    closed_days: Collection[date] = (),
) -> Subcontractor:
    """Count their working days from the first day of the axis on, days when we are shut included."""
    theirs = HalfDayAxis.between(axis.days[0], axis.days[-1], weekdays, closed_days).days
    before = [bisect_left(theirs, day) for day in axis.days]
    through = [bisect_left(theirs, day + timedelta(days=1)) for day in axis.days]
    return Subcontractor(
        id,
        words,
        tuple(count for count in before for _half in HALVES),
        tuple(count for count in through for _half in HALVES),
    )


def open_run(mask: int, length: int) -> int:
    """Slots from which `length` slots in a row are open; doubling, so the cost grows with log(length)."""
    have = 1
    while have < length:
        shift = min(have, length - have)
        mask &= mask >> shift
        have += shift
    return mask


def span_mask(start: int, end: int) -> int:
    """Bits start .. end - 1; negative slots (before the axis) fall out."""
    start = max(start, 0)
    return ((1 << (end - start)) - 1) << start if end > start else 0


def first_open(mask: int, from_slot: int) -> int | None:
    """First open slot at or after from_slot."""
    from_slot = max(from_slot, 0)
    rest = mask >> from_slot
    return from_slot + (rest & -rest).bit_length() - 1 if rest else None


def last_open(mask: int, until_slot: int) -> int | None:
    """Last open slot at or before until_slot."""
    if until_slot < 0:
        return None
    rest = mask & ((1 << (until_slot + 1)) - 1)
    return rest.bit_length() - 1 if rest else None
