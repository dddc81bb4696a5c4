"""Published examples that are themselves invalid: our reader must not crash on them, and must change nothing.

RFC 5546 4.2.1 (a DTEND with seven digits of time, a room without mailto:), 4.2.9 (";mailto:"), RFC 6047 2.5
(RSVP=YES), RFC 5545 3.8.4.1 (SENT-BY without quotes), RFC 5545 section 4 (VTIMEZONE, verified erratum 3740).
The texts of 4.2.1 and 4.2.2 are as printed, by way of two independent test suites; the others are short forms
that keep the fault.
"""

from __future__ import annotations

import pytest
from icalendar import Calendar

from jobs.invites.replies import HeldReply, KnownVisit, Reply, Unreadable, judge, read_reply
from tests.jobs.invites.samples import ASKED_AT, BASE, TOKEN

GROUP_UID = "calsrv.example.com-873970198738777@example.com"
GROUP_REQUEST = f"""BEGIN:VCALENDAR
PRODID:-//Example/ExampleCalendarClient//EN
METHOD:REQUEST
VERSION:2.0
BEGIN:VEVENT
ORGANIZER:mailto:a@example.com
ATTENDEE;ROLE=CHAIR;PARTSTAT=ACCEPTED;CN=A:mailto:a@example.com
ATTENDEE;RSVP=TRUE;CUTYPE=INDIVIDUAL;CN=B:mailto:b@example.com
ATTENDEE;RSVP=TRUE;CUTYPE=INDIVIDUAL;CN=C:mailto:c@example.com
ATTENDEE;RSVP=TRUE;CUTYPE=INDIVIDUAL;CN=Hal:mailto:d@example.com
ATTENDEE;RSVP=FALSE;CUTYPE=ROOM:conf_big@example.com
ATTENDEE;ROLE=NON-PARTICIPANT;RSVP=FALSE:mailto:e@example.com
DTSTAMP:19970611T190000Z
DTSTART:19970701T200000Z
DTEND:19970701T2100000Z
SUMMARY:Conference
UID:{GROUP_UID}
SEQUENCE:0
STATUS:CONFIRMED
END:VEVENT
END:VCALENDAR
"""


def with_crlf(text: str) -> bytes:
    return text.replace("\n", "\r\n").encode()


def reply_text(partstat: str, stamp: str, attendee: str = "mailto:b@example.com") -> bytes:
    """RFC 5546 4.2.2, with another PARTSTAT, DTSTAMP or ATTENDEE where a test asks for one."""
    return with_crlf(
        "BEGIN:VCALENDAR\nPRODID:-//Example/ExampleCalendarClient//EN\nMETHOD:REPLY\nVERSION:2.0\n"
        f"BEGIN:VEVENT\nATTENDEE;PARTSTAT={partstat}:{attendee}\nORGANIZER:mailto:a@example.com\n"
        f"UID:{GROUP_UID}\nSEQUENCE:0\nREQUEST-STATUS:2.0;Success\nDTSTAMP:{stamp}\n"
        "END:VEVENT\nEND:VCALENDAR\n"
    )


def mailed(calendar: bytes, sender: str = "b@example.com") -> bytes:
    head = (
        f"From: B <{sender}>\r\nTo: office+{TOKEN}@example.org\r\nMIME-Version: 1.0\r\n"
        "Content-Type: text/calendar; method=REPLY; charset=UTF-8\r\n\r\n"
    )
    return head.encode() + calendar


def read(raw: bytes) -> Reply | HeldReply | Unreadable:
    return read_reply(raw, organiser_base=BASE, arrived_at=ASKED_AT)


INVALID = {
    "RFC 5546 4.2.1": with_crlf(GROUP_REQUEST),
    "RFC 5546 4.2.9": reply_text("ACCEPTED", "19970612T190000Z").replace(
        b"ATTENDEE;PARTSTAT=ACCEPTED:mailto:", b"ATTENDEE;PARTSTAT=ACCEPTED;mailto:"
    ),
    "RFC 6047 2.5": reply_text("ACCEPTED", "19970612T190000Z").replace(b"ATTENDEE;", b"ATTENDEE;RSVP=YES;"),
    "RFC 5545 3.8.4.1": reply_text("ACCEPTED", "19970612T190000Z").replace(
        b"ATTENDEE;", b"ATTENDEE;SENT-BY=mailto:jan_doe@example.com;CN=John Smith;"
    ),
    "RFC 5545 4 (erratum 3740)": reply_text("ACCEPTED", "19970612T190000Z").replace(
        b"BEGIN:VEVENT",
        b"BEGIN:VTIMEZONE\r\nTZID:America/New_York\r\nBEGIN:STANDARD\r\nDTSTART:19981025T020000\r\n"
        b"TZOFFSETFROM:-0400\r\nTZOFFSETTO:-0500\r\nTZNAME:EST\r\nEND:STANDARD\r\n"
        b"BEGIN:DAYLIGHT\r\nDTSTART:19990404T020000\r\nTZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400\r\n"
        b"TZNAME:EDT\r\nEND:DAYLIGHT\r\nEND:VTIMEZONE\r\nBEGIN:VEVENT",
        1,
    ),
}


@pytest.mark.parametrize("name", INVALID)
def test_a_published_invalid_example_changes_nothing(name: str) -> None:
    known = KnownVisit(GROUP_UID, 0, "someone@example.org", TOKEN, "NEEDS-ACTION", "Europe/London")
    found = read(mailed(INVALID[name]))
    if isinstance(found, Reply):
        assert judge(found, known).action == "hold"
    else:
        assert isinstance(found, HeldReply)
        assert found.sentence


def test_the_group_request_as_printed_has_the_fault_that_we_say_it_has() -> None:
    """So that "must not crash" means something: the end as printed cannot be read."""
    event = Calendar.from_ical(with_crlf(GROUP_REQUEST)).events[0]
    with pytest.raises(ValueError, match="2100000Z"):
        _ = event.end


def test_the_printed_replies_in_their_order() -> None:
    """RFC 5546 4.2.2 and 2.1.5: accept applies; an older stamp does not; a later one does; a stranger never."""
    known = KnownVisit(GROUP_UID, 0, "b@example.com", TOKEN, "NEEDS-ACTION", "Europe/London")
    accepted = judge(_reply(reply_text("ACCEPTED", "19970612T190000Z")), known)
    assert (accepted.action, accepted.attendance) == ("accept", "ACCEPTED")
    after = KnownVisit(
        GROUP_UID,
        0,
        "b@example.com",
        TOKEN,
        "ACCEPTED",
        "Europe/London",
        last_reply_at=accepted.reply_at,
        last_tie_at=accepted.tie_at,
    )
    older = judge(_reply(reply_text("DECLINED", "19970611T190000Z")), after)
    later = judge(_reply(reply_text("DECLINED", "19970613T190000Z")), after)
    stranger = judge(_reply(reply_text("DECLINED", "19970613T190000Z", "mailto:z@example.com")), after)
    assert [verdict.action for verdict in (older, later, stranger)] == ["ignore", "accept", "hold"]
    assert later.attendance == "DECLINED"


def _reply(calendar: bytes) -> Reply:
    found = read(mailed(calendar))
    assert isinstance(found, Reply)
    return found
