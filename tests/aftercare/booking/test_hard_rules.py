"""No candidate ever breaks a hard rule, and no time that breaks none is kept back.

The checker knows nothing of the code it checks: it walks through each visit minute by minute on the local clock,
takes bank holidays from the hand-typed list, and reckons distances by the spherical law of cosines.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from math import acos, ceil, cos, radians, sin
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from aftercare.booking.slots import BookingFacts, Busy, DayRange, Place, TimeWindow, candidates, choose
from tests.aftercare.booking.booking_makers import window_at
from tests.reference.calendar_tables import BANK_HOLIDAYS, days_of

PLACES = [None, Place(52.4, -1.5), Place(52.45, -1.6), Place(52.9, -1.1)]
# Christmas, New Year and the like that fall at a weekend: no visit even where Saturdays are worked.
WEEKEND_HOLIDAYS = {
    nation: {date(2026, 12, 26), date(2027, 12, 25), date(2027, 12, 26), date(2028, 1, 1)}
    | ({date(2027, 1, 2), date(2028, 1, 2)} if nation == "scotland" else set())
    | ({date(2026, 7, 12)} if nation == "northern_ireland" else set())
    for nation in BANK_HOLIDAYS
}
SHUT = {
    nation: {day for year in (2026, 2027, 2028) for day in days_of(nation, year)} | WEEKEND_HOLIDAYS[nation]
    for nation in BANK_HOLIDAYS
}

hours = st.integers(0, 23)


@st.composite
def windows(draw: st.DrawFn) -> TimeWindow:
    opens = draw(st.integers(0, 80))
    closes = draw(st.integers(opens + 1, 95))
    return TimeWindow(time(*divmod(opens * 15, 60)), time(*divmod(closes * 15, 60)))


@st.composite
def made_up(draw: st.DrawFn) -> BookingFacts:
    handed_over = draw(st.dates(date(2026, 1, 1), date(2028, 9, 1)))
    first = draw(st.integers(1, 60))
    last = first + draw(st.integers(0, 10))
    start = handed_over + timedelta(first)

    def ranges() -> tuple[DayRange, ...]:
        return tuple(
            DayRange(start + timedelta(offset), start + timedelta(offset + length))
            for offset, length in draw(st.lists(st.tuples(st.integers(-3, 9), st.integers(0, 3)), max_size=2))
        )

    begins = [
        datetime.combine(start, time(0), UTC) + timedelta(minutes=m)
        for m in draw(st.lists(st.integers(0, 11 * 24 * 60), max_size=5))
    ]
    busy = tuple(
        Busy(begin, begin + timedelta(minutes=draw(st.integers(0, 400))), draw(st.sampled_from(PLACES)))
        for begin in begins
    )
    earliest = draw(st.sampled_from([time(0), time(7, 30), time(8)]))
    return BookingFacts(
        handed_over_on=handed_over,
        first_day=first,
        last_day=last,
        nation=draw(st.sampled_from(sorted(BANK_HOLIDAYS))),
        weekdays=draw(st.frozensets(st.integers(0, 6))),
        closures=ranges(),
        client_away=ranges(),
        absences=ranges(),
        access=draw(st.dictionaries(st.integers(0, 6), st.lists(windows(), max_size=2).map(tuple), max_size=3)),
        default_access=tuple(draw(st.lists(windows(), min_size=1, max_size=2))),
        earliest=earliest,
        latest=draw(st.sampled_from([time(16), time(18), time(23, 45)])),
        busy=busy,
        place=draw(st.sampled_from(PLACES)),
        duration_minutes=draw(st.sampled_from([15, 45, 60, 90, 200])),
        photo_windows={start: window_at(start, 10, 0)},
        not_before=draw(st.none() | st.just(datetime.combine(start, time(10, 7), UTC))),
    )


def gap_minutes(facts: BookingFacts, visit: Busy) -> int:
    """Whole minutes of the journey, by another formula than the code's."""
    here, there = facts.place, visit.place
    if here is None or there is None:
        return facts.unknown_travel_minutes
    if here == there:
        return 0
    a, b = radians(here.latitude_deg), radians(there.latitude_deg)
    east = radians(there.longitude_deg - here.longitude_deg)
    km = 6371.0088 * acos(sin(a) * sin(b) + cos(a) * cos(b) * cos(east))
    return ceil(km * facts.winding / facts.speed_kmh * 60 - 1e-3)


def broken_rule(facts: BookingFacts, start: datetime) -> str | None:
    """The first hard rule that a visit at `start` breaks, or None."""
    zone = ZoneInfo(facts.zone)
    end = start + timedelta(minutes=facts.duration_minutes)
    day = start.astimezone(zone).date()
    if not facts.first_day <= (day - facts.handed_over_on).days <= facts.last_day:
        return "range"
    if day.weekday() not in facts.weekdays or day in SHUT[facts.nation]:
        return "working day"
    if any(span.first <= day <= span.last for span in (*facts.closures, *facts.client_away, *facts.absences)):
        return "away"
    if facts.not_before is not None and start < facts.not_before:
        return "past"
    if any(moment.astimezone(zone).replace(tzinfo=None) in doubled_or_skipped(day) for moment in (start, end)):
        return "clock change"
    if not any(
        inside(facts, window, start, end, day, zone)
        for window in facts.access.get(day.weekday(), facts.default_access)
    ):
        return "access"
    for visit in facts.busy:
        gap = timedelta(minutes=gap_minutes(facts, visit))
        if not (start - gap >= visit.ends_at or end + gap <= visit.starts_at):
            return "overlap"
    return None


def inside(
    facts: BookingFacts, window: TimeWindow, start: datetime, end: datetime, day: date, zone: ZoneInfo
) -> bool:
    """Every minute of the visit lies in the window and in the maker's hours, on the same local day."""
    opens, closes = max(window.earliest, facts.earliest), min(window.latest, facts.latest)
    moment = start
    while moment <= end:
        local = moment.astimezone(zone)
        if local.date() != day or not opens <= local.time() <= closes:
            return False
        moment += timedelta(minutes=1)
    return True


def doubled_or_skipped(day: date) -> set[datetime]:
    """Quarter hours from 01:00 to 01:45 of the last Sunday of March and of October."""
    last_sunday = day.month in (3, 10) and day.weekday() == 6 and day.day > 24
    return {datetime.combine(day, time(1, m)) for m in range(60)} if last_sunday else set()


def every_quarter(facts: BookingFacts) -> list[datetime]:
    """All quarter hours of the range in UTC, with a day to spare on either side."""
    start = datetime.combine(facts.handed_over_on + timedelta(facts.first_day - 1), time(0), UTC)
    count = (facts.last_day - facts.first_day + 3) * 96
    return [start + timedelta(minutes=15 * number) for number in range(count)]


@settings(max_examples=150, deadline=None)
@given(made_up())
def test_candidates_are_exactly_the_quarter_hours_that_break_no_rule(facts):
    found = [option.starts_at for option in candidates(facts)]
    assert found == [start for start in every_quarter(facts) if broken_rule(facts, start) is None]


@settings(max_examples=60, deadline=None)
@given(made_up())
def test_a_choice_breaks_only_the_rules_it_names(facts):
    choice = choose(facts)
    if choice.best is None:
        assert choice.sentence.startswith("No time could be found between ")
        return
    # The maker's own hours may give way by an hour; access itself never does.
    longer_day = replace(
        facts,
        earliest=time(max(facts.earliest.hour - 1, 0), facts.earliest.minute),
        latest=time(min(facts.latest.hour + 1, 23), facts.latest.minute),
    )
    days = [choice.best.day, *(option.day for option in choice.alternatives)]
    assert len(set(days)) == len(days)
    for option in (choice.best, *choice.alternatives):
        assert option.starts_at.tzinfo is UTC
        assert option.ends_at - option.starts_at == timedelta(minutes=facts.duration_minutes)
        assert broken_rule(longer_day, option.starts_at) in (None, "range")
    named = [words for words in choice.yielded if not words.startswith("the photo window")]
    assert (broken_rule(facts, choice.best.starts_at) is None) is (named == [])


SUNDAYS = st.sampled_from([date(2026, 3, 29), date(2026, 10, 25), date(2027, 3, 28), date(2027, 10, 31)])


@settings(max_examples=60, deadline=None)
@given(sunday=SUNDAYS, window=windows(), duration=st.sampled_from([15, 45, 60, 90, 180]))
def test_the_night_of_a_clock_change_follows_the_same_rules(sunday, window, duration):
    facts = BookingFacts(
        handed_over_on=sunday - timedelta(days=42),
        last_day=42,
        weekdays=frozenset({6}),
        default_access=(window,),
        earliest=time(0),
        latest=time(23, 45),
        duration_minutes=duration,
    )
    found = [option.starts_at for option in candidates(facts)]
    allowed = [start for start in every_quarter(facts) if broken_rule(facts, start) is None]
    bounds = {window.earliest.hour, window.latest.hour}
    if 1 in bounds:
        # A window whose own bound is doubled or skipped is read the narrower way.
        assert set(found) <= set(allowed)
    else:
        assert found == allowed
