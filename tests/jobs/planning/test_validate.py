"""Bad input is refused in a sentence, and only its own commission is set aside."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jobs.planning.calendars import HalfDayAxis
from jobs.planning.network import Instance, Link, Refused, Step
from jobs.planning.validate import validate
from tests.jobs.planning.cast import calendar, chain, instance, resource, step


def refusal(network: Instance) -> Refused:
    _good, refused = validate(network)
    assert len(refused) == 1
    return refused[0]


def test_cycle_is_named_step_by_step() -> None:
    network = instance(
        [step("a", words="cut"), step("b", words="glue"), step("c", words="sand")], chain("a", "b", "c", "a")
    )
    assert refusal(network).sentence == (
        "the c1 job: the steps go round in a circle: “cut” → “glue” → “sand” → “cut”; remove one of these links."
    )


def test_two_calendars_that_never_meet_are_both_named() -> None:
    network = instance(
        [step("a", 1, words="deliver", needs=("van", "home", "shop"))],
        calendars=[
            calendar("shop", range(100), "the workshop's days"),
            calendar("van", [2, 3], "the van's days"),
            calendar("home", [4, 5], "the client's days"),
        ],
    )
    sentence = refusal(network).sentence
    assert "the van's days and the client's days never leave that together" in sentence
    assert "workshop" not in sentence


def test_demand_above_capacity_names_the_resource() -> None:
    network = instance([step("a", demands={"hands": 3})], resources=[resource("hands", 2, words="hands")])
    assert "asks for 3 of hands, and there are never more than 2" in refusal(network).sentence


@pytest.mark.parametrize("half_days", [-1, 0, 241])
def test_absurd_allowance_is_refused_with_the_range(half_days: int) -> None:
    sentence = refusal(instance([step("a", half_days, words="sanding")])).sentence
    assert f"the allowance of “sanding” is {half_days} half-days; give a number from 1 to 240" in sentence


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (step("a", needs=("moon",)), "needs the calendar moon"),
        (step("a", demands={"crane": 1}), "asks for crane"),
        (step("a", 0, lead_days=5), "no known subcontractor"),
        (step("a", 0, lead_days=-5), "lead time of “a” is -5"),
        (step("a", started_slot=9, finished_slot=4), "finished before it was started"),
        (step("a", earliest_slot=10_000), "the calendar ends too soon"),
    ],
)
def test_other_faults_have_a_sentence(bad: Step, said: str) -> None:
    assert said in refusal(instance([bad])).sentence


def test_wait_the_wrong_way_round_is_refused() -> None:
    network = instance([step("a"), step("b")], [Link("a", "b", 5, 3)])
    assert "the wait between “a” and “b” is from 5 to 3" in refusal(network).sentence


def test_waits_that_contradict_each_other_are_refused_with_the_pair() -> None:
    steps = [step("a", words="load"), step("b", 4, words="drive"), step("c", words="deliver")]
    network = instance(steps, [*chain("a", "b", "c"), Link("a", "c", 0, 3)])
    assert "“deliver” may come at most 3 half-days after “load”" in refusal(network).sentence
    assert validate(instance(steps, [*chain("a", "b", "c"), Link("a", "c", 0, 4)]))[1] == ()


def test_one_number_used_twice_sets_both_commissions_aside() -> None:
    network = instance([step("a", commission="c1"), step("a", commission="c2"), step("b", commission="c3")])
    good, refused = validate(network)
    assert [one.commission_id for one in refused] == ["c1", "c2"]
    assert [one.id for one in good.steps] == ["b"]


def test_a_calendar_without_a_working_day_is_said() -> None:
    network = instance([step("a")], axis=HalfDayAxis(()))
    assert "the calendar ends too soon after a calendar without a working day" in refusal(network).sentence


def test_a_bad_commission_never_stops_the_others() -> None:
    network = instance(
        [step("a", -1, commission="c1"), step("b", 1, commission="c2"), step("c", 1, commission="c2")],
        chain("b", "c"),
    )
    good, refused = validate(network)
    assert [one.commission_id for one in refused] == ["c1"]
    assert [one.id for one in good.steps] == ["b", "c"]


def test_a_good_instance_comes_back_unchanged() -> None:
    network = instance([step("a"), step("b")], chain("a", "b"))
    assert validate(network) == (network, ())
    assert replace(network) == network
