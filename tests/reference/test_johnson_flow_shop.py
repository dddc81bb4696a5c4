"""Two-machine flow shops against Johnson's rule, which gives the shortest makespan.

S. M. Johnson, "Optimal two- and three-stage production schedules with setup times included", Naval Research Logistics
Quarterly 1 (1954) 61-68. The rule is written out here by itself; status: from memory, a standard result.
"""

from __future__ import annotations

from random import Random

import pytest

from jobs.planning.check import check
from jobs.planning.whole import solve_whole
from tests.reference.psplib_adapter import job_shop


def johnson_makespan(jobs: list[tuple[int, int]]) -> int:
    first = sorted((job for job in jobs if job[0] <= job[1]), key=lambda job: job[0])
    second = sorted((job for job in jobs if job[0] > job[1]), key=lambda job: -job[1])
    end_a = end_b = 0
    for a, b in first + second:
        end_a += a
        end_b = max(end_b, end_a) + b
    return end_b


def test_johnson_rule_on_the_textbook_five_jobs() -> None:
    """Five jobs 3 6, 5 2, 1 2, 6 6, 7 5: sequence 3-1-4-5-2, makespan 24 (by hand; common practice, no source)."""
    assert johnson_makespan([(3, 6), (5, 2), (1, 2), (6, 6), (7, 5)]) == 24


@pytest.mark.parametrize("seed", range(8))
def test_johnson_makespan_is_what_the_planner_finds(seed: int) -> None:
    rng = Random(seed)
    jobs = [(rng.randint(1, 9), rng.randint(1, 9)) for _job in range(rng.randint(3, 7))]
    shop = job_shop([[(0, a), (1, b)] for a, b in jobs])
    answer = solve_whole(shop, "makespan")
    assert check(shop, answer.plan) == []
    assert answer.value == johnson_makespan(jobs)
