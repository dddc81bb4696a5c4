"""Seconds of the page of return rounds, record and all.

Run: python -m pytest tests/benchmarks/bench_return_rounds.py -s
Figures are printed, never asserted: they belong to one machine. The first call imports the solver.
"""

from __future__ import annotations

import datetime as dt
from random import Random
from time import perf_counter

import pytest

from aftercare.queries.rounds import rounds_plan
from tests.aftercare.domain.test_other_time import handed_over
from tests.factories import NOW, make_maker, make_workshop

SIZES = (6, 12, 20)


@pytest.mark.django_db
def test_print_the_seconds_of_return_rounds():
    workshop, maker = make_workshop(), make_maker()
    made, chance = 0, Random(7)
    print("\nAll handed over on one day, so that all share the same fifteen days: the worst there can be.")
    print("\n| return visits of one maker | first call, s | again, s | minutes saved | how |\n|---|---|---|---|---|")
    for size in SIZES:
        for _ in range(size - made):
            handed_over(
                workshop, maker, latitude_deg=52.48 + chance.uniform(-0.3, 0.3),
                longitude_deg=-1.9 + chance.uniform(-0.4, 0.4),
            )  # fmt: skip
        made = size
        seconds = []
        for _ in range(2):
            begun = perf_counter()
            plan = rounds_plan(workshop, NOW + dt.timedelta(minutes=1))
            seconds.append(perf_counter() - begun)
        print(f"| {size} | {seconds[0]:.2f} | {seconds[1]:.2f} | {plan.saved_minutes} | {', '.join(plan.methods)} |")
