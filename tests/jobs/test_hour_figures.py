from __future__ import annotations

from statistics import median

from hypothesis import given
from hypothesis import strategies as st

from jobs.hour_figures import figures, folded, history, never_priced_minutes, per_unit, quarter_up
from jobs.models import COVERED_BY, HourKind
from jobs.queries.money_page import Exposure

KINDS = st.sampled_from([kind.value for kind in HourKind])
MINUTES = st.dictionaries(KINDS, st.integers(0, 10_000))


@given(MINUTES, MINUTES)
def test_no_minute_is_lost_between_what_was_noted_and_what_is_shown(allowance, noted):
    rows = figures(allowance, folded(noted, COVERED_BY))
    assert sum(row.actual_minutes for row in rows) == sum(noted.values())
    assert sum(row.allowance_minutes for row in rows) == sum(allowance.values())
    priced = sum(row.actual_minutes for row in rows if row.allowance_minutes)
    assert priced + never_priced_minutes(rows) == sum(noted.values())


def test_driving_counts_against_delivering_and_quoting_was_never_priced():
    rows = figures({"deliver": 240}, folded({"drive": 100, "carry": 200, "quote": 90}, COVERED_BY))
    assert [(row.kind, row.over_minutes, row.is_never_priced) for row in rows] == [
        ("deliver", 60, False),
        ("quote", 90, True),
    ]


def test_a_suggestion_is_the_median_rounded_up_to_a_quarter_of_an_hour():
    found = history([100, 121, 400])
    assert (found.jobs, found.median_minutes, found.suggested_minutes, found.is_enough) == (3, 121, 135, True)
    assert (history([]).suggested_minutes, history([]).is_enough) == (None, False)


@given(st.lists(st.tuples(st.integers(0, 5000), st.integers(0, 60)), max_size=20))
def test_per_unit_is_the_median_over_the_jobs_that_have_units(pairs):
    rates = [minutes / units for minutes, units in pairs if minutes and units]
    found = per_unit(pairs)
    assert found.jobs == len(rates)
    assert found.median_minutes == (median(rates) if rates else None)


@given(st.integers(0, 100_000))
def test_rounding_up_adds_less_than_a_quarter_and_gives_whole_quarters(minutes):
    assert 0 <= quarter_up(minutes) - minutes < 15
    assert quarter_up(minutes) % 15 == 0


@given(st.integers(0, 10**10), st.integers(0, 5000), st.integers(0, 5000), st.integers(0, 10**10))
def test_money_exposed_is_never_less_than_nothing_nor_more_than_the_price(price, done, rest, cleared):
    found = Exposure(price, done, done + rest, cleared)
    assert 0 <= found.exposed_pence <= price
    assert found.exposed_pence in (0, found.worked_pence - cleared)
    if rest == 0 and done:
        assert found.worked_pence == price
