"""Our calendar files read by programs that are not ours.

vobject, recurring-ical-events and Radicale with caldav come from requirements-test.txt; ical.js and libical are used
where the machine has them (node with npm; Debian's package libical3), and skipped visibly where not.
The hours are those of the United Kingdom: clocks went back at 01:00 UTC on 25 October 2026, so 24 October
09:30 is 08:30 UTC and 1 December 09:30 is 09:30 UTC (Summer Time Order 2002: last Sundays of March and October).
"""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import caldav
import pytest
import recurring_ical_events
import vobject
from icalendar import Calendar

from jobs.invites.calendar_file import build_cancel, build_feed, build_request
from jobs.invites.facts import VisitFacts
from tests.jobs.invites.programs import read_with_ical_js, read_with_libical
from tests.jobs.invites.samples import ASKED_AT, VISIT, WINTER_VISIT, visit

SUMMER_VISIT = visit(
    uid="2b1fb6a3-24f2-4c06-8a7c-3f2c70a6f0ce",
    starts_at=datetime(2027, 7, 6, 8, 30, tzinfo=UTC),
    ends_at=datetime(2027, 7, 6, 11, 0, tzinfo=UTC),
)
SYDNEY_VISIT = visit(zone="Australia/Sydney")
UTC_VISIT = visit(zone="UTC")
VISITS = [VISIT, WINTER_VISIT, SUMMER_VISIT, SYDNEY_VISIT, UTC_VISIT]
NAMES = ["24 Oct 2026", "1 Dec 2026", "6 Jul 2027", "Sydney", "UTC"]
each_visit = pytest.mark.parametrize("facts", VISITS, ids=NAMES)


def wall_clock(moment: datetime) -> tuple[date, str]:
    return moment.date(), f"{moment:%H:%M %z}"


def test_wall_clock_of_the_two_winter_and_summer_samples_is_half_past_nine() -> None:
    read = {facts.uid: wall_clock(_vobject_start(build_request(facts, ASKED_AT))) for facts in VISITS[:2]}
    assert read == {
        VISIT.uid: (date(2026, 10, 24), "09:30 +0100"),
        WINTER_VISIT.uid: (date(2026, 12, 1), "09:30 +0000"),
    }


def _vobject_start(body: bytes) -> datetime:
    return vobject.readOne(body.decode()).vevent.dtstart.value


@each_visit
def test_vobject_validates_and_reads_the_same_instants_and_text(facts: VisitFacts) -> None:
    calendar = vobject.readOne(build_request(facts, ASKED_AT).decode())
    event = calendar.vevent
    assert calendar.validate() is True
    assert event.dtstart.value.astimezone(UTC) == facts.starts_at
    assert event.dtend.value.astimezone(UTC) == facts.ends_at
    assert (event.summary.value, event.description.value) == (facts.summary, facts.description)
    assert event.attendee.value == f"mailto:{facts.attendee_email}"
    assert event.organizer.params["CN"] == [facts.organiser_name]


@each_visit
def test_recurring_ical_events_finds_one_occurrence_on_the_day(facts: VisitFacts) -> None:
    calendar = Calendar.from_ical(build_request(facts, ASKED_AT))
    found = recurring_ical_events.of(calendar).between(facts.starts_at, facts.ends_at)
    assert [event["DTSTART"].dt.astimezone(UTC) for event in found] == [facts.starts_at]


@each_visit
def test_icalendar_reads_back_and_writes_the_same_bytes(facts: VisitFacts) -> None:
    body = build_request(facts, ASKED_AT)
    assert Calendar.from_ical(body).to_ical(sorted=False) == body


@each_visit
def test_ical_js_in_another_zone_reads_the_same_instants(facts: VisitFacts) -> None:
    read = read_with_ical_js(build_request(facts, ASKED_AT))
    if read is None:
        pytest.skip("ical.js is not here: needs node, npm and once the net")
    event = read["events"][0]
    assert read["method"] == "REQUEST"
    assert datetime.fromisoformat(event["start"]) == facts.starts_at
    assert datetime.fromisoformat(event["end"]) == facts.ends_at
    assert (event["uid"], event["summary"], event["description"], event["location"], event["sequence"]) == (
        facts.uid,
        facts.summary,
        facts.description,
        facts.location,
        facts.sequence,
    )
    assert event["attendees"] == [[f"mailto:{facts.attendee_email}", facts.attendee_name]]


def test_ical_js_reads_every_visit_of_a_feed_at_its_instant() -> None:
    feed = build_feed([VISIT, WINTER_VISIT, SUMMER_VISIT], "Visits")
    read = read_with_ical_js(feed)
    if read is None:
        pytest.skip("ical.js is not here: needs node, npm and once the net")
    starts = [datetime.fromisoformat(event["start"]) for event in read["events"]]
    assert starts == [VISIT.starts_at, WINTER_VISIT.starts_at, SUMMER_VISIT.starts_at]


@each_visit
def test_libical_finds_the_invitation_within_its_restrictions(facts: VisitFacts) -> None:
    read = read_with_libical(build_request(facts, ASKED_AT))
    if read is None:
        pytest.skip("libical is not here: Debian's package libical3")
    assert (read.fits, read.errors) == (True, 0)
    assert (read.starts_at, read.ends_at) == (facts.starts_at, facts.ends_at)


def test_libical_finds_cancellation_and_feed_within_its_restrictions() -> None:
    cancel = read_with_libical(build_cancel(visit(sequence=1), ASKED_AT))
    feed = read_with_libical(build_feed([VISIT, WINTER_VISIT], "Visits"))
    if cancel is None or feed is None:
        pytest.skip("libical is not here: Debian's package libical3")
    assert (cancel.fits, cancel.errors, feed.fits, feed.errors) == (True, 0, True, 0)


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("no organizer", b"ORGANIZER;", b"X-ORGANIZER;"),
        ("no attendee", b"ATTENDEE;", b"X-ATTENDEE;"),
        ("no uid", b"\r\nUID:", b"\r\nX-UID:"),
        ("no dtstamp", b"DTSTAMP:", b"X-DTSTAMP:"),
        ("two sequences", b"SEQUENCE:0\r\n", b"SEQUENCE:0\r\nSEQUENCE:1\r\n"),
        ("unknown status", b"STATUS:CONFIRMED", b"STATUS:BANANA"),
        ("no version", b"VERSION:2.0\r\n", b""),
    ],
)
def test_libical_would_catch_the_fault(name: str, old: bytes, new: bytes) -> None:
    """The check above means something only if the checker rejects what breaks the tables of RFC 5546."""
    body = build_request(VISIT, ASKED_AT)
    assert old in body, name
    read = read_with_libical(body.replace(old, new))
    if read is None:
        pytest.skip("libical is not here: Debian's package libical3")
    assert read.fits is False


@pytest.fixture(scope="module")
def caldav_calendar(tmp_path_factory: pytest.TempPathFactory) -> Iterator[caldav.Calendar]:
    """An empty calendar on a Radicale of our own, on the loopback address."""
    folder: Path = tmp_path_factory.mktemp("radicale")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    options = ["--server-hosts", f"127.0.0.1:{port}", "--auth-type", "none", "--rights-type", "authenticated"]
    command = [sys.executable, "-m", "radicale", *options, "--storage-filesystem-folder", str(folder)]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        _wait_for(port)
        with caldav.DAVClient(url=f"http://127.0.0.1:{port}/", username="maker", password="any") as client:
            yield client.principal().make_calendar(name="Visits")
    finally:
        server.terminate()
        server.wait(timeout=10)


def _wait_for(port: int) -> None:
    for _ in range(100):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise AssertionError("Radicale did not start within ten seconds")


@pytest.mark.service
@pytest.mark.parametrize("facts", [VISIT, WINTER_VISIT], ids=NAMES[:2])
def test_a_caldav_server_takes_a_visit_and_gives_it_back(caldav_calendar: caldav.Calendar, facts: VisitFacts) -> None:
    caldav_calendar.save_event(build_feed([facts], "Visits").decode())
    found = caldav_calendar.search(start=facts.starts_at, end=facts.ends_at, event=True, expand=True)
    events = [item.icalendar_component for item in found]
    assert [str(event["UID"]) for event in events] == [facts.uid]
    assert events[0]["DTSTART"].dt.astimezone(UTC) == facts.starts_at
    assert str(events[0]["SUMMARY"]) == facts.summary


@pytest.mark.service
def test_a_caldav_server_holds_one_event_after_a_move(caldav_calendar: caldav.Calendar) -> None:
    first = visit(uid="8e5f1d3e-1f0c-4a36-b9f0-5ae0d8cbb2a1")
    moved = visit(
        uid=first.uid,
        sequence=1,
        starts_at=datetime(2026, 11, 3, 9, 30, tzinfo=UTC),
        ends_at=datetime(2026, 11, 3, 12, 0, tzinfo=UTC),
    )
    for facts in (first, moved):
        caldav_calendar.save_event(build_feed([facts], "Visits").decode())
    kept = [
        item.icalendar_component
        for item in caldav_calendar.events()
        if str(item.icalendar_component["UID"]) == first.uid
    ]
    assert [event["DTSTART"].dt.astimezone(UTC) for event in kept] == [moved.starts_at]
