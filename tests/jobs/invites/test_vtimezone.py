from __future__ import annotations

from datetime import UTC, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from dateutil import tz as dateutil_tz

from jobs.invites.calendar_file import build_request
from jobs.invites.facts import FactFault
from jobs.invites.vtimezone import build_vtimezone, zone_rules
from tests.jobs.invites.samples import ASKED_AT, VISIT, heads_of, lines_of, visit

REGULAR = [
    "Europe/London",
    "Europe/Dublin",
    "Europe/Lisbon",
    "Europe/Berlin",
    "America/New_York",
    "Australia/Sydney",
    "Australia/Lord_Howe",
    "Pacific/Auckland",
    "Asia/Kolkata",
    "Europe/Moscow",
]
IRREGULAR = ["Africa/Casablanca", "Asia/Gaza"]  # their changes follow the moon
UNIVERSAL = ["UTC", "Etc/UTC", "GMT"]


def read_by_dateutil(zone: str) -> object:
    """The zone as dateutil reads our VTIMEZONE: independent of icalendar and of zoneinfo."""
    rules = zone_rules(zone)
    assert rules is not None
    text = "BEGIN:VCALENDAR\r\n" + build_vtimezone(rules).to_ical().decode() + "END:VCALENDAR\r\n"
    return dateutil_tz.tzical(StringIO(text)).get(zone)


def half_hours_around_changes(zone: str, years: range) -> list[datetime]:
    """Each half hour within five hours of every change of the zone, found by brute force."""
    tz = ZoneInfo(zone)
    hour = datetime(years.start, 1, 1, tzinfo=UTC)
    found = []
    while hour.year < years.stop:
        after = hour + timedelta(hours=24)
        if hour.astimezone(tz).utcoffset() != after.astimezone(tz).utcoffset():
            found += [hour + timedelta(minutes=30 * step) for step in range(-10, 58)]
        hour = after
    return found


@pytest.mark.parametrize("zone", REGULAR)
def test_offsets_equal_those_of_the_zone_database_around_each_change(zone: str) -> None:
    tz, ours = ZoneInfo(zone), read_by_dateutil(zone)
    moments = half_hours_around_changes(zone, range(2026, 2031))
    moments += [datetime(2026, month, 15, 12, tzinfo=UTC) for month in range(1, 13)]
    told = [moment.astimezone(tz) for moment in moments]
    # Local times that come twice are left out: a plain local time means its first coming (RFC 5545 3.3.5).
    once = [local for local in told if local.utcoffset() == local.replace(fold=0).utcoffset()]
    once = [local for local in once if local.utcoffset() == local.replace(fold=1).utcoffset()]
    wrong = [local for local in once if local.replace(tzinfo=ours).utcoffset() != local.utcoffset()]
    assert wrong == []
    assert len(once) >= 12


@pytest.mark.parametrize("zone", IRREGULAR + UNIVERSAL)
def test_a_zone_without_lasting_rules_is_told_in_utc(zone: str) -> None:
    assert zone_rules(zone) is None
    lines = lines_of(build_request(visit(zone=zone), ASKED_AT))
    assert "DTSTART:20261024T083000Z" in lines
    assert "BEGIN:VTIMEZONE" not in lines


def test_a_zone_with_one_offset_has_one_observance() -> None:
    rules = zone_rules("Asia/Kolkata")
    assert rules is not None
    lines = lines_of(build_vtimezone(rules).to_ical())
    assert [line for line in lines if line.startswith("BEGIN:")] == ["BEGIN:VTIMEZONE", "BEGIN:STANDARD"]
    assert "TZOFFSETTO:+0530" in lines


def test_a_visit_before_the_rules_began_is_told_in_utc() -> None:
    old = visit(starts_at=datetime(1990, 7, 3, 8, 0, tzinfo=UTC), ends_at=datetime(1990, 7, 3, 9, 0, tzinfo=UTC))
    assert heads_of(build_request(old, ASKED_AT), "DTSTART") == ["DTSTART"]


def test_the_second_coming_of_a_local_time_is_told_in_utc() -> None:
    """25 October 2026: 01:30 comes at 00:30 UTC and again at 01:30 UTC; trap 12 of icalendar loses the fold."""
    first, second = (
        visit(
            starts_at=datetime(2026, 10, 25, hour, 30, tzinfo=UTC),
            ends_at=datetime(2026, 10, 25, 5, 0, tzinfo=UTC),
        )
        for hour in (0, 1)
    )
    assert "DTSTART;TZID=Europe/London:20261025T013000" in lines_of(build_request(first, ASKED_AT))
    assert "DTSTART:20261025T013000Z" in lines_of(build_request(second, ASKED_AT))


def test_the_vtimezone_stays_small() -> None:
    """Two rules, no list of dates: the library's own form is over 3,000 bytes."""
    rules = zone_rules(VISIT.zone)
    assert rules is not None
    body = build_vtimezone(rules).to_ical()
    assert (body.count(b"RRULE"), body.count(b"RDATE")) == (2, 0)
    assert len(body) < 400


def test_an_unknown_zone_is_refused_by_name() -> None:
    with pytest.raises(FactFault, match="Europe/Marrowby") as caught:
        visit(zone="Europe/Marrowby")
    assert caught.value.field == "zone"
