"""Stays of commissions at places, and the half-day columns they are counted in. Pure: no Django, no clock."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """`capacity`: how many may be there at once before it bunches. `has_lines`: False where nothing travels."""

    key: str
    words: str
    capacity: int
    has_lines: bool = True


@dataclass(frozen=True)
class Stay:
    """Half-days from the first to the last inclusive (0 the morning). `strand`: before, doors, carcasses, after, or
    floor for what does not travel."""

    owner: int
    place: str
    strand: str
    first: dt.date
    first_half: int
    last: dt.date
    last_half: int
    is_away: bool = False


@dataclass(frozen=True)
class Columns:
    """The days drawn, in order: two half-day columns each."""

    days: tuple[dt.date, ...]

    @property
    def count(self) -> int:
        return 2 * len(self.days)

    def starts(self, day: dt.date, half: int) -> int:
        """Column in which a half-day begins; of a day not drawn, the next one. Below 0 and beyond `count` are cut."""
        at = bisect_left(self.days, day)
        return 2 * at + (half if at < len(self.days) and self.days[at] == day else 0)

    def ends(self, day: dt.date, half: int) -> int:
        """Column at which a half-day is over, exclusive; of a day not drawn, where the day before it ends."""
        at = bisect_right(self.days, day)
        return 2 * at - (1 - half if at > 0 and self.days[at - 1] == day else 0)

    def span(self, stay: Stay) -> tuple[int, int]:
        return self.starts(stay.first, stay.first_half), self.ends(stay.last, stay.last_half)


def merged(stays: Iterable[Stay]) -> list[Stay]:
    """Stays of one commission and strand at one place that follow each other without a half-day between, as one."""
    found: list[Stay] = []
    for stay in sorted(stays, key=_order):
        last = found[-1] if found else None
        same = last is not None and (last.owner, last.strand, last.place) == (stay.owner, stay.strand, stay.place)
        if last is not None and same and _follows(last, stay):
            end = max((last.last, last.last_half), (stay.last, stay.last_half))
            found[-1] = Stay(
                last.owner, last.place, last.strand, last.first, last.first_half, *end, last.is_away or stay.is_away
            )
        else:
            found.append(stay)
    return found


def _order(stay: Stay) -> tuple[int, str, str, dt.date, int]:
    return stay.owner, stay.strand, stay.place, stay.first, stay.first_half


def _follows(before: Stay, after: Stay) -> bool:
    """A night or a weekend between two stays is no journey."""
    if before.last >= after.first:
        return before.last > after.first or before.last_half + 1 >= after.first_half
    gap = (after.first - before.last).days
    at_once = before.last_half == 1 and after.first_half == 0
    return at_once and (gap == 1 or (gap <= 3 and before.last.weekday() >= 4))


def is_seen(columns: Columns, stay: Stay) -> bool:
    first, end = columns.span(stay)
    return end > 0 and first < columns.count and end > first


def counts(stays: Iterable[Stay], columns: Columns) -> list[int]:
    """How many are there in each half-day drawn."""
    found = [0] * columns.count
    for stay in stays:
        first, end = columns.span(stay)
        for column in range(max(first, 0), min(end, columns.count)):
            found[column] += 1
    return found
