"""Money and minutes in words, for templates."""

from __future__ import annotations

from django import template

from jobs.domain.hours import hours_in_words
from jobs.words import money_in_words

register = template.Library()


@register.filter
def money(pence: int | None) -> str:
    """£1,234.50"""
    return "" if pence is None else money_in_words(pence)


@register.filter
def minutes(count: float | None) -> str:
    """2 h 05 min; a reduction with its sign"""
    if count is None:
        return ""
    whole = round(count)
    return f"-{hours_in_words(-whole)}" if whole < 0 else hours_in_words(whole)
