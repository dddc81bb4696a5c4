"""Improving never makes a plan dearer or invalid; re-planning moves little; both repeat exactly."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jobs.planning import check, first_plan, improve, replan, solve
from jobs.planning.network import Instance, Plan
from jobs.planning.replan import FROZEN_HALF_DAYS, freeze_next_days
from tests.benchmarks.bench_planning import move_on, moved_steps, overrun
from tests.benchmarks.workshop_generator import generate
from tests.jobs.planning.cast import chain, instance, resource, step, workshop


@pytest.fixture(scope="module")
def crowded() -> tuple[Instance, Plan]:
    shop = generate(20, 2)
    return shop, first_plan(shop)


@pytest.fixture(scope="module")
def later(crowded) -> tuple[Instance, Plan]:
    shop, plan = crowded
    plan = improve(shop, plan, iterations=4)
    return move_on(shop, plan, free_steps=120), plan


def without_ortools(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solve, "find_spec", lambda name: None)


def test_improved_plan_is_valid_and_costs_less(crowded) -> None:
    shop, plan = crowded
    better = improve(shop, plan, iterations=4)
    assert check(shop, better) == []
    assert better.cost.total < plan.cost.total
    assert (better.method, better.seed, better.solver_version[:8]) == ("improved", 1, "ortools ")


def test_same_input_gives_the_same_improved_plan_three_times_running() -> None:
    shop = generate(8, 4)
    plans = [improve(shop, first_plan(shop), iterations=3) for _run in range(3)]
    assert plans[0] == plans[1] == plans[2]


def test_keep_going_stops_the_search(crowded) -> None:
    shop, plan = crowded
    asked = []
    improve(shop, plan, iterations=50, keep_going=lambda n, cost: asked.append((n, cost)) or n < 1)
    assert [n for n, _cost in asked] == [0, 1]


def test_replan_of_an_unchanged_workshop_moves_nothing(later) -> None:
    shop, plan = later
    after = replan(shop, plan)
    assert moved_steps(shop, plan, after) == []
    assert check(shop, after) == []


def test_replan_after_overruns_is_valid_moves_little_and_repeats(later) -> None:
    shop, plan = later
    changed = overrun(shop)
    after = replan(changed, plan)
    assert check(changed, after) == []
    assert len(moved_steps(changed, plan, after)) <= 20
    assert replan(changed, plan) == after == replan(changed, plan)


def test_next_five_working_days_stay_as_they_are(later) -> None:
    shop, plan = later
    frozen = [one for one in freeze_next_days(shop, plan).steps if one.frozen_slot is not None]
    assert frozen
    assert all(shop.first_slot <= one.frozen_slot < shop.first_slot + FROZEN_HALF_DAYS for one in frozen)
    after = replan(shop, plan)
    assert all(after.places[one.id].start == one.frozen_slot for one in frozen)


def test_right_shift_repair_stands_where_ortools_is_missing(later, monkeypatch: pytest.MonkeyPatch) -> None:
    without_ortools(monkeypatch)
    shop, plan = later
    changed = overrun(shop)
    after = replan(changed, plan)
    assert (after.method, after.solver_version) == ("right-shift repair", "")
    assert check(changed, after) == []


def test_first_plan_stands_where_ortools_is_missing(crowded, monkeypatch: pytest.MonkeyPatch) -> None:
    without_ortools(monkeypatch)
    shop, plan = crowded
    assert improve(shop, plan) is plan


def test_a_date_told_to_a_client_is_kept_by_moving_what_nobody_was_told() -> None:
    """The overrun of `cut` collides with `told`, or with `own` moved out of its way; hands for one."""
    steps = [
        step("cut", 2, commission="c1", demands={"hands": 1}),
        step("own", 2, commission="c2", demands={"hands": 1}, earliest_slot=12),
        step("told", 2, commission="c3", demands={"hands": 1}, earliest_slot=14, told_client=True),
    ]
    shop = instance(steps, resources=[resource("hands", 1)])
    plan = first_plan(shop)
    assert [plan.places[id].start for id in ("own", "told")] == [12, 14]
    changed = instance([replace(steps[0], duration_half_days=13), *steps[1:]], resources=[resource("hands", 1)])
    after = replan(changed, plan)
    assert check(changed, after) == []
    assert after.places["told"] == plan.places["told"]
    assert after.places["own"].start == 16
    # one step moved, by four half-days
    assert (after.cost.moved_told, after.cost.shift) == (0, 3 + 4)


def test_a_new_commission_finds_its_place_without_moving_the_others() -> None:
    two, three = workshop(2), workshop(3)
    plan = first_plan(two)
    three = replace(three, resources=two.resources)
    after = replan(three, plan)
    assert check(three, after) == []
    assert {id: after.places[id] for id in plan.places} == dict(plan.places)
    assert len(after.places) == len(three.steps)


def test_an_overrun_of_a_frozen_step_moves_what_follows_only() -> None:
    steps = [step("a", 4, started_slot=0, remaining_half_days=5), step("b", 2), step("c", 2)]
    shop = instance(steps, chain("a", "b", "c"), first_slot=2)
    plan = first_plan(
        instance([replace(steps[0], remaining_half_days=2), *steps[1:]], chain("a", "b", "c"), first_slot=2)
    )
    after = replan(shop, plan)
    assert check(shop, after) == []
    assert [after.places[id].start for id in "abc"] == [2, 7, 9]
