"""Broken promises are named, and remedies are computed by planning again, never guessed."""

from __future__ import annotations

from dataclasses import replace

from jobs.planning import broken_dates, first_plan, what_would_help
from jobs.planning.clash import Remedy
from jobs.planning.network import Instance
from tests.jobs.planning.cast import calendar, chain, instance, resource, sprayer, step, workshop


def late_shop() -> Instance:
    """One commission: doors 4, sprayer 8 working days, fit 4 when the client is home; promised far too early."""
    steps = [
        step("doors", 4, words="doors", demands={"hands": 1}),
        step("spray", 0, words="sprayer", lead_days=8, subcontractor_id="sprayer"),
        step("fit", 4, words="fitting", demands={"hands": 2}, needs=("home",), promise_slot=26, told_client=True),
    ]
    hands = replace(resource("hands", 2, words="a pair of hands"), another="another pair of hands")
    home = replace(calendar("home", range(30, 200), "the client at home"), any_day="the client at home on any day")
    return instance(
        steps, chain("doors", "spray", "fit"), resources=[hands], calendars=[home], subcontractors=[sprayer()]
    )


def test_the_broken_promise_is_named_with_its_reason() -> None:
    shop = late_shop()
    (broken,) = broken_dates(shop, first_plan(shop))
    # fitted in slots 30 to 33, promised by 26: 8 half-days late
    assert (broken.step_id, broken.late_half_days, broken.told_client) == ("fit", 8, True)
    assert broken.sentence.startswith(
        "the c1 job: fitting was to be over by Wednesday 18 March, afternoon (the client was told) "
        "and comes 8 half-days late. Fitting of the c1 job is on Monday 23 March, morning: "
        "it waits for the client at home"
    )


def test_remedies_that_help_are_ranked_and_those_that_do_not_are_left_out() -> None:
    shop = late_shop()
    # doors end at 4 (4 March); 8 working days from the day after: 5 to 16 March, back on the 17th, slot 22
    assert what_would_help(shop, first_plan(shop), "fit") == [
        Remedy("the client at home on any day", 0, 8),
        Remedy("a day less for fitting", 6, 2),
    ]


def test_another_pair_of_hands_helps_where_hands_are_short() -> None:
    steps = [
        step("a", 8, commission="c1", demands={"hands": 1}, promise_slot=8, weight=5),
        step("b", 2, commission="c2", demands={"hands": 1}, promise_slot=4),
    ]
    hands = replace(resource("hands", 1), another="another pair of hands")
    shop = instance(steps, resources=[hands])
    plan = first_plan(shop)
    (broken,) = broken_dates(shop, plan)
    remedies = what_would_help(shop, plan, broken.step_id)
    assert remedies[0] == Remedy("another pair of hands", 0, broken.late_half_days)


def test_a_plan_that_keeps_every_date_has_no_broken_ones() -> None:
    shop = workshop(2)
    assert broken_dates(shop, first_plan(shop)) == []


def test_two_promises_that_cannot_both_hold_still_give_a_plan() -> None:
    steps = [
        step("a", 3, commission="c1", demands={"van": 1}, fixed_slot=4, told_client=True),
        step("b", 3, commission="c2", demands={"van": 1}, fixed_slot=4, told_client=True, words="delivery"),
    ]
    shop = instance(steps, resources=[resource("van", 1, words="the van")])
    plan = first_plan(shop)
    (broken,) = broken_dates(shop, plan)
    assert (broken.step_id, broken.late_half_days) == ("b", 3)
    assert "delivery was to start by Wednesday 4 March, morning" in broken.sentence
    assert "waits for the van, taken until then by a of the c1 job" in broken.sentence
