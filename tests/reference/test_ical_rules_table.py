"""The rules of RFC 5545, 5546, 6047 and 7986 that our files must keep, one by one, the section beside each.

How the texts were read: RFC 5545 whole; RFC 5546 2.1.4 quoted, its tables 3.2 from memory and confirmed by libical's
restriction check; RFC 6047 by its forerunner RFC 2447 and quotations; RFC 7986 by quotations. Lines are parted here
without any calendar library (samples.lines_of), so that the check does not lean on the one that wrote them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from email.message import Message

import pytest

from jobs.invites.calendar_file import build_cancel, build_feed, build_request
from jobs.invites.facts import FactFault
from jobs.invites.mail import Invite, Mailbox, build_mail
from tests.jobs.invites.samples import (
    ASKED_AT,
    VISIT,
    WINTER_VISIT,
    heads_of,
    lines_of,
    values_of,
    visit,
)

REQUEST = build_request(visit(url="https://example.org/v"), ASKED_AT)
MOVED = build_request(
    visit(sequence=1, starts_at=VISIT.starts_at + timedelta(days=10), ends_at=VISIT.ends_at + timedelta(days=10)),
    ASKED_AT + timedelta(days=1),
)
CANCEL = build_cancel(visit(sequence=2, cancelled=True), ASKED_AT + timedelta(days=2))
FEED = build_feed([VISIT, WINTER_VISIT], "Ada’s visits, all")
SCHEDULING = (REQUEST, MOVED, CANCEL)
ALL_FILES = (*SCHEDULING, FEED)


def wire_of(body: bytes, method: str) -> Message:
    mail = build_mail(
        subject="Return visit Sat 24 Oct, 9.30",
        text="We come back on Saturday 24 October at 9.30.",
        html='<html lang="en-GB"><body><p>We come back on Saturday 24 October at 9.30.</p></body></html>',
        sender=Mailbox("office@example.org", "Nib & Tenon"),
        to=Mailbox(VISIT.attendee_email, VISIT.attendee_name),
        message_id="<visit.1@example.org>",
        sent_at=ASKED_AT,
        invite=Invite(body, method),
    )
    return message_from_bytes(mail.message().as_bytes(linesep="\r\n"))


def calendar_part_of(mail: Message) -> Message:
    return next(part for part in mail.walk() if part.get_content_type() == "text/calendar")


def one(body: bytes, name: str) -> str:
    values = values_of(body, name)
    assert len(values) == 1, f"{name} stands {len(values)} times"
    return values[0]


def event_names(body: bytes) -> list[str]:
    lines = lines_of(body)
    inside = lines[lines.index("BEGIN:VEVENT") + 1 : lines.index("END:VEVENT")]
    return [re.split("[;:]", line)[0] for line in inside]


@dataclass(frozen=True)
class Rule:
    source: str
    words: str
    holds: Callable[[], bool]


def ends_lines_with_crlf() -> bool:
    return all(re.search(rb"(?<!\r)\n|\r(?!\n)", body) is None for body in ALL_FILES)


def has_short_lines() -> bool:
    return all(len(line) <= 75 for body in ALL_FILES for line in body.split(b"\r\n"))


def quotes_parameters() -> bool:
    return heads_of(REQUEST, "ORGANIZER") == ['ORGANIZER;CN="Nib, Tenon & Co"']


def has_only_lawful_times() -> bool:
    lawful = re.compile(r"(;TZID=[^;:]+:\d{8}T\d{6}|:\d{8}T\d{6}Z)$")
    lines = [line for body in ALL_FILES for line in lines_of(body)[8:] if line.startswith(("DTSTART", "DTEND"))]
    visits = [line for line in lines if not re.fullmatch(r"DTSTART:(1981|1996).*", line)]
    return len(visits) == 10 and all(lawful.search(line) for line in visits)


def has_product_and_version() -> bool:
    return all(one(body, "VERSION") == "2.0" and one(body, "PRODID") for body in ALL_FILES)


def has_uid_stamp_and_start_in_each_event() -> bool:
    needed = ("UID", "DTSTAMP", "DTSTART")
    return all(event_names(body).count(name) == 1 for body in ALL_FILES for name in needed)


def has_end_and_no_duration() -> bool:
    return all("DTEND" in event_names(body) and "DURATION" not in event_names(body) for body in ALL_FILES)


def repeats_no_single_property() -> bool:
    return all(len(event_names(body)) == len(set(event_names(body))) for body in ALL_FILES)


def keeps_uid_through_all_versions() -> bool:
    return {one(body, "UID") for body in SCHEDULING} == {VISIT.uid}


def has_uid_without_names() -> bool:
    return not any(word in VISIT.uid.lower() for word in ("ada", "quill", "tern", "example", "@"))


def stamps_messages_when_made_and_feeds_when_changed() -> bool:
    again = build_feed([VISIT, WINTER_VISIT], "Ada’s visits, all")
    return (
        one(REQUEST, "DTSTAMP") == "20260901T090000Z"
        and again == FEED
        and (values_of(FEED, "DTSTAMP") == values_of(FEED, "LAST-MODIFIED") == ["20260901T080000Z"] * 2)
    )


def says_lawful_status() -> bool:
    return [one(body, "STATUS") for body in SCHEDULING] == ["CONFIRMED", "CONFIRMED", "CANCELLED"]


def names_organiser_only_when_scheduling() -> bool:
    names = ("METHOD", "ORGANIZER", "ATTENDEE")
    return all(one(body, name) for body in SCHEDULING for name in names) and not any(
        values_of(FEED, name) for name in names
    )


def asks_for_a_reply() -> bool:
    return all(";RSVP=TRUE" in heads_of(body, "ATTENDEE")[0] for body in (REQUEST, MOVED))


def raises_sequence_with_move_and_cancel() -> bool:
    return [one(body, "SEQUENCE") for body in SCHEDULING] == ["0", "1", "2"]


def refuses_negative_sequence() -> bool:
    try:
        visit(sequence=-1)
    except FactFault:
        return True
    return False


def refuses_cancellation_without_risen_sequence() -> bool:
    try:
        build_cancel(visit(sequence=0), ASKED_AT)
    except FactFault:
        return True
    return False


def defines_each_zone_that_it_names() -> bool:
    for body in ALL_FILES:
        named = set(re.findall(r";TZID=([^;:]+)", "\n".join(lines_of(body))))
        if named != set(values_of(body, "TZID")) or named != {"Europe/London"}:
            return False
    return True


def has_onset_and_both_offsets() -> bool:
    lines = lines_of(REQUEST)
    zone = lines[lines.index("BEGIN:VTIMEZONE") : lines.index("END:VTIMEZONE")]
    names = [re.split("[;:]", line)[0] for line in zone]
    return all(names.count(name) == 2 for name in ("DTSTART", "TZOFFSETFROM", "TZOFFSETTO", "RRULE"))


def cancels_for_all() -> bool:
    return one(CANCEL, "ATTENDEE") == f"mailto:{VISIT.attendee_email}" and one(CANCEL, "METHOD") == "CANCEL"


def moves_by_request_and_asks_anew() -> bool:
    head = heads_of(MOVED, "ATTENDEE")[0]
    return one(MOVED, "METHOD") == "REQUEST" and ";PARTSTAT=NEEDS-ACTION" in head


def writes_mail_addresses() -> bool:
    return all(one(body, name).startswith("mailto:") for body in SCHEDULING for name in ("ORGANIZER", "ATTENDEE"))


def says_the_method_in_header_and_body() -> bool:
    for body, method in ((REQUEST, "REQUEST"), (CANCEL, "CANCEL")):
        part = calendar_part_of(wire_of(body, method))
        inside = part.get_payload(decode=True)
        if part.get_param("method") != method or one(inside, "METHOD") != method:
            return False
    return True


def says_the_charset() -> bool:
    return calendar_part_of(wire_of(REQUEST, "REQUEST")).get_content_charset() == "utf-8"


def gives_text_beside_the_file() -> bool:
    alternatives = wire_of(REQUEST, "REQUEST").get_payload()[0]
    kinds = [part.get_content_type() for part in alternatives.get_payload()]
    return kinds == ["text/plain", "text/html", "text/calendar"]


def encodes_for_transport() -> bool:
    part = calendar_part_of(wire_of(REQUEST, "REQUEST"))
    return part["Content-Transfer-Encoding"] == "base64" and part.get_payload(decode=True) == REQUEST


def has_the_tested_structure() -> bool:
    mail = wire_of(REQUEST, "REQUEST")
    outer = [part.get_content_type() for part in mail.get_payload()]
    file = mail.get_payload()[1]
    return (
        (mail.get_content_type(), outer) == ("multipart/mixed", ["multipart/alternative", "application/ics"])
        and file.get_filename() == "invite.ics"
        and file.get_payload(decode=True) == REQUEST
        and calendar_part_of(mail).get_content_disposition() is None
    )


def names_the_feed() -> bool:
    return one(FEED, "NAME") == one(FEED, "X-WR-CALNAME") == r"Ada’s visits\, all"


def says_refresh_interval_as_duration() -> bool:
    return [line for line in lines_of(FEED) if line.startswith("REFRESH")] == ["REFRESH-INTERVAL;VALUE=DURATION:PT1H"]


def sends_no_alarm() -> bool:
    return not any("BEGIN:VALARM" in lines_of(body) for body in ALL_FILES)


RULES = (
    Rule("RFC 5545 3.1", "lines end with CRLF", ends_lines_with_crlf),
    Rule("RFC 5545 3.1", "no line is longer than 75 octets", has_short_lines),
    Rule("RFC 5545 3.2", "a parameter with a comma is quoted", quotes_parameters),
    Rule("RFC 5545 3.3.5", "a time is UTC with Z or local with TZID, never both", has_only_lawful_times),
    Rule("RFC 5545 3.6, 3.7.3, 3.7.4", "PRODID and VERSION:2.0, once", has_product_and_version),
    Rule("RFC 5545 3.6.1", "UID, DTSTAMP, DTSTART once in an event", has_uid_stamp_and_start_in_each_event),
    Rule("RFC 5545 3.6.1", "DTEND and DURATION not together", has_end_and_no_duration),
    Rule("RFC 5545 3.6.1", "single properties stand once", repeats_no_single_property),
    Rule("RFC 5545 3.8.4.7", "UID stays for life", keeps_uid_through_all_versions),
    Rule("RFC 7986 5.3", "UID carries no private data", has_uid_without_names),
    Rule(
        "RFC 5545 3.8.7.2", "DTSTAMP: message made; feed: revision", stamps_messages_when_made_and_feeds_when_changed
    ),
    Rule("RFC 5545 3.8.1.11", "STATUS is one of the three", says_lawful_status),
    Rule("RFC 5545 3.8.4.1, 3.8.4.3", "ORGANIZER only in scheduling", names_organiser_only_when_scheduling),
    Rule("RFC 5545 3.2.17", "RSVP=TRUE is written out", asks_for_a_reply),
    Rule("RFC 5545 3.8.7.4", "SEQUENCE starts at 0 and rises", raises_sequence_with_move_and_cancel),
    Rule("RFC 5545 3.8.7.4", "SEQUENCE is not negative", refuses_negative_sequence),
    Rule("RFC 5545 3.6.5, 3.2.19", "each TZID has its VTIMEZONE", defines_each_zone_that_it_names),
    Rule("RFC 5545 3.6.5", "an observance has onset and both offsets", has_onset_and_both_offsets),
    Rule("RFC 5545 3.6.6", "no VALARM is sent; reminders are ours", sends_no_alarm),
    Rule("RFC 5546 2.1.4", "CANCEL raises SEQUENCE", refuses_cancellation_without_risen_sequence),
    Rule("RFC 5546 3.2.2 (from memory)", "a move is a REQUEST with PARTSTAT reset", moves_by_request_and_asks_anew),
    Rule("RFC 5546 3.2.5 (from memory)", "CANCEL of the whole names the attendee", cancels_for_all),
    Rule("RFC 6047 2.3", "parties are mailto: addresses", writes_mail_addresses),
    Rule("RFC 6047 2.4", "method in header equals METHOD in body", says_the_method_in_header_and_body),
    Rule("RFC 6047 2.4", "charset is said", says_the_charset),
    Rule("RFC 6047 2.4", "a text for people stands beside", gives_text_beside_the_file),
    Rule("RFC 6047 2.5", "a transfer encoding is used", encodes_for_transport),
    Rule("common practice of interoperability tests", "mixed[alternative, ics]", has_the_tested_structure),
    Rule("RFC 7986 5.1", "NAME, escaped as text", names_the_feed),
    Rule("RFC 7986 5.7", "REFRESH-INTERVAL has VALUE=DURATION", says_refresh_interval_as_duration),
)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.source}: {rule.words}")
def test_rule_holds(rule: Rule) -> None:
    assert rule.holds() is True


def test_an_invitation_to_a_cancelled_visit_is_refused() -> None:
    with pytest.raises(FactFault) as caught:
        build_request(visit(cancelled=True), ASKED_AT)
    assert caught.value.field == "cancelled"


def test_header_and_file_that_differ_in_method_are_refused() -> None:
    with pytest.raises(FactFault, match="METHOD:CANCEL"):
        Invite(REQUEST, "CANCEL")


def test_dtstamp_is_cut_to_seconds_and_told_in_utc() -> None:
    moment = datetime(2026, 9, 1, 11, 0, 0, 999_999, tzinfo=UTC).astimezone()
    assert one(build_request(VISIT, moment), "DTSTAMP") == "20260901T110000Z"
