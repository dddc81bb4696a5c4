from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from icalendar import Calendar

from jobs.invites.calendar_file import build_cancel, build_feed, build_request, feed_etag
from jobs.invites.facts import FactFault, VisitFacts
from jobs.refusal import Refusal
from tests.jobs.invites.programs import read_with_libical
from tests.jobs.invites.samples import ASKED_AT, VISIT, WINTER_VISIT, lines_of, values_of, visit


def many(count: int) -> list[VisitFacts]:
    return [
        replace(
            VISIT,
            uid=f"00000000-0000-4000-8000-{number:012d}",
            starts_at=VISIT.starts_at + timedelta(days=number // 2),
            ends_at=VISIT.ends_at + timedelta(days=number // 2),
            cancelled=number % 5 == 0,
        )
        for number in range(count)
    ]


def test_the_same_visit_and_version_gives_the_same_bytes() -> None:
    assert build_request(visit(), ASKED_AT) == build_request(visit(), ASKED_AT)
    assert build_cancel(visit(sequence=1), ASKED_AT) == build_cancel(visit(sequence=1), ASKED_AT)


def test_a_feed_does_not_depend_on_the_order_of_the_visits() -> None:
    visits = many(20)
    shuffled = visits[:]
    random.Random(7).shuffle(shuffled)
    assert build_feed(visits, "Visits") == build_feed(shuffled, "Visits")


def test_the_entity_tag_changes_with_any_change_and_only_then() -> None:
    tag = feed_etag(build_feed([VISIT], "Visits"))
    assert feed_etag(build_feed([VISIT], "Visits")) == tag
    changed = visit(location="9 Tern Lane, Marrowby")
    assert feed_etag(build_feed([changed], "Visits")) != tag
    assert tag.startswith('"') and tag.endswith('"') and len(tag) == 34  # RFC 9110 8.8.3: a quoted string


def test_cancelled_visits_are_left_out_of_a_feed_unless_asked_for() -> None:
    visits = many(10)
    live = [facts.uid for facts in visits if not facts.cancelled]
    assert values_of(build_feed(visits, "Visits"), "UID") == live
    whole = build_feed(visits, "Visits", with_cancelled=True)
    assert sorted(values_of(whole, "UID")) == sorted(facts.uid for facts in visits)
    assert values_of(whole, "STATUS").count("CANCELLED") == 2


def test_a_feed_of_two_zones_defines_each_once() -> None:
    sydney = replace(WINTER_VISIT, zone="Australia/Sydney")
    assert values_of(build_feed([VISIT, WINTER_VISIT], "Visits"), "TZID") == ["Europe/London"]
    assert values_of(build_feed([VISIT, sydney], "Visits"), "TZID") == ["Australia/Sydney", "Europe/London"]


def test_a_feed_without_visits_is_still_a_calendar() -> None:
    """RFC 5545 3.6: a calendar has at least one component."""
    feed = build_feed([], "Visits")
    assert len(Calendar.from_ical(feed).subcomponents) == 1
    libical = read_with_libical(feed)
    assert libical is None or (libical.fits, libical.errors) == (True, 0)


def test_two_visits_with_one_uid_are_refused() -> None:
    with pytest.raises(FactFault) as caught:
        build_feed([VISIT, VISIT], "Visits")
    assert caught.value.field == "uid"


def test_the_summer_and_winter_samples_are_told_at_half_past_nine() -> None:
    assert "DTSTART;TZID=Europe/London:20261024T093000" in lines_of(build_request(VISIT, ASKED_AT))
    assert "DTSTART;TZID=Europe/London:20261201T093000" in lines_of(build_request(WINTER_VISIT, ASKED_AT))


def test_empty_description_and_place_are_left_out() -> None:
    body = build_request(visit(description="\r\n", location=" "), ASKED_AT)
    assert (values_of(body, "DESCRIPTION"), values_of(body, "LOCATION")) == ([], [])


NAIVE = datetime(2026, 10, 24, 9, 30)  # noqa: DTZ001


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("uid", {"uid": ""}),
        ("uid", {"uid": "with blank"}),
        ("sequence", {"sequence": -1}),
        ("starts_at", {"starts_at": NAIVE}),
        ("ends_at", {"ends_at": VISIT.starts_at}),
        ("attendance", {"attendance": "PERHAPS"}),
        ("zone", {"zone": ""}),
        ("zone", {"zone": "../../etc/passwd"}),
        ("url", {"url": "javascript:alert(1)"}),
        ("url", {"url": "https://example.org/a\r\nATTENDEE:mailto:eve@example.org"}),
        ("organiser_email", {"organiser_email": "office"}),
    ],
)
def test_bad_facts_are_refused_by_field_with_a_sentence(field: str, changes: dict[str, object]) -> None:
    with pytest.raises(Refusal) as caught:
        build_request(visit(**changes), ASKED_AT)
    assert caught.value.field == field
    assert caught.value.sentence.endswith(".")


def test_attendance_may_be_given_in_small_letters() -> None:
    body = build_request(visit(attendance="accepted"), ASKED_AT)
    assert "PARTSTAT=ACCEPTED" in body.replace(b"\r\n ", b"").decode()


def test_a_time_in_another_zone_is_kept_as_its_instant() -> None:
    tokyo = datetime.fromisoformat("2026-10-24T17:30:00.5+09:00")
    facts = visit(starts_at=tokyo)
    assert (facts.starts_at, facts.starts_at.tzinfo) == (datetime(2026, 10, 24, 8, 30, tzinfo=UTC), UTC)
