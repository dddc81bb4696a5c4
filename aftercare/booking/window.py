"""The days on which a return visit should fall, counted from handover.

The day count: the local date of handover is day 0, so day 7 is the same weekday one week later, day 42 the
same weekday six weeks later and day 56 eight weeks later. Both ends are included: 42 to 56 is fifteen days.
Whole calendar days are counted, never hours, so a clock change or a leap day in between changes nothing.
Six to eight weeks is common practice, no source; both ends can be set for each commission.
"""

from __future__ import annotations

from datetime import date, timedelta

__all__ = ["FIRST_DAY", "LAST_DAY", "day_number", "range_problems", "return_days"]

FIRST_DAY = 42
LAST_DAY = 56
SHORTEST = 1
LONGEST = 365


def return_days(handed_over_on: date, first_day: int = FIRST_DAY, last_day: int = LAST_DAY) -> tuple[date, ...]:
    """Every calendar day from day `first_day` to day `last_day` after handover, both included.

    Weekends and holidays are still in it: which of them can be worked is decided by the slots. Raises
    ValueError with the sentences of `range_problems` when the range makes no sense.
    """
    problems = range_problems(first_day, last_day)
    if problems:
        raise ValueError(" ".join(sentence for _, sentence in problems))
    return tuple(handed_over_on + timedelta(days=n) for n in range(first_day, last_day + 1))


def day_number(handed_over_on: date, day: date) -> int:
    """Which day after handover `day` is; handover itself is day 0."""
    return (day - handed_over_on).days


def range_problems(first_day: int, last_day: int) -> tuple[tuple[str, str], ...]:
    """What is wrong with a range, as pairs of field name and sentence; empty when it can be used."""
    problems = []
    for field, label, value in (
        ("first_day", "First day of the return visit", first_day),
        ("last_day", "Last day of the return visit", last_day),
    ):
        if not SHORTEST <= value <= LONGEST:
            problems.append((field, f"{label}: {value} is outside {SHORTEST} to {LONGEST} days after handover."))
    if not problems and first_day > last_day:
        problems.append(
            (
                "last_day",
                f"Last day of the return visit: day {last_day} comes before the first, day {first_day}; "
                f"give a last day of {first_day} or more.",
            )
        )
    return tuple(problems)
