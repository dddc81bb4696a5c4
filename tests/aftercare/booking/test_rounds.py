"""Rounds: equal to brute force up to seven visits, rules kept on larger ones, agreed visits left alone."""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from datetime import timedelta
from itertools import combinations, permutations

import pytest

from aftercare.booking.rounds import (
    HOME,
    DayWindow,
    RoundSettings,
    RoundVisit,
    TravelTable,
    join_rounds,
)
from jobs.travel import Place
from tests.aftercare.booking.round_makers import FIRST_DAY, SETTINGS, WORKSHOP, made_visits, near


def route_cost(order, day, visits, table, settings):
    """Cost of one day in this very order, or None when it cannot be driven; walks the day minute by minute."""
    now, here, travel = None, HOME, 0
    for visit in order:
        leg = table.minutes(here, visit.key)
        travel += leg
        if visit.agreed:
            if now is not None and now + leg > visit.windows[0].opens_minute:
                return None
            start = visit.windows[0].opens_minute
        else:
            start = (settings.day_starts_minute if now is None else now) + leg
            while not fits(visit, day, start):
                start += 1
                if start > 24 * 60:
                    return None
        now, here = start + visit.duration_minutes, visit.key
    travel += table.minutes(here, HOME)
    if not order[-1].agreed and now + table.minutes(here, HOME) > settings.day_ends_minute:
        return None
    moved = sum(visit.current_day not in (None, day) for visit in order)
    return travel + settings.day_cost_minutes + moved * settings.move_cost_minutes


def fits(visit, day, start):
    inside = any(
        window.day == day and window.opens_minute <= start and start + visit.duration_minutes <= window.closes_minute
        for window in visit.windows
    )
    return inside and start % 15 == 0


def brute_force(visits, settings, overrides=None):
    """The least cost over every way to give each visit a day or none, in every order."""
    table = TravelTable(tuple(visits), settings, overrides or {})
    days = sorted({window.day for visit in visits for window in visit.windows})
    spare = {visit.key: settings.unplaced_cost_minutes * (100 if visit.agreed else 1) for visit in visits}
    least = {frozenset(): 0}
    for day in days:
        here = [visit for visit in visits if any(window.day == day for window in visit.windows)]
        sets = {}
        for size in range(1, settings.most_visits + 1):
            for chosen in combinations(here, size):
                costs = [route_cost(order, day, visits, table, settings) for order in permutations(chosen)]
                possible = [cost for cost in costs if cost is not None]
                if possible:
                    sets[frozenset(visit.key for visit in chosen)] = min(possible)
        grown = dict(least)
        for done, cost in least.items():
            for chosen, more in sets.items():
                if not done & chosen:
                    grown[done | chosen] = min(grown.get(done | chosen, sys.maxsize), cost + more)
        least = grown
    return min(cost + sum(spare[key] for key in spare if key not in done) for done, cost in least.items())


def check_rounds(found, visits, settings, overrides=None):
    """Every rule of a round, and the figures it reports, reckoned again."""
    table = TravelTable(tuple(visits), settings, overrides or {})
    named = {visit.key: visit for visit in visits}
    placed = [stop.key for day in found.rounds for stop in day.stops]
    assert sorted(placed + [entry.key for entry in found.unplaced]) == sorted(named)
    assert len({day.day for day in found.rounds}) == len(found.rounds)
    for day in found.rounds:
        now, here, travel = day.leaves_minute, HOME, 0
        assert len(day.stops) <= settings.most_visits
        for stop in day.stops:
            visit, leg = named[stop.key], table.minutes(here, stop.key)
            assert stop.travel_before_minutes == leg
            assert stop.starts_minute == now + leg + stop.wait_before_minutes
            assert stop.wait_before_minutes >= 0
            assert stop.ends_minute - stop.starts_minute == visit.duration_minutes
            assert fits(visit, day.day, stop.starts_minute) or visit.agreed
            assert stop.moved is (visit.current_day not in (None, day.day))
            now, here, travel = stop.ends_minute, stop.key, travel + leg
        assert day.back_minute == now + table.minutes(here, HOME)
        assert day.travel_minutes == travel + table.minutes(here, HOME)
        alone = sum(table.minutes(HOME, s.key) + table.minutes(s.key, HOME) for s in day.stops)
        assert day.saved_minutes == alone - day.travel_minutes
        assert day.leaves_minute >= settings.day_starts_minute or named[day.stops[0].key].agreed
        assert day.back_minute <= settings.day_ends_minute or named[day.stops[-1].key].agreed
    assert found.travel_minutes == sum(day.travel_minutes for day in found.rounds)
    assert found.saved_minutes == sum(day.saved_minutes for day in found.rounds)


def crowded(count, seed):
    """Few days, so that visits compete; one agreed, one that may be moved."""
    visits = made_visits(count, seed, weeks=1, range_days=4)
    rng = random.Random(seed)
    index = next((n for n, visit in enumerate(visits) if visit.windows), None)
    if index is not None:
        opens = rng.choice((425, 605, 900))  # off the quarter hour, and one before the day starts
        day = visits[index].windows[0].day
        own = DayWindow(day, opens, opens + visits[index].duration_minutes)
        visits[index] = replace(visits[index], windows=(own,), agreed=True)
    visits[-1] = replace(visits[-1], current_day=FIRST_DAY + timedelta(1), agreed=False)
    if visits[-1].windows == () or index == len(visits) - 1:
        visits[-1] = replace(visits[-1], windows=(DayWindow(FIRST_DAY + timedelta(2), 540, 900),))
    return visits


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_cost_equals_brute_force(count, seed):
    visits = crowded(count, seed)
    found = join_rounds(visits, SETTINGS)
    assert found.proved
    assert found.cost_minutes == brute_force(visits, SETTINGS)
    check_rounds(found, visits, SETTINGS)


@pytest.mark.parametrize("seed", [4, 5, 6])
def test_cost_equals_brute_force_with_short_rounds_and_typed_journeys(seed):
    """A typed journey may break the triangle rule (a ferry, a gate); the order has to follow it."""
    visits = crowded(6, seed)
    settings = replace(SETTINGS, most_visits=2, unplaced_cost_minutes=90)
    overrides = {(0, 1): 3, (HOME, 2): 70, (3, HOME): 5, (4, 5): 120}
    found = join_rounds(visits, settings, overrides)
    assert found.cost_minutes == brute_force(visits, settings, overrides)
    check_rounds(found, visits, settings, overrides)


@pytest.mark.parametrize("solver", [True, False])
def test_forty_visits_keep_every_rule(solver):
    visits = made_visits(40, 1)
    found = join_rounds(visits, SETTINGS, solver=solver)
    check_rounds(found, visits, SETTINGS)
    assert found.proved is solver
    assert found.saved_minutes > 0


def test_same_input_gives_the_same_rounds():
    visits = made_visits(25, 7)
    assert join_rounds(visits, SETTINGS) == join_rounds(visits, SETTINGS)


def test_without_the_solver_the_rounds_say_so(monkeypatch):
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    visits = made_visits(12, 1)
    found = join_rounds(visits, SETTINGS)
    assert found.method == "joined one round after another, not proved the best: the solver is not installed"
    assert found.proved is False
    check_rounds(found, visits, SETTINGS)


def test_two_neighbours_share_a_day_and_the_saving_is_told():
    """Two visits 30 min out and next door to each other: one trip saves 60 min of the 120."""
    day = DayWindow(FIRST_DAY, 540, 900)
    there = near(WORKSHOP, 15, 90)
    visits = [RoundVisit("first", 60, (day,), there), RoundVisit("second", 60, (day,), there)]
    found = join_rounds(visits, SETTINGS)
    (only,) = found.rounds
    assert only.travel_minutes == 60
    assert found.saved_minutes == 60
    assert found.cost_minutes == 120
    assert [stop.starts_minute for stop in only.stops] == [540, 600]
    assert (only.leaves_minute, only.back_minute) == (510, 690)


def test_an_agreed_visit_is_never_moved_even_before_the_usual_day():
    own = RoundVisit("agreed", 60, (DayWindow(FIRST_DAY, 430, 490),), WORKSHOP, agreed=True)
    other = RoundVisit("open", 60, (DayWindow(FIRST_DAY, 540, 700),), WORKSHOP)
    (day,) = join_rounds([own, other], SETTINGS).rounds
    assert [(stop.key, stop.starts_minute) for stop in day.stops] == [("agreed", 430), ("open", 540)]


def test_visits_that_cannot_be_placed_say_why():
    day = FIRST_DAY
    visits = [
        RoundVisit("a", 90, (DayWindow(day, 600, 690),), WORKSHOP, agreed=True),
        RoundVisit("b", 90, (DayWindow(day, 630, 720),), WORKSHOP, agreed=True),
        RoundVisit("never", 60, (), WORKSHOP),
        RoundVisit("short", 60, (DayWindow(day, 600, 630),), WORKSHOP),
        RoundVisit("late", 60, (DayWindow(day, 600, 660),), WORKSHOP),
    ]
    found = join_rounds(visits, SETTINGS)
    reasons = {entry.key: entry.reason for entry in found.unplaced}
    assert reasons["never"] == "no day and hour is open for it"
    assert reasons["short"] == "no window is long enough for the visit and the journey there and back"
    assert reasons["late"] == "every day that is open for it is taken by other visits"
    clash = "it cannot be joined with the other agreed visits of that day"
    assert [reasons[key] for key in ("a", "b") if key in reasons] == [clash]


def test_a_day_too_crowded_to_try_everything_is_told_not_proved(monkeypatch):
    monkeypatch.setattr("aftercare.booking.routes.MOST_TRIES", 60)
    visits = made_visits(12, 3, weeks=1)
    found = join_rounds(visits, SETTINGS)
    assert found.proved is False
    assert found.method.endswith("on a crowded day not every round was tried")
    check_rounds(found, visits, SETTINGS)


def test_no_visits_give_no_rounds():
    found = join_rounds([], SETTINGS)
    assert (found.rounds, found.unplaced, found.cost_minutes, found.proved) == ((), (), 0, True)


def test_matrix_is_symmetric_from_coordinates_and_keeps_typed_journeys():
    visits = (RoundVisit(1, 60, (), near(WORKSHOP, 10, 0)), RoundVisit(2, 60, (), None))
    table = TravelTable(visits, RoundSettings(home=WORKSHOP), {(HOME, 1): 12, (2, HOME): 44, (HOME, 2): 40})
    assert table.matrix() == [[0, 12, 40], [12, 0, 30], [44, 30, 0]]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"duration_minutes": 0}, "Visit 1: the length has to be above 0 min"),
        ({"agreed": True, "windows": ()}, "Visit 1: an agreed visit has one window"),
        ({"agreed": True}, "exactly its own time"),
    ],
)
def test_bad_visits_are_named(changes, words):
    good = {"key": 1, "duration_minutes": 60, "windows": (DayWindow(FIRST_DAY, 540, 700),), "place": Place(52, -1)}
    with pytest.raises(ValueError) as error:
        RoundVisit(**(good | changes))
    assert words in str(error.value)


def test_two_visits_of_one_key_are_refused():
    twice = [RoundVisit(1, 60, ()), RoundVisit(1, 60, ())]
    with pytest.raises(ValueError, match="two visits have the same key"):
        join_rounds(twice, SETTINGS)
