"""Plans in words: chances, costs, moves, remedies. No query."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.models import Step
from jobs.queries.words import say_day, say_half_days

HALVES = ("morning", "afternoon")
TERM_WORDS = {
    "late": "late dates",
    "floor": "floor taken",
    "moved_told": "moved dates told to clients",
    "shift": "other steps moved",
}
SURE_FROM = 0.995


@dataclass(frozen=True)
class Move:
    """One step that a plan moves."""

    commission: str
    url: str
    step: str
    old: str
    new: str
    is_told: bool


def say_chance(chance: float | None) -> str:
    """ "83 in 100"; never 0 or 100, which nobody can know."""
    if chance is None:
        return ""
    if chance >= SURE_FROM:
        return "over 99 in 100"
    return "under 1 in 100" if chance < 1 - SURE_FROM else f"{round(100 * chance)} in 100"


def say_forecast(forecast: Mapping[str, Any], step_pk: int, today: dt.date) -> str:
    """ "kept 83 in 100 times; half the time done by Thu 6, 4 times in 5 by Tue 11"; "" where nothing is known."""
    found = forecast.get("steps", {}).get(str(step_pk))
    if found is None:
        return ""
    p50, p80 = (say_day(dt.date.fromisoformat(day), today) for day in found[:2])
    chance = f"kept {say_chance(found[2])} times; " if found[2] is not None else ""
    if p50 == p80:
        return f"{chance}4 times in 5 done by {p80}"
    return f"{chance}half the time done by {p50}, 4 times in 5 by {p80}"


def say_terms(terms: Mapping[str, int]) -> str:
    """ "late dates 120, floor taken 86": only what costs anything."""
    parts = [f"{words} {terms[name]}" for name, words in TERM_WORDS.items() if terms.get(name)]
    return ", ".join(parts) or "nothing"


def say_half_day(day: str, half: int, today: dt.date) -> str:
    return f"{say_day(dt.date.fromisoformat(day), today)} {HALVES[half]}"


def moves_in_words(moved: Sequence[Sequence[Any]], steps: Mapping[int, Step], today: dt.date) -> list[Move]:
    """Those told to clients first, then by the old day. Steps taken out since are left out."""
    found = []
    for key, day, half, new_day, new_half, told in sorted(moved, key=lambda row: (not row[5], row[1], row[0])):
        step = steps.get(key)
        if step is not None:
            commission = step.commission
            old, new = say_half_day(day, half, today), say_half_day(new_day, new_half, today)
            found.append(Move(commission.nickname, commission.get_absolute_url(), step.name, old, new, told))
    return found


def say_remedy(words: str, late_half_days: int, gained_half_days: int) -> str:
    """ "Another pair of hands: kept"; "The sprayer 2 working days sooner: still 1 day late (1½ days gained)"."""
    head = words[:1].upper() + words[1:]
    if late_half_days <= 0:
        return f"{head}: the date is kept"
    return f"{head}: still {say_half_days(late_half_days)} late ({say_half_days(gained_half_days)} gained)"
