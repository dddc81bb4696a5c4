"""A link by position, as bounds that passes can read in both directions."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass


@dataclass(frozen=True)
class Arc:
    """A link by position. Its four bounds are monotone in their argument, so passes can go either way."""

    before: int
    after: int
    least: int
    greatest: int | None
    day_of_slot: tuple[int, ...] | None = None
    """Day numbers where the wait is in calendar days; None where it is in half-days."""

    def earliest_start(self, end_before: int) -> int:
        days = self.day_of_slot
        if days is None:
            return end_before + self.least
        day = days[min(max(end_before - 1, 0), len(days) - 1)]
        return max(end_before, bisect_left(days, day + self.least))

    def latest_start(self, end_before: int) -> int | None:
        days = self.day_of_slot
        if self.greatest is None:
            return None
        if days is None:
            return end_before + self.greatest
        day = days[min(max(end_before - 1, 0), len(days) - 1)]
        return bisect_right(days, day + self.greatest) - 1

    def latest_end(self, start_after: int) -> int:
        """Latest end of `before` that still lets `after` start then."""
        days = self.day_of_slot
        if days is None:
            return start_after - self.least
        day = days[min(max(start_after, 0), len(days) - 1)]
        return min(start_after, bisect_right(days, day - self.least))

    def earliest_end(self, start_after: int) -> int | None:
        """Earliest end of `before` that does not let `after` come too long after it."""
        days = self.day_of_slot
        if self.greatest is None:
            return None
        if days is None:
            return start_after - self.greatest
        day = days[min(max(start_after, 0), len(days) - 1)]
        return bisect_left(days, day - self.greatest) + 1
