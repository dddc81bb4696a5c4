"""Dates of the demo, all relative to the day on which it is made."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from jobs.calendar_days import add_working_days
from jobs.domain.commissions import PastStep
from jobs.models import Workshop


@dataclass(frozen=True)
class DemoDays:
    """Working days counted from today: -1 is the last one before today, 0 today or the next one."""

    workshop: Workshop
    now: dt.datetime

    @property
    def today(self) -> dt.date:
        return self.workshop.local_day(self.now)

    def day(self, offset: int) -> dt.date:
        return add_working_days(
            self.today, offset, nation=self.workshop.nation, weekdays=frozenset(self.workshop.weekdays)
        )

    def at(self, offset: int, hour: int, minute: int = 0) -> dt.datetime:
        return dt.datetime.combine(self.day(offset), dt.time(hour, minute), self.workshop.tz)

    def on(self, day: dt.date, hour: int, minute: int = 0) -> dt.datetime:
        return dt.datetime.combine(day, dt.time(hour, minute), self.workshop.tz)

    def work_day_about(self, days_ago: int) -> dt.date:
        """The working day at or after so many calendar days ago."""
        start = self.today - dt.timedelta(days=days_ago)
        return add_working_days(start, 0, nation=self.workshop.nation, weekdays=frozenset(self.workshop.weekdays))

    def done(self, first: int, last: int, hours: float | None = None) -> PastStep:
        """Work from the morning of one working day to the afternoon of another."""
        return PastStep(self.at(first, 8, 30), self.at(last, 16), hours)

    def begun(self, first: int) -> PastStep:
        return PastStep(self.at(first, 8, 30))

    def last_afternoon(self) -> dt.datetime:
        """16:00 of the last working day that has already come to 16:00: when the demo's fitting ended."""
        today_at_four = self.at(0, 16)
        return today_at_four if today_at_four <= self.now else self.at(-1, 16)
