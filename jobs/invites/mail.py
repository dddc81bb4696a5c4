"""One mail with its calendar file and papers, as a Django message that is ready to send.

Structure as calendar programs agree to read it: mixed[ alternative[ plain, html, text/calendar;
method=... ], invite.ics as application/ics, other papers ]. RFC 6047 2.4; the order is common practice.
"""

from __future__ import annotations

import base64
import quopri
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from email.message import Message
from email.utils import format_datetime, formataddr
from re import fullmatch, sub
from typing import Any

from django.core.mail import EmailMultiAlternatives

from jobs.invites.facts import FactFault, check_address, one_line, plain_text, utc_second

INVITE_NAME = "invite.ics"
METHODS = ("REQUEST", "CANCEL", "PUBLISH")
SUBJECT_LIMIT = 200  # characters; a subject of our own is 20 to 50, this only bounds what people type


@dataclass(frozen=True, slots=True)
class Attachment:
    """A paper that goes with a mail: its file name, its bytes and its type, such as application/pdf."""

    name: str
    content: bytes = field(repr=False)
    mimetype: str


@dataclass(frozen=True, slots=True)
class Mailbox:
    """A name and a mail address. Raises FactFault for an address that no header could carry."""

    address: str
    name: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "address", check_address("address", self.address))

    def __str__(self) -> str:
        return formataddr((one_line(self.name), self.address))


@dataclass(frozen=True, slots=True)
class Invite:
    """A calendar file and the METHOD inside it; the mail's header must say the same (RFC 6047 2.4)."""

    body: bytes = field(repr=False)
    method: str

    def __post_init__(self) -> None:
        if self.method not in METHODS:
            raise FactFault("method", f"“{self.method}” is not sent; use one of {', '.join(METHODS)}.")
        if f"\r\nMETHOD:{self.method}\r\n".encode() not in self.body:
            raise FactFault("method", f"The calendar file does not say METHOD:{self.method}; build it again.")


class SevenBitMail(EmailMultiAlternatives):
    """A mail whose parts are plain ASCII on the wire, so that no server on the way need know 8BITMIME.

    Django sends 8bit. The calendar part goes as base64 (RFC 6047 2.5), which keeps its CRLF line ends
    whatever the mail is written with; text and HTML go as quoted-printable.
    """

    def message(self, *args: Any, **kwargs: Any) -> Any:
        built = super().message(*args, **kwargs)
        for part in built.walk():
            _make_seven_bit(part)
        return built


def build_mail(
    *,
    subject: str,
    text: str,
    html: str | None,
    sender: Mailbox,
    to: Mailbox,
    message_id: str,
    sent_at: datetime,
    invite: Invite | None = None,
    attachments: Sequence[Attachment | tuple[str, bytes, str]] = (),
    reply_to: Mailbox | None = None,
    automatic: bool = True,
) -> EmailMultiAlternatives:
    """The mail, ready for `.send()`. Nothing here reads the clock: Message-ID and Date are handed in.

    `message_id` is the whole `<left@right>`; sending again with the same one makes a double recognisable.
    `automatic` adds Auto-Submitted (RFC 3834 5), so that absence notes are not sent back to a program.
    Raises FactFault, naming the field, for what could break out of a header.
    """
    if not text.strip():
        # Django would leave an empty text part out, and with it all that the plainest mail programs show.
        raise FactFault("text", "The mail has no text; write at least one sentence.")
    headers = {
        "Message-ID": check_message_id(message_id),
        "Date": format_datetime(utc_second("sent_at", sent_at)),
    }
    if automatic:
        headers["Auto-Submitted"] = "auto-generated"
    mail = SevenBitMail(
        subject=_subject(subject),
        body=plain_text(text),
        from_email=str(sender),
        to=[str(to)],
        reply_to=[str(reply_to)] if reply_to else None,
        headers=headers,
    )
    if html is not None:
        mail.attach_alternative(plain_text(html), "text/html")
    if invite is not None:
        # A str without a charset of our own: Django 5.2 would write the charset twice.
        mail.attach_alternative(invite.body.decode(), f"text/calendar; method={invite.method}")
        mail.attach(INVITE_NAME, invite.body, "application/ics")
    for paper in attachments:
        _attach(mail, paper if isinstance(paper, Attachment) else Attachment(*paper))
    return mail


def check_message_id(message_id: str) -> str:
    """The Message-ID itself. Raises FactFault unless it is a plain `<left@right>` (RFC 5322 3.6.4)."""
    if len(message_id) > 250 or not fullmatch(r"<[A-Za-z0-9._+=-]+@[A-Za-z0-9.-]+>", message_id):
        raise FactFault("message_id", "A Message-ID is written <left@right> in plain letters and digits.")
    return message_id


def _subject(subject: str) -> str:
    line = one_line(subject)[:SUBJECT_LIMIT].strip()
    if not line:
        raise FactFault("subject", "The mail has no subject; give it one line.")
    return line


def _attach(mail: EmailMultiAlternatives, paper: Attachment) -> None:
    if not fullmatch(r"[a-z]+/[A-Za-z0-9.+-]+", paper.mimetype) or paper.mimetype.startswith(
        ("multipart/", "message/")
    ):
        raise FactFault("attachments", f"“{paper.mimetype}” is no type of a paper; try application/pdf.")
    mail.attach(_file_name(paper.name), paper.content, paper.mimetype)


def _file_name(name: str) -> str:
    bare = sub(r'[/\\:"<>|?*]', "-", one_line(name)).strip(" .")
    if not bare:
        raise FactFault("attachments", "A paper has no file name; give it one, such as handover-pack.pdf.")
    return bare[-120:]


def _make_seven_bit(part: Message) -> None:
    if part.get_content_maintype() != "text" or part.get_content_disposition() == "attachment":
        return
    content = part.get_payload(decode=True)
    if not isinstance(content, bytes):
        return
    if part.get_content_type() == "text/calendar":
        coded, coding = base64.encodebytes(content), "base64"
    elif content.isascii() and all(len(line) < 998 for line in content.splitlines()):
        return
    else:
        coded, coding = quopri.encodestring(content), "quoted-printable"
    del part["Content-Transfer-Encoding"]
    part["Content-Transfer-Encoding"] = coding
    part.set_payload(coded.decode("ascii"))
