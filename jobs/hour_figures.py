"""Allowance against actual, and what earlier jobs say of the next one. Pure; whole minutes in and out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median

ENOUGH_JOBS = 3  # fewer say too little; judgement, no source
QUARTER_MINUTES = 15


@dataclass(frozen=True)
class KindFigure:
    """One kind of step of one commission. Without an allowance its hours were never priced."""

    kind: str
    allowance_minutes: int
    actual_minutes: int

    @property
    def over_minutes(self) -> int:
        return self.actual_minutes - self.allowance_minutes

    @property
    def is_never_priced(self) -> bool:
        return self.allowance_minutes == 0 and self.actual_minutes > 0


def figures(allowance_minutes: Mapping[str, int], actual_minutes: Mapping[str, int]) -> list[KindFigure]:
    """Every kind that has either, in the order of the allowances, then of the rest. The sums stay what they were."""
    kinds = [*allowance_minutes, *(kind for kind in actual_minutes if kind not in allowance_minutes)]
    rows = [KindFigure(kind, allowance_minutes.get(kind, 0), actual_minutes.get(kind, 0)) for kind in kinds]
    return [row for row in rows if row.allowance_minutes or row.actual_minutes]


def never_priced_minutes(rows: Iterable[KindFigure]) -> int:
    return sum(row.actual_minutes for row in rows if row.is_never_priced)


def folded(minutes_by_kind: Mapping[str, int], covered_by: Mapping[str, str]) -> dict[str, int]:
    """Minutes by the kind whose allowance covers them: driving goes to delivering. No minute is lost."""
    found: dict[str, int] = {}
    for kind, minutes in minutes_by_kind.items():
        target = covered_by.get(kind, kind)
        found[target] = found.get(target, 0) + minutes
    return found


@dataclass(frozen=True)
class History:
    """What the jobs behind us took, in minutes a job or a unit; `jobs` is how many are behind it."""

    jobs: int
    median_minutes: float | None

    @property
    def is_enough(self) -> bool:
        return self.jobs >= ENOUGH_JOBS

    @property
    def suggested_minutes(self) -> int | None:
        """The median rounded up to a quarter of an hour, for one job; None without history."""
        return None if self.median_minutes is None else quarter_up(self.median_minutes)


def history(minutes: Iterable[float]) -> History:
    values = list(minutes)
    return History(len(values), median(values) if values else None)


def per_unit(pairs: Iterable[tuple[int, int]]) -> History:
    """From (minutes, units) of each job, the median of minutes a unit; jobs without a unit or hours are left out."""
    return history(minutes / units for minutes, units in pairs if units > 0 and minutes > 0)


def quarter_up(minutes: float) -> int:
    return math.ceil(round(minutes / QUARTER_MINUTES, 9)) * QUARTER_MINUTES
