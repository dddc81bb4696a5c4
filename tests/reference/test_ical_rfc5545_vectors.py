"""Values printed in RFC 5545 itself, checked against our files and our reading. The section stands beside each."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar, Event

from jobs.invites.calendar_file import build_cancel, build_request
from jobs.invites.facts import FactFault
from jobs.invites.reply_calendar import read_calendar
from jobs.invites.vtimezone import build_vtimezone, change_between, zone_rules
from tests.jobs.invites.samples import ASKED_AT, lines_of, values_of, visit


def test_folding_of_3_1_is_undone_as_printed() -> None:
    """RFC 5545 3.1: the folded DESCRIPTION of the text, read by our reply reader as a COMMENT."""
    folded = (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nMETHOD:REPLY\r\nBEGIN:VEVENT\r\nUID:a\r\n"
        "COMMENT:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n"
        "END:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    assert read_calendar(folded).comment == "This is a long description that exists on a long line."


@pytest.mark.parametrize("letter", ["x", "é", "日", "🚪"])
def test_no_written_line_is_longer_than_75_octets(letter: str) -> None:
    """RFC 5545 3.1: 75 octets without the line break, counted in octets; no letter is cut in two."""
    body = build_request(visit(description=letter * 300, summary=letter * 90), ASKED_AT)
    physical = body.split(b"\r\n")
    assert max(len(line) for line in physical) <= 75
    assert [line.decode("utf-8") for line in physical]  # raises where a letter was cut
    assert values_of(body, "DESCRIPTION") == [letter * 300]


def test_text_of_3_3_11_is_escaped_as_printed() -> None:
    """RFC 5545 3.3.11: "Project XYZ Final Review / Conference Room - 3B / Come Prepared." on three lines."""
    said = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    body = build_request(visit(description=said), ASKED_AT)
    assert values_of(body, "DESCRIPTION") == [r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."]


def test_backslash_comma_and_semicolon_are_escaped_and_colon_is_not() -> None:
    """RFC 5545 3.3.11: ESCAPED-CHAR; "a COLON character ... SHALL NOT be escaped"."""
    body = build_request(visit(summary="a\\b, c; d: e"), ASKED_AT)
    assert values_of(body, "SUMMARY") == [r"a\\b\, c\; d: e"]


def test_uid_of_3_8_4_7_is_written_as_printed() -> None:
    uid = "19960401T080045Z-4000F192713-0052@example.com"
    assert f"UID:{uid}" in lines_of(build_request(visit(uid=uid), ASKED_AT))


def test_dtstamp_of_3_8_7_2_is_written_as_printed() -> None:
    body = build_request(visit(), datetime(1997, 12, 10, 8, 0, tzinfo=UTC))
    assert "DTSTAMP:19971210T080000Z" in lines_of(body)


@pytest.mark.parametrize("sequence", [0, 2])
def test_sequence_of_3_8_7_4_is_written_as_printed(sequence: int) -> None:
    body = build_request(visit(sequence=sequence), ASKED_AT)
    assert [line for line in lines_of(body) if line.startswith("SEQUENCE")] == [f"SEQUENCE:{sequence}"]


def test_a_uid_of_256_characters_is_refused() -> None:
    """RFC 5545 3.8.4.7: receivers must hold 255 octets; longer ones may be cut."""
    assert values_of(build_request(visit(uid="u" * 255), ASKED_AT), "UID") == ["u" * 255]
    with pytest.raises(FactFault, match="1 to 255"):
        visit(uid="u" * 256)


def test_onset_of_3_6_5_is_written_with_the_offset_before() -> None:
    """RFC 5545 3.6.5: DTSTART:19671029T020000 with TZOFFSETFROM:-0400 "is" 19671029T060000Z.

    The zone database knows the instant; our way of finding changes must give the printed local onset.
    """
    day = datetime(1967, 10, 29, tzinfo=UTC)
    change = change_between(ZoneInfo("America/New_York"), day, day + timedelta(days=1))
    assert f"{change.onset:%Y%m%dT%H%M%S}" == "19671029T020000"
    assert change.offset_before == timedelta(hours=-4)
    assert f"{change.onset - change.offset_before:%Y%m%dT%H%M%SZ}" == "19671029T060000Z"


# RFC 5545 3.6.5, the example of "current rules": LAST-MODIFIED and TZURL are left out, both optional.
NEW_YORK = {
    "STANDARD": [
        "DTSTART:20071104T020000",
        "RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU",
        "TZOFFSETFROM:-0400",
        "TZOFFSETTO:-0500",
        "TZNAME:EST",
    ],
    "DAYLIGHT": [
        "DTSTART:20070311T020000",
        "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU",
        "TZOFFSETFROM:-0500",
        "TZOFFSETTO:-0400",
        "TZNAME:EDT",
    ],
}
# The United Kingdom: EU rule, last Sundays at 01:00 UTC; in force for March since 1981, for October since 1996
# (IANA time zone database, files "europe" and its comments; Summer Time Order 2002).
LONDON = {
    "DAYLIGHT": [
        "DTSTART:19810329T010000",
        "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU",
        "TZOFFSETFROM:+0000",
        "TZOFFSETTO:+0100",
        "TZNAME:BST",
    ],
    "STANDARD": [
        "DTSTART:19961027T020000",
        "RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU",
        "TZOFFSETFROM:+0100",
        "TZOFFSETTO:+0000",
        "TZNAME:GMT",
    ],
}


@pytest.mark.parametrize(("zone", "printed"), [("America/New_York", NEW_YORK), ("Europe/London", LONDON)])
def test_vtimezone_is_the_printed_one(zone: str, printed: dict[str, list[str]]) -> None:
    rules = zone_rules(zone)
    assert rules is not None
    lines = lines_of(build_vtimezone(rules).to_ical())
    assert lines[:2] == ["BEGIN:VTIMEZONE", f"TZID:{zone}"]
    for kind, wanted in printed.items():
        inside = lines[lines.index(f"BEGIN:{kind}") + 1 : lines.index(f"END:{kind}")]
        assert _as_sets(inside) == _as_sets(wanted)


def _as_sets(lines: list[str]) -> set[tuple[str, frozenset[str]]]:
    """Property lines in any order, rule parts in any order (RFC 5545 3.3.10 fixes none)."""
    return {(line.split(":")[0], frozenset(line.split(":")[1].split(";"))) for line in lines}


def test_the_whole_zone_table_of_3_6_5_gives_the_offsets_that_the_database_gives() -> None:
    """RFC 5545 3.6.5, "Effective Observance Rule" for New York: where one rule holds to this day we must agree."""
    rules = zone_rules("America/New_York")
    assert rules is not None and rules.valid_from == datetime(2007, 11, 4, 6, tzinfo=UTC)
    # 2007-*: second Sunday of March to -0400, first Sunday of November to -0500.
    assert [(rule.first.onset.month, rule.nth, rule.first.offset_after) for rule in rules.rules] == [
        (3, 2, timedelta(hours=-4)),
        (11, 1, timedelta(hours=-5)),
    ]


def test_a_cancellation_keeps_uid_and_raises_sequence() -> None:
    """RFC 5546 3.2.5 with RFC 5545 3.8.4.7 and 3.8.1.11."""
    body = build_cancel(visit(sequence=3), ASKED_AT)
    event = next(part for part in Calendar.from_ical(body).subcomponents if isinstance(part, Event))
    assert (str(event["UID"]), event["SEQUENCE"], str(event["STATUS"])) == (visit().uid, 3, "CANCELLED")
