"""The 6 x 6 job shop of Fisher and Thompson (1963), optimum 55.

H. Fisher and G. L. Thompson, "Probabilistic learning combinations of local job-shop scheduling rules", in Muth and
Thompson (eds.), Industrial Scheduling, Prentice-Hall 1963, pp. 225-251. The 36 numbers are typed here from memory;
the optimum of 55 is proved by the solver below, which no misremembered table is likely to give.
"""

from __future__ import annotations

from jobs.planning.check import check
from jobs.planning.first_plan import first_plan
from jobs.planning.whole import solve_whole
from tests.reference.psplib_adapter import job_shop

FT06 = [
    [(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
    [(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
    [(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
    [(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
    [(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
    [(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
]
OPTIMUM = 55


def test_jobshop_ft06_is_proved_at_its_published_optimum() -> None:
    shop = job_shop(FT06)
    answer = solve_whole(shop, "makespan")
    assert check(shop, answer.plan) == []
    assert (answer.value, answer.bound, answer.plan.proved_best) == (OPTIMUM, OPTIMUM, True)


def test_jobshop_first_plan_is_valid_and_not_below_the_optimum() -> None:
    shop = job_shop(FT06, separate=True)
    plan = first_plan(shop)
    assert check(shop, plan) == []
    assert max(place.end for place in plan.places.values()) >= OPTIMUM
