"""Dates, times and amounts as people here say them. Pure."""

from __future__ import annotations

import datetime as dt


def day_in_words(day: dt.date) -> str:
    """Thursday 4 December 2026"""
    return f"{day:%A} {day.day} {day:%B %Y}"


def short_day(day: dt.date) -> str:
    """Thu 4 Dec"""
    return f"{day:%a} {day.day} {day:%b}"


def time_in_words(time: dt.time) -> str:
    """9:05"""
    return f"{time.hour}:{time.minute:02d}"


def joined(parts: list[str], last: str = "and") -> str:
    """a, b and c"""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def money_in_words(pence: int) -> str:
    """£1,234.50"""
    return f"{'-' if pence < 0 else ''}£{abs(pence) // 100:,}.{abs(pence) % 100:02d}"
