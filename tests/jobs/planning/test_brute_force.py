"""Small generated cases against a brute force that knows nothing of masks, profiles or solvers."""

from __future__ import annotations

from collections import Counter
from datetime import date
from random import Random

import pytest

from jobs.planning.calendars import HalfDayAxis
from jobs.planning.check import check
from jobs.planning.first_plan import first_plan
from jobs.planning.improve import improve
from jobs.planning.network import FloorSpan, Instance, Link, Resource, Step
from jobs.planning.whole import solve_whole
from tests.jobs.planning.cast import calendar, instance, step

AXIS = HalfDayAxis.between(date(2026, 3, 2), date(2026, 3, 10))
SLOTS = AXIS.slot_count


def small_case(seed: int) -> Instance:
    """Two commissions of three steps with calendars, floor, greatest waits, one or two hands, promises."""
    rng = Random(seed)
    steps, links, spans, calendars = [], [], [], []
    for c in ("c1", "c2"):
        open_slots = [slot for slot in range(SLOTS) if rng.random() < 0.7]
        calendars.append(calendar(f"{c}-home", open_slots))
        steps += [
            step(f"{c}-1", rng.randint(1, 2), commission=c, demands={"hands": 1}),
            step(f"{c}-2", rng.randint(1, 3), commission=c, demands={"hands": 1}, earliest_slot=rng.randint(0, 3)),
            step(
                f"{c}-3",
                1,
                commission=c,
                demands={"van": 1},
                needs=(f"{c}-home",),
                promise_slot=rng.randint(3, 9),
                weight=rng.randint(1, 3),
                told_client=rng.random() < 0.5,
            ),
        ]
        greatest = rng.choice([None, 2, 4])
        links += [Link(f"{c}-1", f"{c}-2", rng.randint(0, 1)), Link(f"{c}-2", f"{c}-3", 0, greatest)]
        spans.append(FloorSpan(c, f"{c}-1", f"{c}-3", "floor"))
    hands = tuple(rng.choice([0, 1, 1, 2]) for _slot in range(SLOTS))
    resources = [
        Resource("hands", "hands", hands),
        Resource("van", "van", (1,) * SLOTS),
        Resource("floor", "floor", (rng.choice([1, 2]),) * SLOTS),
    ]
    return instance(
        steps, links, axis=AXIS, floor_spans=spans, resources=resources, calendars=calendars, first_slot=0
    )


class BruteForce:
    """Least cost over all combinations of starts, by loops only."""

    def __init__(self, case: Instance) -> None:
        self.case = case
        self.steps = sorted(case.steps, key=lambda one: one.id)
        self.length = {one.id: one.duration_half_days for one in case.steps}
        self.open_at = {one.id: [one.is_open(slot) for slot in range(SLOTS)] for one in case.calendars}
        self.there = {one.id: one.capacity for one in case.resources}
        self.best: int | None = None

    def least(self) -> int | None:
        self._go(0, {})
        return self.best

    def _go(self, n: int, starts: dict[str, int]) -> None:
        if n == len(self.steps):
            cost = self._cost(starts)
            self.best = cost if self.best is None else min(self.best, cost)
            return
        one = self.steps[n]
        for start in range(one.earliest_slot or 0, SLOTS - one.duration_half_days + 1):
            trial = {**starts, one.id: start}
            if self._open(one, start) and self._waits_kept(trial, one.id) and self._fits(trial):
                self._go(n + 1, trial)

    def _open(self, one: Step, start: int) -> bool:
        slots = range(start, start + one.duration_half_days)
        return all(self.open_at[need][slot] for need in one.needs for slot in slots)

    def _waits_kept(self, starts: dict[str, int], id: str) -> bool:
        for link in self.case.links:
            if link.after == id:
                wait = starts[id] - starts[link.before] - self.length[link.before]
                if wait < link.least_wait or (link.greatest_wait is not None and wait > link.greatest_wait):
                    return False
        return True

    def _fits(self, starts: dict[str, int]) -> bool:
        used: Counter[tuple[str, int]] = Counter()
        for one in self.steps:
            if one.id in starts:
                for slot in range(starts[one.id], starts[one.id] + one.duration_half_days):
                    used.update({(id, slot): amount for id, amount in one.demands.items()})
        for span in self.case.floor_spans:
            if span.last_step in starts:
                used.update(("floor", s) for s in range(starts[span.first_step], starts[span.last_step] + 1))
        return all(amount <= self.there[id][slot] for (id, slot), amount in used.items())

    def _cost(self, starts: dict[str, int]) -> int:
        total = sum(starts[span.last_step] + 1 - starts[span.first_step] for span in self.case.floor_spans)
        for one in self.steps:
            if one.promise_slot is not None:
                late = max(0, starts[one.id] + one.duration_half_days - one.promise_slot)
                total += late * one.weight * (40 if one.told_client else 10)
        return total


@pytest.mark.parametrize("seed", range(12))
def test_whole_model_equals_brute_force_and_no_method_beats_it(seed: int) -> None:
    case = small_case(seed)
    least = BruteForce(case).least()
    plan = first_plan(case)
    assert check(case, plan) == []
    if plan.refused:
        return  # the greedy pass set one aside: nothing to compare
    assert least is not None
    answer = solve_whole(case, hint=plan)
    assert check(case, answer.plan) == []
    assert answer.plan.proved_best
    assert answer.value == least
    better = improve(case, plan, iterations=3)
    assert check(case, better) == []
    assert least <= better.cost.total <= plan.cost.total


def test_most_of_the_small_cases_are_really_compared() -> None:
    compared = [seed for seed in range(12) if not first_plan(small_case(seed)).refused]
    assert len(compared) >= 8
