"""Replies as three common calendar programs write them, made from descriptions; no program is named.

What is described (seen in four real replies): ORGANIZER or SEQUENCE missing, a VALARM inside, MAILTO: in capitals,
zone names that are not IANA's, no method in the header, DTSTAMP 4 to 68 minutes older than the mail.
"""

from __future__ import annotations

import base64
import quopri

from tests.jobs.invites.samples import ATTENDEE, TOKEN, UID

OFFICE = f"office+{TOKEN}@example.org"


def mail(
    part_head: str,
    calendar: str,
    *,
    sender: str = ATTENDEE,
    to: str = OFFICE,
    date: str = "Tue, 01 Sep 2026 10:00:00 +0000",
    coding: str = "base64",
    also_file: bool = False,
    text: str = "Ada Quill has accepted.",
) -> bytes:
    """A mail of several parts, written by hand so that none of our own code is in it."""
    body = calendar.replace("\r\n", "\n").replace("\n", "\r\n").encode()
    coded = base64.encodebytes(body) if coding == "base64" else quopri.encodestring(body)
    file = (
        '--b\r\nContent-Type: application/ics; name="invite.ics"\r\nContent-Transfer-Encoding: base64\r\n'
        f'Content-Disposition: attachment; filename="invite.ics"\r\n\r\n{base64.encodebytes(body).decode()}\r\n'
    )
    written = (
        f"From: Ada Quill <{sender}>\r\nTo: <{to}>\r\nSubject: Accepted: Return visit\r\nDate: {date}\r\n"
        "Message-ID: <reply.1@example.org>\r\nMIME-Version: 1.0\r\n"
        'Content-Type: multipart/alternative; boundary="b"\r\n\r\n'
        f"--b\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n{text}\r\n"
        f"--b\r\n{part_head}\r\nContent-Transfer-Encoding: {coding}\r\n\r\n{coded.decode()}\r\n"
        f"{file if also_file else ''}--b--\r\n"
    )
    return written.replace("\r\n", "\n").replace("\n", "\r\n").encode()


def first_program(partstat: str = "ACCEPTED", **kwargs: object) -> bytes:
    """No ORGANIZER, a zone name that is not IANA's with its VTIMEZONE from 1601, its own time of the answer."""
    calendar = f"""BEGIN:VCALENDAR
METHOD:REPLY
PRODID:First program
VERSION:2.0
BEGIN:VTIMEZONE
TZID:GMT Standard Time
BEGIN:STANDARD
DTSTART:16010101T020000
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
RRULE:FREQ=YEARLY;INTERVAL=1;BYDAY=-1SU;BYMONTH=10
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:16010101T010000
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
RRULE:FREQ=YEARLY;INTERVAL=1;BYDAY=-1SU;BYMONTH=3
END:DAYLIGHT
END:VTIMEZONE
BEGIN:VEVENT
ATTENDEE;PARTSTAT={partstat};CN=Ada Quill:MAILTO:{ATTENDEE.title()}
COMMENT;LANGUAGE=en-GB:See you then\\n
UID:{UID}
SUMMARY;LANGUAGE=en-GB:Accepted: Return visit
DTSTART;TZID=GMT Standard Time:20261024T093000
DTEND;TZID=GMT Standard Time:20261024T120000
CLASS:PUBLIC
PRIORITY:5
DTSTAMP:20260901T095600Z
TRANSP:OPAQUE
STATUS:CONFIRMED
SEQUENCE:0
X-FIRST-CDO-REPLYTIME:20260901T095800Z
BEGIN:VALARM
DESCRIPTION:REMINDER
TRIGGER;RELATED=START:-PT15M
ACTION:DISPLAY
END:VALARM
END:VEVENT
END:VCALENDAR
"""
    return mail('Content-Type: text/calendar; charset="utf-8"; method=REPLY', calendar, **kwargs)


def second_program(partstat: str = "ACCEPTED", stamp: str = "20260901T085200Z", **kwargs: object) -> bytes:
    """Everything that the RFC asks for, twice: as a part and as a file; DTSTAMP 68 minutes before the mail."""
    calendar = f"""BEGIN:VCALENDAR
PRODID:-//Second program//EN
VERSION:2.0
CALSCALE:GREGORIAN
METHOD:REPLY
BEGIN:VEVENT
DTSTART:20261024T083000Z
DTEND:20261024T110000Z
DTSTAMP:{stamp}
ORGANIZER;CN=Nib:mailto:{OFFICE}
UID:{UID}
ATTENDEE;CUTYPE=INDIVIDUAL;ROLE=REQ-PARTICIPANT;PARTSTAT={partstat};CN=Ada
 Quill;X-NUM-GUESTS=0:mailto:{ATTENDEE}
CREATED:20260901T080000Z
DESCRIPTION:
LAST-MODIFIED:20260901T085200Z
LOCATION:
SEQUENCE:0
STATUS:CONFIRMED
SUMMARY:Return visit
TRANSP:OPAQUE
END:VEVENT
END:VCALENDAR
"""
    return mail('Content-Type: text/calendar; charset="UTF-8"; method=REPLY', calendar, also_file=True, **kwargs)


def third_program(partstat: str = "DECLINED", **kwargs: object) -> bytes:
    """No method in the header, no SEQUENCE, a TZID without any VTIMEZONE, quoted-printable."""
    calendar = f"""BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Third program//EN
METHOD:REPLY
BEGIN:VEVENT
UID:{UID}
DTSTAMP:20260901T095000Z
DTSTART;TZID=/third.example.org/Europe/London:20261024T093000
DURATION:PT2H30M
SUMMARY:Return visit
ORGANIZER:MAILTO:{OFFICE.upper()}
ATTENDEE;PARTSTAT={partstat.lower()}:MAILTO:{ATTENDEE}
END:VEVENT
END:VCALENDAR
"""
    return mail("Content-Type: text/calendar; charset=utf-8", calendar, coding="quoted-printable", **kwargs)


def counter(
    start: str = "DTSTART;TZID=GMT Standard Time:20261103T140000",
    end: str = "DTEND;TZID=GMT Standard Time:20261103T150000",
    **kwargs: object,
) -> bytes:
    """A proposal of another time (RFC 5546 3.2.7)."""
    calendar = f"""BEGIN:VCALENDAR
METHOD:COUNTER
PRODID:First program
VERSION:2.0
BEGIN:VEVENT
ATTENDEE;PARTSTAT=TENTATIVE:MAILTO:{ATTENDEE}
UID:{UID}
DTSTAMP:20260901T095600Z
{start}
{end}
SEQUENCE:0
END:VEVENT
END:VCALENDAR
"""
    return mail("Content-Type: text/calendar; charset=utf-8; method=COUNTER", calendar, **kwargs)
