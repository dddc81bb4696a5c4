"""The first plan is valid for every workshop drawn, keeps carcasses off the floor and never fails on one bad row."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.planning.check import check
from jobs.planning.first_plan import first_plan, input_hash
from jobs.planning.network import FloorSpan, Placed
from tests.benchmarks.workshop_generator import generate
from tests.jobs.planning.cast import calendar, chain, instance, resource, step, workshop


@settings(max_examples=40, deadline=None)
@given(commissions=st.integers(1, 12), seed=st.integers(0, 10_000))
def test_every_generated_workshop_gets_a_valid_plan(commissions: int, seed: int) -> None:
    shop = generate(commissions, seed)
    plan = first_plan(shop)
    assert plan.refused == ()
    assert check(shop, plan) == []


def test_same_input_gives_the_same_plan_whatever_the_order_of_the_rows() -> None:
    shop = workshop(5)
    turned = replace(shop, steps=shop.steps[::-1], links=shop.links[::-1], calendars=shop.calendars[::-1])
    plans = [first_plan(shop), first_plan(shop), first_plan(turned)]
    assert plans[0] == plans[1] == plans[2]
    assert input_hash(shop) == input_hash(turned) != input_hash(workshop(4))


def test_carcasses_are_held_back_to_just_before_they_are_needed() -> None:
    steps = [step("carcasses", 2), step("doors", 20), step("wrap", 1), step("load", 1)]
    links = [*chain("carcasses", "wrap", "load"), *chain("doors", "wrap")]
    shop = instance(
        steps, links, floor_spans=[FloorSpan("c1", "carcasses", "load", "floor")], resources=[resource("floor", 1)]
    )
    plan = first_plan(shop)
    assert plan.places["carcasses"] == Placed(18, 20)
    assert plan.cost.floor == 4


def test_a_second_commission_waits_for_the_floor() -> None:
    steps, links, spans = [], [], []
    for c in ("c1", "c2"):
        steps += [step(f"{c}-carcasses", 4, commission=c), step(f"{c}-load", 1, commission=c)]
        links += chain(f"{c}-carcasses", f"{c}-load")
        spans.append(FloorSpan(c, f"{c}-carcasses", f"{c}-load", "floor"))
    shop = instance(steps, links, floor_spans=spans, resources=[resource("floor", 1)])
    plan = first_plan(shop)
    assert check(shop, plan) == []
    assert plan.places["c2-carcasses"].start == plan.places["c1-load"].end == 5


def test_work_under_way_goes_on_first_and_the_past_stays() -> None:
    steps = [
        step("cut", 4, started_slot=2, finished_slot=9),
        step("glue", 6, started_slot=9, remaining_half_days=2, demands={"hands": 1}),
        step("sand", 2, demands={"hands": 1}),
        step("other", 2, commission="c0", demands={"hands": 1}, promise_slot=11),
    ]
    shop = instance(steps, chain("cut", "glue", "sand"), first_slot=10, resources=[resource("hands", 1)])
    plan = first_plan(shop)
    assert check(shop, plan) == []
    assert plan.places["cut"] == Placed(2, 9)
    assert plan.places["glue"] == Placed(10, 12)


def test_a_date_agreed_keeps_the_van_although_others_are_more_urgent() -> None:
    steps = [
        step("agreed", demands={"van": 1}, fixed_slot=6, told_client=True, commission="c9"),
        step("urgent", 8, demands={"van": 1}, promise_slot=2, commission="c1"),
    ]
    shop = instance(steps, resources=[resource("van", 1)])
    plan = first_plan(shop)
    assert plan.places["agreed"] == Placed(6, 7)
    assert plan.places["urgent"] == Placed(7, 15)


def test_floor_already_stood_on_is_not_refused_even_where_it_is_too_much() -> None:
    steps, links, spans = [], [], []
    for c in ("c1", "c2"):
        steps += [
            step(f"{c}-carcasses", 4, commission=c, started_slot=0, finished_slot=4),
            step(f"{c}-load", 1, commission=c),
        ]
        links += chain(f"{c}-carcasses", f"{c}-load")
        spans.append(FloorSpan(c, f"{c}-carcasses", f"{c}-load", "floor"))
    shop = instance(steps, links, floor_spans=spans, resources=[resource("floor", 1)], first_slot=6)
    plan = first_plan(shop)
    assert (check(shop, plan), plan.refused) == ([], ())


def test_a_commission_without_room_before_the_calendar_ends_says_so() -> None:
    steps = [step(f"a{n}", 200, commission=f"c{n}", demands={"hands": 1}) for n in range(3)]
    shop = instance(steps, resources=[resource("hands", 1)])
    plan = first_plan(shop)
    assert [one.commission_id for one in plan.refused] == ["c2"]
    assert "no room for all its steps before the calendar ends" in plan.refused[0].sentence
    assert check(shop, plan) == []


@pytest.mark.parametrize("bad", [{"half_days": -3}, {"demands": {"hands": 9}}, {"needs": ("never",)}])
def test_one_bad_row_sets_one_commission_aside(bad: dict) -> None:
    half_days = bad.pop("half_days", 1)
    steps = [step("bad", half_days, commission="c1", **bad), step("good", 2, commission="c2", demands={"hands": 1})]
    shop = instance(steps, resources=[resource("hands", 1)], calendars=[calendar("never", [], "no day at all")])
    plan = first_plan(shop)
    assert [one.commission_id for one in plan.refused] == ["c1"]
    assert plan.places == {"good": Placed(0, 2)}
