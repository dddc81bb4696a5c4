"""How long a subcontractor takes, in their own working days. Pure.

Counted as the plan counts lead time: neither the day the work goes nor the day it is back. Sent on Monday and fetched
on the Monday after, with nobody shut between, is four days.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

from jobs.calendar_days import DayRange, working_days

ENOUGH = 3  # fewer say too little; judgement, no source


@dataclass(frozen=True)
class Turnaround:
    """`median_days` is rounded up to a whole day; both are None without history."""

    count: int
    median_days: int | None
    worst_days: int | None

    @property
    def is_enough(self) -> bool:
        return self.count >= ENOUGH

    @property
    def in_words(self) -> str:
        """6 times back: median 9, worst 14 working days"""
        if not self.count:
            return "nothing has come back yet"
        times = "once" if self.count == 1 else f"{self.count} times"
        few = "" if self.is_enough else ", not enough history"
        return f"{times} back: median {self.median_days}, worst {self.worst_days} of their working days{few}"


def days_taken(
    sent_on: date,
    back_on: date,
    *,
    nation: str,
    weekdays: Collection[int],
    closures: Iterable[DayRange] = (),
) -> int:
    """Their working days strictly between the two; 0 for the same or the next day."""
    one = timedelta(days=1)
    return len(working_days(sent_on + one, back_on - one, nation=nation, weekdays=weekdays, closures=closures))


def turnaround_of(days: Sequence[int]) -> Turnaround:
    if not days:
        return Turnaround(0, None, None)
    return Turnaround(len(days), math.ceil(median(days)), max(days))
