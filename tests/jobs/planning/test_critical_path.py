"""Earliest and latest dates and the slack of a commission; figures worked by hand in the comments."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from jobs.planning.critical_path import Slack, all_slacks, critical_path, slack
from jobs.planning.network import DAYS, Link
from tests.jobs.planning.cast import (
    AXIS,
    calendar,
    chain,
    instance,
    sprayer,
    step,
    wardrobe,
    wardrobe_links,
    workshop,
)


def test_a_step_waits_for_its_calendar_and_for_enough_open_half_days_in_a_row() -> None:
    network = instance(
        [step("a", 2), step("b", 3, needs=("home",))],
        chain("a", "b"),
        calendars=[calendar("home", [2, 3, 7, 8, 9, 10])],
    )
    assert critical_path(network)["b"].earliest_start == 7


def test_greatest_wait_holds_the_earlier_step_back() -> None:
    network = instance(
        [step("load", 1), step("deliver", 1, needs=("home",))],
        [Link("load", "deliver", 0, 6)],
        calendars=[calendar("home", range(40, 60))],
    )
    windows = critical_path(network)
    # delivered in slot 40, so loading ends at 34 at the earliest
    assert (windows["load"].earliest_start, windows["deliver"].earliest_start) == (33, 40)


def test_lead_time_runs_in_the_subcontractors_own_calendar() -> None:
    # Left on Monday 2 March, five working days: 3, 4, 5, 6 and 9 March; fetched on the 10th.
    steps = [step("spray", 0, lead_days=5, subcontractor_id="sprayer"), step("back", 1)]
    network = instance(steps, chain("spray", "back"), subcontractors=[sprayer()])
    assert AXIS.date_of(critical_path(network)["back"].earliest_start) == date(2026, 3, 10)
    closed = sprayer([date(2026, 3, 5), date(2026, 3, 6)])
    network = instance(steps, chain("spray", "back"), subcontractors=[closed])
    assert AXIS.date_of(critical_path(network)["back"].earliest_start) == date(2026, 3, 12)


def test_return_visit_window_is_counted_in_calendar_days() -> None:
    network = instance([step("handover"), step("return")], [Link("handover", "return", 42, 56, DAYS)])
    windows = critical_path(network)
    assert AXIS.date_of(windows["return"].earliest_start) == date(2026, 4, 13)


def test_slack_is_latest_wrap_start_less_the_later_strands_earliest_finish() -> None:
    network = instance(
        [
            step("carcasses", 6, track="carcasses"),
            step("doors", 3, track="doors"),
            step("wrap", 1, kind="wrap"),
            step("load", 1),
            step("deliver", 1, fixed_slot=20),
        ],
        [*chain("carcasses", "wrap", "load", "deliver"), Link("doors", "wrap", least_wait=1)],
    )
    # deliver starts at 20, load by 19, wrap by 18; the carcasses come in at 6: 12 half-days
    assert slack(network, "c1") == Slack(12, "wrap", "deliver", "carcasses", "carcasses")


def test_slack_is_negative_by_as_much_as_the_date_is_lost() -> None:
    network = instance(
        [step("doors", 9), step("wrap", 1, kind="wrap"), step("deliver", 1, promise_slot=8)],
        chain("doors", "wrap", "deliver"),
    )
    # deliver over by 8, so wrap starts at 6; the doors come in at 9
    found = slack(network, "c1")
    assert found is not None and found.half_days == -3


def test_slack_of_a_commission_under_way_counts_from_what_is_finished() -> None:
    network = instance(
        [
            step("doors", 9, started_slot=0, finished_slot=12),
            step("wrap", 1, kind="wrap"),
            step("deliver", 1, fixed_slot=30),
        ],
        [Link("doors", "wrap", least_wait=4), *chain("wrap", "deliver")],
        first_slot=13,
    )
    assert slack(network, "c1") == Slack(29 - 16, "wrap", "deliver", "", "doors")


def test_slack_is_none_without_a_date_told() -> None:
    assert slack(instance([step("wrap", kind="wrap")]), "c1") is None


def test_all_slacks_agree_with_single_ones() -> None:
    shop = workshop(3)
    assert all_slacks(shop) == {c.id: slack(shop, c.id) for c in shop.commissions}


def test_fixed_delivery_of_a_whole_wardrobe_bounds_wrap_and_load() -> None:
    base = workshop(1)
    steps = wardrobe("c1", fixed_delivery=102)
    shop = replace(base, steps=tuple(steps), links=tuple(wardrobe_links("c1")))
    windows = critical_path(shop)
    # loading is at most 6 half-days before delivery in slot 102 and ends by then
    assert windows["c1j-load"].earliest_start == 95
    assert windows["c1j-load"].latest_start == 101
    assert windows["c1i-wrap"].latest_start == 100
