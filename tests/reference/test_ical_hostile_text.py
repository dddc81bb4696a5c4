"""Whatever a client types, the file keeps its shape: line ends, quotes, right-to-left marks, emoji, controls.

Read back with icalendar and vobject, and line by line without a library. Sources: RFC 5545 3.1, 3.2, 3.3.11.
"""

from __future__ import annotations

import re
from email import message_from_bytes, policy

import pytest
import vobject
from hypothesis import example, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from jobs.invites.calendar_file import build_cancel, build_feed, build_request
from jobs.invites.facts import FactFault, one_line, plain_text
from jobs.invites.mail import Attachment, Invite, Mailbox, build_mail
from tests.jobs.invites.programs import read_with_ical_js, read_with_libical
from tests.jobs.invites.samples import ASKED_AT, VISIT, heads_of, lines_of, values_of, visit

NASTY = [
    "\r\n", "\n", "\r", "\t", '"', "'", "^n", "^'", "\\n", "\\", ",", ";", ":", "\x00", "\x07", "\x7f", "\x85",
    "\u2028", "\u2029", "\u200f", "\u202e", "\u2066",
    "🚪", "👩🏽‍🔧", "é", "e\u0301", "日本", "ש", "ا", "\ud800", "\ufeff",
    "BEGIN:VEVENT", "\r\nATTENDEE:mailto:eve@example.org\r\n", "END:VCALENDAR\r\n", "=?utf-8?q?x?=", "%0d%0a",
]  # fmt: skip
OUR_HEADERS = {
    *("Content-Type", "MIME-Version", "Subject", "From", "To"),
    *("Reply-To", "Message-ID", "Date", "Auto-Submitted"),
}
any_text = st.lists(st.one_of(st.sampled_from(NASTY), st.text(max_size=12)), max_size=8).map("".join)
ALL_AT_ONCE = "".join(NASTY) * 3


def check_shape(body: bytes, events: int = 1) -> None:
    assert re.search(rb"(?<!\r)\n|\r(?!\n)", body) is None
    assert all(len(line) <= 75 and line.decode("utf-8") is not None for line in body.split(b"\r\n"))
    assert re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", body) is None
    lines = lines_of(body)
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == events
    assert lines.count("END:VCALENDAR") == 1
    assert all(re.match(r"[A-Z][A-Z0-9-]*[;:]", line) for line in lines)


@settings(max_examples=120, deadline=None)
@given(summary=any_text, description=any_text, location=any_text, organiser=any_text, attendee=any_text)
@example(*[ALL_AT_ONCE] * 5)
def test_any_text_in_any_field_keeps_the_shape_and_comes_back(
    summary: str, description: str, location: str, organiser: str, attendee: str
) -> None:
    facts = visit(
        summary=summary,
        description=description,
        location=location,
        organiser_name=organiser,
        attendee_name=attendee,
    )
    body = build_request(facts, ASKED_AT)
    check_shape(body)
    assert values_of(body, "ATTENDEE") == [f"mailto:{VISIT.attendee_email}"]
    assert values_of(body, "ORGANIZER") == [f"mailto:{VISIT.organiser_email}"]
    event = Calendar.from_ical(body).events[0]
    assert str(event["SUMMARY"]) == one_line(summary)
    assert str(event.get("DESCRIPTION", "")) == plain_text(description).strip("\n")
    assert str(event.get("LOCATION", "")) == one_line(location, joiner=", ")
    name = event["ATTENDEE"].params.get("CN", "")
    assert name == re.sub(r"[\\^]", " ", one_line(attendee).replace('"', "'")).strip()
    assert heads_of(body, "ATTENDEE")[0].count('"') in (0, 2)
    check_shape(build_cancel(visit(sequence=1, summary=summary, attendee_name=attendee), ASKED_AT))


@settings(max_examples=60, deadline=None)
@given(summary=any_text, description=any_text)
@example(ALL_AT_ONCE, ALL_AT_ONCE)
def test_vobject_reads_any_text_as_it_was_meant(summary: str, description: str) -> None:
    event = vobject.readOne(build_request(visit(summary=summary, description=description), ASKED_AT).decode()).vevent
    assert event.summary.value == one_line(summary)
    read = event.description.value if hasattr(event, "description") else ""
    assert read == plain_text(description).strip("\n")


@settings(max_examples=40, deadline=None)
@given(name=any_text, summary=any_text)
@example(ALL_AT_ONCE, ALL_AT_ONCE)
def test_any_name_of_a_feed_keeps_its_shape(name: str, summary: str) -> None:
    feed = build_feed([visit(summary=summary)], name)
    check_shape(feed)
    assert values_of(feed, "NAME") == values_of(feed, "X-WR-CALNAME")
    assert not values_of(feed, "ATTENDEE")


def test_ical_js_and_libical_read_the_worst_text() -> None:
    body = build_request(visit(summary=ALL_AT_ONCE, description=ALL_AT_ONCE, location=ALL_AT_ONCE), ASKED_AT)
    libical, js = read_with_libical(body), read_with_ical_js(body)
    if libical is None and js is None:
        pytest.skip("neither libical (libical3) nor ical.js (node, npm) is here")
    if libical is not None:
        assert (libical.fits, libical.errors, libical.starts_at) == (True, 0, VISIT.starts_at)
    if js is not None:
        event = js["events"][0]
        assert event["summary"] == one_line(ALL_AT_ONCE)
        assert event["description"] == plain_text(ALL_AT_ONCE).strip("\n")


@settings(max_examples=80, deadline=None)
@given(subject=any_text, name=any_text, text=any_text, file_name=any_text)
@example(*[ALL_AT_ONCE] * 4)
def test_any_text_in_a_mail_adds_no_header_and_no_part(subject: str, name: str, text: str, file_name: str) -> None:
    """RFC 5322 2.2: a header ends at its line end, so a line end typed by a client must not get there."""
    mail = build_mail(
        subject=f"Visit {subject}",
        text=f"Hello {text}",
        html=f"<p>{text}</p>",
        sender=Mailbox("office@example.org", name),
        to=Mailbox(VISIT.attendee_email, name),
        reply_to=Mailbox("office@example.org", name),
        message_id="<visit.1@example.org>",
        sent_at=ASKED_AT,
        invite=Invite(build_request(visit(description=text, summary=subject), ASKED_AT), "REQUEST"),
        attachments=[Attachment(f"a{file_name}.pdf", b"%PDF-1.7", "application/pdf")],
    )
    wire = mail.message().as_bytes(linesep="\r\n")
    assert wire.isascii()
    assert re.search(rb"(?<!\r)\n|\r(?!\n)", wire) is None
    read = message_from_bytes(wire, policy=policy.default)
    assert set(read.keys()) == OUR_HEADERS
    assert len(read.keys()) == len(OUR_HEADERS)
    assert [part.get_content_type() for part in read.walk() if not part.is_multipart()] == [
        "text/plain",
        "text/html",
        "text/calendar",
        "application/ics",
        "application/pdf",
    ]
    assert [address.addr_spec for address in read["To"].addresses] == [VISIT.attendee_email]
    assert mail.recipients() == [f"{Mailbox(VISIT.attendee_email, name)}"]


@pytest.mark.parametrize(
    "address",
    [
        "ada@example.org\r\nBcc: eve@example.org",
        "ada@example.org,eve@example.org",
        "ada@example.org;eve@example.org",
        '"a b"@example.org',
        "ada example.org",
        "ada@exa mple.org",
        "ada@@example.org",
        "ada@example..org",
        "",
        "ada@",
        "a" * 65 + "@example.org",
        "a@" + "b" * 260 + ".example.org",
    ],
)
def test_an_address_that_could_carry_more_than_itself_is_refused(address: str) -> None:
    with pytest.raises(FactFault) as of_file:
        build_request(visit(attendee_email=address), ASKED_AT)
    assert of_file.value.field == "attendee_email"
    with pytest.raises(FactFault) as of_mail:
        Mailbox(address)
    assert of_mail.value.field == "address"
