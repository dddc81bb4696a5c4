"""Choosing the time of a return visit: reasons, spare days, what gives way and what never does."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

import pytest

from aftercare.booking.slots import (
    Busy,
    DayRange,
    Place,
    Preference,
    TimeWindow,
    candidates,
    choose,
    rank,
)
from tests.aftercare.booking.booking_makers import HANDED_OVER, made_facts, window_at

WINDOWS = {HANDED_OVER + timedelta(n): window_at(HANDED_OVER + timedelta(n), 9, 32) for n in range(35, 64)}


def at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)


def test_photo_window_and_the_weekday_asked_for_decide():
    """With the first Thursday gone, 29 October and 5 November are equal, and the earlier of equals wins."""
    away = (DayRange(date(2026, 10, 22), date(2026, 10, 22)),)
    choice = choose(made_facts(photo_windows=WINDOWS, preferred=Preference(weekday=3), client_away=away))
    assert choice.best.starts_at == at(date(2026, 10, 29), 8, 30)
    assert choice.best.ends_at == at(date(2026, 10, 29), 10)
    assert choice.best.reasons == ("the photo window 9:05 to 9:40 falls within the visit", "Thursday, as you asked")
    assert choice.yielded == ()


def test_the_same_sun_time_is_an_hour_later_by_the_clock_in_summer_time():
    choice = choose(made_facts(photo_windows=WINDOWS, client_away=(DayRange(date(2026, 10, 24), date(2026, 12, 1)),)))
    assert choice.best.reasons == ("the photo window 10:05 to 10:40 falls within the visit",)


def test_a_default_hour_stands_in_for_a_missing_window():
    choice = choose(made_facts(default_time=time(10)))
    # 10:00 British Summer Time on day 42.
    assert choice.best.starts_at == at(date(2026, 10, 22), 9)
    assert choice.best.reasons == ("no photo window; near the usual hour 10:00",)


def test_time_of_day_asked_for_is_met_and_told():
    best = choose(made_facts(preferred=Preference(start=time(14)))).best
    assert best.starts_at == at(date(2026, 10, 22), 13)
    assert "at 14:00, as you asked" in best.reasons


def test_a_visit_near_by_draws_the_day():
    near = Busy(at(date(2026, 10, 28), 13), at(date(2026, 10, 28), 15), Place(52.45, -1.9), "Aldermere")
    best = choose(made_facts(place=Place(52.4, -1.9), busy=(near,))).best
    assert best.day == date(2026, 10, 28)
    assert "on the same round as Aldermere, 11 min away" in best.reasons


def test_a_laden_day_is_avoided():
    load = {HANDED_OVER + timedelta(n): 2 for n in range(42, 57)} | {date(2026, 11, 3): 0}
    best = choose(made_facts(load=load)).best
    assert best.day == date(2026, 11, 3)
    assert "nothing else that day" in best.reasons


def test_alternatives_are_on_other_days_each_on_its_own():
    choice = choose(made_facts(photo_windows=WINDOWS), spares=3)
    days = [choice.best.day, *(option.day for option in choice.alternatives)]
    assert len(set(days)) == 4
    assert choose(made_facts(), spares=0).alternatives == ()


def test_refused_days_carry_their_reason():
    choice = choose(made_facts(client_away=(DayRange(date(2026, 10, 22), date(2026, 10, 23), "half term"),)))
    assert [(refusal.day.day, refusal.reason) for refusal in choice.refused] == [
        (22, "client away: half term"),
        (23, "client away: half term"),
        (24, "Saturday is not worked"),
        (25, "Sunday is not worked"),
        (31, "Saturday is not worked"),
        (1, "Sunday is not worked"),
    ]


def test_days_give_way_by_two_before_anything_else():
    """Away from day 42 to day 56: day 57 is the Friday after, days 40 and 41 come before."""
    choice = choose(made_facts(client_away=(DayRange(date(2026, 10, 22), date(2026, 11, 5)),)))
    assert choice.best.day == date(2026, 10, 21)
    assert choice.yielded == ("days 42 to 56 after handover, taken as 40 to 58",)
    assert "day 41, 1 day before the range agreed (42 to 56)" in choice.best.reasons


def test_then_the_makers_own_hours():
    """Access before nine only, 75 minutes: the maker has to come before eight."""
    early = (TimeWindow(time(7, 30), time(9)),)
    choice = choose(made_facts(default_access=early, duration_minutes=75))
    assert choice.best.starts_at == at(date(2026, 10, 22), 6, 45)
    assert choice.yielded == ("the maker's own hours, an hour longer at each end",)


def test_then_a_week_on_either_side():
    choice = choose(made_facts(client_away=(DayRange(date(2026, 10, 17), date(2026, 11, 8)),)))
    # Day 36 is Friday 16 October, six days early; day 60 is Monday 9 November, four days late.
    assert choice.best.day == date(2026, 11, 9)
    assert choice.yielded == ("days 42 to 56 after handover, taken as 35 to 63",)


def test_a_handover_entered_late_gets_the_coming_days():
    """4 January 2027 is day 116; the range has been past for two months."""
    choice = choose(made_facts(not_before=at(date(2027, 1, 4), 9)))
    assert choice.best.starts_at == at(date(2027, 1, 4), 10)
    assert choice.yielded == ("days 42 to 56 after handover, nearly or quite past, taken up to day 130",)


def test_client_away_all_along_leaves_the_visit_to_arrange_and_says_why():
    choice = choose(made_facts(client_away=(DayRange(date(2026, 9, 1), date(2026, 12, 31), "abroad"),)))
    assert choice.best is None
    assert choice.alternatives == ()
    assert choice.sentence == (
        "No time could be found between 15 October 2026 and 12 November 2026: client away: abroad "
        "(21 of 29 days); Saturday is not worked (4 of 29 days); Sunday is not worked (4 of 29 days)."
    )
    assert len(choice.refused) == 29


def test_access_never_gives_way():
    choice = choose(made_facts(access=dict.fromkeys(range(7), ())))
    assert choice.best is None
    assert "no access on Mondays (4 of 29 days)" in choice.sentence


def test_an_access_window_too_short_is_told_with_its_hours():
    choice = choose(made_facts(default_access=(TimeWindow(time(10), time(11)),), duration_minutes=90))
    assert choice.best is None
    assert "no access for 90 min on end (10:00 to 11:00)" in choice.sentence


def test_a_full_diary_is_told():
    busy = (Busy(at(date(2026, 10, 1), 0), at(date(2026, 11, 30), 0)),)
    assert "the maker's other visits and the journeys leave no gap" in choose(made_facts(busy=busy)).sentence


def test_spare_days_come_from_a_wider_range_where_the_range_has_only_one():
    away = (DayRange(date(2026, 10, 22), date(2026, 11, 4)),)
    choice = choose(made_facts(client_away=away))
    assert choice.best.day == date(2026, 11, 5)
    assert choice.yielded == ()
    assert [option.day for option in choice.alternatives] == [date(2026, 10, 21), date(2026, 11, 6)]
    assert choice.alternatives[1].reasons[-1] == "day 57, 1 day after the range agreed (42 to 56)"


def test_light_out_of_reach_is_named_among_what_gave_way():
    dawn = {day: window_at(day, 5, 0) for day in WINDOWS}
    choice = choose(made_facts(photo_windows=dawn))
    assert choice.yielded == ("the photo window: no time in the best light was as good as this one",)
    assert choice.best.in_photo_window is False


def test_rank_does_not_depend_on_the_order_given():
    options = candidates(made_facts(photo_windows=WINDOWS))
    assert rank(reversed(options)) == rank(options)
    best_first = rank(options)
    assert all(a.score >= b.score for a, b in pairwise(best_first))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"duration_minutes": 5}, "Length of the visit: 5 min is outside 15 to 720"),
        ({"zone": "Europe/Nowhere"}, "Time zone: 'Europe/Nowhere' is not known"),
        ({"nation": "cornwall"}, "Nation: 'cornwall' is not one of england"),
        ({"weekdays": frozenset({7})}, "Weekdays worked"),
        ({"earliest": time(18), "latest": time(8)}, "Latest hour"),
        ({"speed_kmh": 0}, "Travel: the speed must be above 0"),
        ({"first_day": 0}, "First day of the return visit: 0"),
        ({"not_before": datetime(2026, 1, 1)}, "Not before: the time needs a time zone"),  # noqa: DTZ001
    ],
)
def test_bad_facts_are_named(changes, words):
    with pytest.raises(ValueError) as error:
        made_facts(**changes)
    assert words in str(error.value)


def test_a_window_that_ends_before_it_starts_is_named():
    with pytest.raises(ValueError, match="Access: the window ends at 09:00"):
        TimeWindow(time(9), time(9))


def test_visits_never_start_before_now():
    facts = made_facts(not_before=at(date(2026, 10, 29), 14, 20))
    first = candidates(facts)[0]
    assert first.starts_at == at(date(2026, 10, 29), 14, 30)
