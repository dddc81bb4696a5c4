"""The independent checker finds each kind of fault; a checker that never speaks would prove nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from jobs.planning.check import check
from jobs.planning.first_plan import first_plan
from jobs.planning.network import DAYS, FloorSpan, Link, Placed
from tests.jobs.planning.cast import calendar, chain, instance, resource, sprayer, step, workshop

SHOP = workshop(2)
PLAN = first_plan(SHOP)


def faults_with(**places: Placed) -> list[str]:
    moved = {id.replace("_", "-"): place for id, place in places.items()}
    return check(SHOP, replace(PLAN, places={**PLAN.places, **moved}))


def test_a_good_plan_has_no_faults() -> None:
    assert check(SHOP, PLAN) == []


def test_a_step_without_a_place_is_named() -> None:
    places = {id: place for id, place in PLAN.places.items() if id != "c1l-fit"}
    assert check(SHOP, replace(PLAN, places=places)) == ["“c1l-fit” has no place."]


def test_wrong_length_and_wrong_order_are_found() -> None:
    fit = PLAN.places["c1l-fit"]
    assert any("takes 5 half-days instead of 4" in one for one in faults_with(c1l_fit=Placed(fit.start, fit.end + 1)))
    early = faults_with(c1b_doors=Placed(0, 4))
    assert any("“c1b-doors” comes -2 after “c1a-drawing”, less than 0" in one for one in early)


@pytest.mark.parametrize(
    ("network", "places", "said"),
    [
        (
            instance([step("a", needs=("home",))], calendars=[calendar("home", [3], "the client at home")]),
            {"a": Placed(2, 3)},
            "“a” needs the client at home on Tuesday 3 March, morning.",
        ),
        (
            instance([step("a", demands={"r": 1}), step("b", demands={"r": 1})], resources=[resource("r", 1)]),
            {"a": Placed(0, 1), "b": Placed(0, 1)},
            "r: 2 of 1 used on Monday 2 March, morning.",
        ),
        (
            instance([step("a"), step("b")], [Link("a", "b", 0, 3)]),
            {"a": Placed(0, 1), "b": Placed(5, 6)},
            "“b” comes 4 after “a”, over 3.",
        ),
        (
            instance([step("a"), step("b")], [Link("a", "b", 3, None, DAYS)]),
            {"a": Placed(0, 1), "b": Placed(4, 5)},
            "“b” comes 2 after “a”, less than 3.",
        ),
        (
            instance([step("a", 0, lead_days=5, subcontractor_id="sprayer")], subcontractors=[sprayer()]),
            {"a": Placed(0, 10)},
            "“a” takes 10 half-days instead of 12.",
        ),
        (
            instance([step("a", earliest_slot=4)], first_slot=3),
            {"a": Placed(2, 3)},
            "“a” starts in slot 2, before now (3).",
        ),
        (
            instance(
                [step("a"), step("b"), step("c", commission="c2"), step("d", commission="c2")],
                chain("a", "b") + chain("c", "d"),
                floor_spans=[FloorSpan("c1", "a", "b", "floor"), FloorSpan("c2", "c", "d", "floor")],
                resources=[resource("floor", 1)],
            ),
            {"a": Placed(0, 1), "b": Placed(4, 5), "c": Placed(4, 5), "d": Placed(5, 6)},
            "floor: 2 of 1 used on Wednesday 4 March, morning.",
        ),
    ],
)
def test_each_kind_of_fault_has_its_sentence(network, places, said) -> None:
    assert said in check(network, replace(PLAN, places=places, refused=()))


def test_an_agreed_start_may_not_be_moved_forward() -> None:
    network = instance([step("a", fixed_slot=8)])
    faults = check(network, replace(PLAN, places={"a": Placed(6, 7)}, refused=()))
    assert faults == ["“a” starts before its agreed date."]
    assert network.axis.date_of(8) == date(2026, 3, 6)
