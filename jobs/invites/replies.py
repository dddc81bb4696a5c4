"""Reading a mail that may answer an invitation. Whatever comes in, something calm comes out.

Replies are matched by UID, attendee, sender and token (RFC 6047 2.2 and 2.3); `judge` does that. Here the mail is
only read: programs leave out ORGANIZER, SEQUENCE and the header's method, so none of these is required.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from email.message import Message

from jobs.invites.judging import judge
from jobs.invites.organiser import token_of
from jobs.invites.reply_calendar import AttendeeAnswer, CalendarAnswer, CalendarFault, read_calendar
from jobs.invites.reply_facts import Envelope, HeldReply, KnownVisit, Reply, Unreadable, Verdict
from jobs.invites.reply_mail import (
    CalendarPart,
    calendar_parts,
    decoded,
    first_words,
    is_delivery_report,
    parse_mail,
    read_envelope,
)

__all__ = ["Envelope", "HeldReply", "KnownVisit", "Reply", "Unreadable", "Verdict", "judge", "read_reply"]

SIZE_LIMIT_BYTES = 1_000_000
HEADER_LIMIT_BYTES = 64_000  # the standard library takes seconds over headers of a megabyte
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
METHODS_OF_ANSWERS = ("REPLY", "COUNTER")


def read_reply(
    raw: bytes,
    *,
    organiser_base: str,
    arrived_at: datetime,
    size_limit_bytes: int = SIZE_LIMIT_BYTES,
    whole: bool = True,
) -> Reply | HeldReply | Unreadable:
    """Read a whole mail, or a bare calendar file that a person uploads. Never raises on bad input.

    `organiser_base` is the workshop's address without a token; `arrived_at` is when the mail came (aware).
    With `whole` False, `raw` is only the header of a mail too large to fetch; that is held for a person.
    """
    nothing = Envelope(arrived_at=arrived_at)
    if len(raw) > size_limit_bytes:
        return Unreadable(f"The mail is larger than {size_limit_bytes // 1000} kB and was not opened.", nothing)
    if _header_bytes(raw) > HEADER_LIMIT_BYTES and not _is_bare_calendar(raw):
        return Unreadable("The header of the mail is longer than any honest one and was not read.", nothing)
    try:
        if not whole:
            envelope = read_envelope(parse_mail(raw), organiser_base, arrived_at)
            return HeldReply("The mail is too large to be opened here; please look in the mailbox.", envelope)
        return _read(raw, organiser_base, arrived_at)
    except Exception as error:  # a stranger wrote these bytes: no fault in them may stop the others' mail
        return Unreadable(f"The mail could not be read ({type(error).__name__}).", nothing)


def _header_bytes(raw: bytes) -> int:
    ends = [place for mark in (b"\n\n", b"\n\r\n") if (place := raw.find(mark)) >= 0]
    return min(ends, default=len(raw))


def _is_bare_calendar(raw: bytes) -> bool:
    start = raw[:100].removeprefix(BYTE_ORDER_MARK).lstrip()
    return start.upper().startswith(b"BEGIN:VCALENDAR")


def _read(raw: bytes, organiser_base: str, arrived_at: datetime) -> Reply | HeldReply | Unreadable:
    if _is_bare_calendar(raw):
        mail = Message()
        parts = [CalendarPart(raw.removeprefix(BYTE_ORDER_MARK), None, "utf-8")]
    else:
        mail = parse_mail(raw)
        parts = calendar_parts(mail)
    envelope = read_envelope(mail, organiser_base, arrived_at)
    words = first_words(mail)
    if is_delivery_report(mail):
        return HeldReply("A mail server reports that a mail did not arrive.", envelope, words=words)
    if not parts:
        return _without_calendar(envelope, words)
    try:
        answers = [_answer(part) for part in parts]
    except ValueError as error:  # what the parser itself says is for programmers, not for the screen
        told = str(error) if isinstance(error, CalendarFault) else "Its calendar file is damaged."
        return HeldReply(told, envelope, words=words)
    return _as_reply(answers, envelope, organiser_base, words)


def _without_calendar(envelope: Envelope, words: str) -> HeldReply | Unreadable:
    if envelope.automatic:
        return Unreadable("An automatic answer without a calendar file.", envelope)
    if envelope.tokens and words:
        return HeldReply("They wrote in their own words; please read it.", envelope, words=words)
    return Unreadable("The mail holds no calendar file and names no visit.", envelope)


def _answer(part: CalendarPart) -> CalendarAnswer:
    answer = read_calendar(decoded(part.body, part.charset))
    if answer.method and part.method and answer.method != part.method:
        raise CalendarFault(f"The mail says {part.method} and its calendar file says {answer.method}.")
    return replace(answer, method=answer.method or part.method)


def _as_reply(
    answers: list[CalendarAnswer], envelope: Envelope, organiser_base: str, words: str
) -> Reply | HeldReply:
    answer = answers[0]
    for other in answers[1:]:
        if (other.uid, other.attendees) != (answer.uid, answer.attendees):
            return HeldReply("It holds two calendar files that differ.", envelope, answer.uid, words)
    method = next((found.method for found in answers if found.method), None)
    if method not in METHODS_OF_ANSWERS:
        told = f"Its calendar file is a {method}, not an answer." if method else "It does not say what it is."
        return HeldReply(told, envelope, answer.uid, words)
    attendee = _who_answers(answer, envelope)
    if attendee is None:
        told = f"It speaks for {len(answer.attendees)} people; an answer speaks for one."
        return HeldReply(told, envelope, answer.uid, words)
    token = token_of(answer.organiser_email or "", organiser_base)
    known_tokens = sorted({*envelope.tokens, *([token] if token else [])})
    return Reply(
        method="COUNTER" if method == "COUNTER" else "REPLY",
        uid=answer.uid,
        attendee_email=attendee.email,
        attendance=attendee.attendance,
        envelope=replace(envelope, tokens=tuple(known_tokens)),
        sequence=answer.sequence,
        dtstamp=answer.dtstamp,
        replied_at=answer.replied_at,
        organiser_email=answer.organiser_email,
        starts_at=answer.starts_at,
        ends_at=answer.ends_at,
        comment=answer.comment or words,
    )


def _who_answers(answer: CalendarAnswer, envelope: Envelope) -> AttendeeAnswer | None:
    """The one ATTENDEE; of several, the one who sent the mail (a COUNTER may list all, RFC 5546 3.2.7)."""
    if len(answer.attendees) == 1:
        return answer.attendees[0]
    own = [attendee for attendee in answer.attendees if attendee.email == envelope.sender]
    return own[0] if len(own) == 1 else None
