"""Dates and half-days as the wall says them: the day's name always, the month where it is not this one."""

from __future__ import annotations

import datetime as dt

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTH_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
FAR_DAYS = 300


def say_day(day: dt.date, today: dt.date) -> str:
    """ "Fri 12", "Thu 1 Apr", "Thu 6 Jan 2028": no more than is needed to find the day."""
    words = f"{DAY_NAMES[day.weekday()]} {day.day}"
    if (day.year, day.month) != (today.year, today.month):
        words += f" {MONTH_NAMES[day.month - 1]}"
    return f"{words} {day.year}" if abs((day - today).days) > FAR_DAYS else words


def say_range(first: dt.date, last: dt.date, today: dt.date) -> str:
    """ "Mon 22 to Thu 25"; one day alone is said once."""
    return say_day(first, today) if first == last else f"{say_day(first, today)} to {say_day(last, today)}"


def say_clock(time: dt.time) -> str:
    """ "8:30", as it is spoken."""
    return f"{time.hour}:{time.minute:02}"


def say_half_days(half_days: int) -> str:
    """ "half a day", "1 day", "2½ days"; the sign is left to whoever speaks."""
    whole, half = divmod(abs(half_days), 2)
    if whole == 0:
        return "half a day" if half else "0 days"
    return f"{whole}{'½' if half else ''} day{'' if (whole, half) == (1, 0) else 's'}"


def say_slack(half_days: int | None) -> str:
    """ "2 days to spare", "no time to spare", "1 day short", "no date promised"."""
    if half_days is None:
        return "no date promised"
    if half_days == 0:
        return "no time to spare"
    return f"{say_half_days(half_days)} {'to spare' if half_days > 0 else 'short'}"
