"""Facts of single visits turned into visits for rounds."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from aftercare.booking.candidates import candidates
from aftercare.booking.facts import Busy, TimeWindow
from aftercare.booking.joining import agreed_visit, open_visit, open_windows, utc_of_minute
from aftercare.booking.rounds import DayWindow, RoundSettings, join_rounds
from aftercare.booking.wallclock import zone_of
from jobs.travel import Place
from tests.aftercare.booking.booking_makers import HANDED_OVER, made_facts, window_at

LONDON = zone_of("Europe/London")
HOME = Place(52.4, -1.5)


def test_a_minute_of_the_day_is_read_off_the_wall_on_both_sides_of_the_clock_change():
    assert utc_of_minute(date(2026, 10, 23), 600, LONDON) == datetime(2026, 10, 23, 9, 0, tzinfo=UTC)
    assert utc_of_minute(date(2026, 10, 26), 600, LONDON) == datetime(2026, 10, 26, 10, 0, tzinfo=UTC)


def test_open_windows_are_the_runs_of_possible_starts():
    """Access 9 to 13, 60 min; a visit of 10:30 to 11:00 by the clock next door splits the day."""
    busy = (Busy(datetime(2026, 10, 22, 9, 30, tzinfo=UTC), datetime(2026, 10, 22, 10, tzinfo=UTC), HOME),)
    facts = made_facts(
        last_day=43, default_access=(TimeWindow(time(9), time(13)),), duration_minutes=60, busy=busy, place=HOME
    )
    assert open_windows(facts) == (
        DayWindow(date(2026, 10, 22), 540, 630),
        DayWindow(date(2026, 10, 22), 660, 780),
        DayWindow(date(2026, 10, 23), 540, 780),
    )


def test_windows_hold_exactly_the_starts_of_the_candidates():
    facts = made_facts(default_access=(TimeWindow(time(9), time(12)), TimeWindow(time(14), time(17))))
    starts = [
        utc_of_minute(window.day, minute, LONDON)
        for window in open_windows(facts)
        for minute in range(window.opens_minute, window.closes_minute - facts.duration_minutes + 1, 15)
    ]
    assert starts == [option.starts_at for option in candidates(facts)]


def test_light_narrows_a_day_only_where_it_can_be_caught():
    days = [HANDED_OVER + timedelta(n) for n in (42, 43)]
    facts = made_facts(
        last_day=43, photo_windows={days[0]: window_at(days[0], 9, 32), days[1]: window_at(days[1], 4, 0)}
    )
    first, second = open_windows(facts)
    # The best light of 10:32 by the clock falls in visits of 90 min that start from 9:15 to 10:30.
    assert (first.opens_minute, first.closes_minute) == (555, 720)
    assert (second.opens_minute, second.closes_minute) == (480, 1080)
    wide, _ = open_windows(facts, in_light=False)
    assert (wide.opens_minute, wide.closes_minute) == (480, 1080)


def test_an_agreed_visit_keeps_its_time_and_an_open_one_joins_it():
    starts_at = datetime(2026, 10, 28, 11, 10, tzinfo=UTC)
    facts = made_facts(place=HOME)
    visits = [agreed_visit("agreed", facts, starts_at), open_visit("open", facts)]
    (day,) = join_rounds(visits, RoundSettings(home=HOME)).rounds
    assert day.day == date(2026, 10, 28)
    agreed = next(stop for stop in day.stops if stop.key == "agreed")
    assert utc_of_minute(day.day, agreed.starts_minute, LONDON) == starts_at
