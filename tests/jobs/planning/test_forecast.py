"""Forecasts against closed forms and against the plan itself."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from jobs.planning import Log, first_plan, forecast
from jobs.planning.compiled import compile_instance, to_place
from jobs.planning.forecast import commission_sd, weights_of
from jobs.planning.network import FloorSpan, Instance
from jobs.planning.playing import play
from tests.benchmarks.workshop_generator import generate
from tests.jobs.planning.cast import calendar, chain, instance, resource, sprayer, step, workshop


def logs(count: int, ratio: float = 1.0, kind: str = "making") -> list[Log]:
    return [Log(kind, f"past{n % 5}", ratio) for n in range(count)]


def one_step(half_days: int = 10, promise: int | None = None) -> Instance:
    return instance([step("a", half_days, kind="making", promise_slot=promise)])


@pytest.mark.parametrize("seed", [1, 2])
def test_with_every_ratio_one_nothing_ends_later_than_planned(seed: int) -> None:
    shop = generate(20, seed)
    plan = first_plan(shop)
    compiled = compile_instance(shop)
    positions = list(to_place(compiled))
    ends = play(compiled, plan, positions, {i: np.ones(2, dtype=np.float32) for i in positions})
    late = [i for i in positions if ends[i][0] > plan.places[compiled.steps[i].id].end]
    assert late == []
    told = [i for i in positions if compiled.steps[i].told_client]
    assert all(ends[i][0] == plan.places[compiled.steps[i].id].end for i in told)


def test_a_sure_log_gives_a_sure_forecast() -> None:
    shop = one_step(10, promise=12)
    (found,) = forecast(shop, first_plan(shop), logs(20, 1.2), samples=500).promises
    assert (found.p50_end, found.p80_end, found.chance) == (12, 12, 1.0)
    (found,) = forecast(shop, first_plan(shop), logs(20, 1.3), samples=500).promises
    assert (found.p50_end, found.chance) == (13, 0.0)


def test_chance_of_two_equally_likely_ratios_is_a_half() -> None:
    """Binomial: the standard error of a share of 10,000 at one half is 0.005; four of them are allowed."""
    shop = one_step(10, promise=10)
    half = [Log("making", f"past{n}", 0.8 if n % 2 else 1.4) for n in range(20)]
    (found,) = forecast(shop, first_plan(shop), half, samples=10_000).promises
    assert found.chance == pytest.approx(0.5, abs=0.02)


def test_a_kind_with_few_logs_leans_on_the_overall_ratio() -> None:
    assert weights_of({"fit": 8, "wrap": 0, "doors": 24}) == {"fit": 0.5, "wrap": 0.0, "doors": 0.75}
    shop = instance([step("a", 10, kind="fit", promise_slot=15)])
    mixed = logs(8, 2.0, "fit") + logs(8, 1.0, "other")
    # 8 logs of its own weigh a half, all of ratio 2; of the other half, half are: 0.5 + 0.25 have ratio 2
    (found,) = forecast(shop, first_plan(shop), mixed, samples=10_000).promises
    assert found.chance == pytest.approx(0.25, abs=0.02)


def test_shared_factor_of_a_commission_is_the_between_part_of_the_variance() -> None:
    """Recovered from drawn data: true sd 0.2 between commissions, 0.1 within, 400 commissions of 5 steps."""
    rng = Random(3)
    drawn = []
    for n in range(400):
        hard = rng.gauss(1.0, 0.2)
        drawn += [Log("making", f"past{n}", hard + rng.gauss(0, 0.1)) for _step in range(5)]
    assert commission_sd(drawn) == pytest.approx(0.2, abs=0.02)


def test_shared_factor_widens_the_forecast_of_a_long_chain() -> None:
    steps = [step(f"s{n}", 10, kind="making") for n in range(8)] + [step("z", 1, kind="handover")]
    shop = instance(steps, chain(*[f"s{n}" for n in range(8)], "z"))
    rng = Random(5)
    alike = [Log("making", f"past{n % 40}", rng.choice([0.8, 1.2])) for n in range(200)]
    apart = [Log("making", f"past{n % 40}", 0.8 if n % 40 < 20 else 1.2) for n in range(200)]
    plan = first_plan(shop)
    narrow, wide = (forecast(shop, plan, some, samples=4000).promises[0] for some in (alike, apart))
    assert wide.p80_end - wide.p50_end > narrow.p80_end - narrow.p50_end


def test_under_ten_logs_says_not_enough_history() -> None:
    shop = one_step()
    found = forecast(shop, first_plan(shop), logs(9))
    assert not found.enough_history
    assert found.spread_words.startswith("not enough history (9 of 10 steps logged)")
    assert "our guess" in found.spread_words
    assert forecast(shop, first_plan(shop), logs(10)).enough_history


def test_absurd_ratios_are_not_counted() -> None:
    shop = one_step()
    assert forecast(shop, first_plan(shop), [*logs(9), Log("making", "x", 0.0), Log("making", "x", 40.0)]).logs == 9


def test_a_missed_day_means_the_next_one_allowed() -> None:
    shop = instance(
        [step("a", 4, kind="making"), step("b", 1, kind="handover", needs=("home",), promise_slot=5)],
        chain("a", "b"),
        calendars=[calendar("home", [4, 20, 21], "the client at home")],
    )
    (found,) = forecast(shop, first_plan(shop), logs(20, 1.5), samples=100).promises
    # ready in slot 6, next open slot 20; the handover itself takes 1.0 of a kind never logged: 1.5 half-days
    assert (found.p50_end, found.chance) == (22, 0.0)


def test_a_late_lead_runs_in_the_subcontractors_days() -> None:
    steps = [step("a", 0, kind="spray", lead_days=5, subcontractor_id="sprayer"), step("b", 1, kind="handover")]
    shop = instance(steps, chain("a", "b"), subcontractors=[sprayer()])
    found = forecast(shop, first_plan(shop), logs(20, 2.0, "spray") + logs(20, 2.0, "handover"), samples=100)
    # left on 2 March; ten working days instead of five: ready on Tuesday 17 March, slot 22, and two half-days more
    assert found.promises[0].p50_end == 24


def test_a_job_behind_on_the_same_hands_pushes_the_next() -> None:
    steps = [
        step("a", 10, commission="c1", kind="making", demands={"hands": 1}, promise_slot=10),
        step("b", 2, commission="c2", kind="making", demands={"hands": 1}, promise_slot=14),
    ]
    shop = instance(steps, resources=[resource("hands", 1)])
    found = {one.step_id: one for one in forecast(shop, first_plan(shop), logs(20, 1.5), samples=50).promises}
    assert (found["b"].p50_end, found["b"].chance) == (18, 0.0)


def test_same_input_same_figures_and_another_input_other_seed() -> None:
    shop = workshop(3)
    plan = first_plan(shop)
    first, again = (forecast(shop, plan, [], samples=300) for _run in range(2))
    assert first == again
    assert forecast(replace(shop, first_slot=1), plan, [], samples=300).seed != first.seed


def test_carcasses_do_not_start_before_they_are_planned() -> None:
    steps = [step("carcasses", 2), step("doors", 20), step("load", 1, kind="handover")]
    shop = instance(
        steps,
        [*chain("carcasses", "load"), *chain("doors", "load")],
        floor_spans=[FloorSpan("c1", "carcasses", "load", "floor")],
        resources=[resource("floor", 1)],
    )
    compiled = compile_instance(shop)
    positions = list(to_place(compiled))
    ends = play(compiled, first_plan(shop), positions, {i: np.full(1, 0.5, dtype=np.float32) for i in positions})
    assert ends[compiled.index["carcasses"]][0] == 19
