"""The mail around a reply: its calendar parts, who sent it, whom it was sent to, its first words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email import message_from_bytes
from email.header import decode_header, make_header
from email.message import Message
from email.utils import getaddresses, parsedate_to_datetime

from jobs.invites.facts import plain_text
from jobs.invites.organiser import token_of
from jobs.invites.reply_facts import Envelope

CALENDAR_TYPES = ("text/calendar", "application/ics")
RECIPIENT_HEADERS = ("To", "Cc", "Delivered-To", "X-Original-To", "Envelope-To")
PARTS_LIMIT = 100
WORDS_LIMIT = 500  # characters of the sender's own text shown to a person


@dataclass(frozen=True, slots=True)
class CalendarPart:
    """A calendar file found in a mail. `method` is that of the header, in capitals, where it gives one."""

    body: bytes = field(repr=False)
    method: str | None
    charset: str


def parse_mail(raw: bytes) -> Message:
    """The mail as parsed by the standard library, which repairs rather than refuses."""
    return message_from_bytes(raw)


def read_envelope(mail: Message, organiser_base: str, arrived_at: datetime) -> Envelope:
    """Sender, tokens and identity. `organiser_base` is the workshop's address without a token."""
    senders = _addresses(mail, ("From",))
    recipients = _addresses(mail, RECIPIENT_HEADERS)
    tokens = {token for address in recipients if (token := token_of(address, organiser_base))}
    return Envelope(
        arrived_at=arrived_at,
        sender=senders[0] if len(senders) == 1 else None,
        tokens=tuple(sorted(tokens)),
        message_id=str(mail.get("Message-ID", "")).strip()[:250] or None,
        sent_at=_sent_at(mail),
        automatic=_is_automatic(mail),
    )


def calendar_parts(mail: Message) -> list[CalendarPart]:
    """The calendar files of the mail in its order; text/calendar parts before attached files."""
    found = []
    for part in _own_parts(mail):
        kind = part.get_content_type()
        if kind in CALENDAR_TYPES or _file_name(part).endswith(".ics"):
            body = part.get_payload(decode=True)
            if isinstance(body, bytes) and body.strip():
                method = part.get_param("method")
                name = method.strip().upper() if isinstance(method, str) else None
                found.append((kind != "text/calendar", CalendarPart(body, name, _charset(part))))
    return [part for _, part in sorted(found, key=lambda pair: pair[0])]


def first_words(mail: Message) -> str:
    """The start of the sender's own text, for a person to read; "" where there is none."""
    for part in _own_parts(mail):
        if part.get_content_type() == "text/plain" and not part.get_filename():
            body = part.get_payload(decode=True)
            if isinstance(body, bytes):
                return plain_text(decoded(body, _charset(part))).strip()[:WORDS_LIMIT]
    return ""


def is_delivery_report(mail: Message) -> bool:
    """Whether this is a mail server's report that a mail did not arrive (RFC 6522, RFC 3464)."""
    return mail.get_content_type() == "multipart/report"


def decoded(body: bytes, charset: str) -> str:
    """The text; unknown character sets are read as UTF-8, unreadable bytes become U+FFFD."""
    try:
        return body.decode(charset, errors="replace")
    except (LookupError, UnicodeError, ValueError):
        return body.decode("utf-8", errors="replace")


def _own_parts(mail: Message) -> Iterator[Message]:
    """The leaves of this mail, at most PARTS_LIMIT, without those of mails enclosed in it.

    A delivery report encloses our own invitation, which must not be taken for an answer.
    """
    waiting = [mail]
    for _ in range(PARTS_LIMIT):
        if not waiting:
            return
        part = waiting.pop(0)
        if part.get_content_maintype() == "message":
            continue
        if part.is_multipart():
            waiting[:0] = [inner for inner in part.get_payload() if isinstance(inner, Message)]
        else:
            yield part


def _addresses(mail: Message, names: tuple[str, ...]) -> list[str]:
    headers = [str(value) for name in names for value in mail.get_all(name, [])]
    found = [address.strip().lower() for _, address in getaddresses(headers)]
    return list(dict.fromkeys(address for address in found if address))


def _charset(part: Message) -> str:
    charset = part.get_content_charset()
    return charset or "utf-8"


def _file_name(part: Message) -> str:
    name = part.get_filename() or ""
    try:
        return str(make_header(decode_header(name))).strip().lower()
    except (ValueError, LookupError):
        return name.strip().lower()


def _sent_at(mail: Message) -> datetime | None:
    try:
        moment = parsedate_to_datetime(str(mail.get("Date", "")))
        return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
    except (ValueError, OverflowError, TypeError):
        return None


def _is_automatic(mail: Message) -> bool:
    marked = str(mail.get("Auto-Submitted", "no")).partition(";")[0].strip().lower()
    return marked not in {"", "no"} or is_delivery_report(mail)
