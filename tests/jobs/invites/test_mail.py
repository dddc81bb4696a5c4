from __future__ import annotations

import smtplib
from collections.abc import Iterator
from email import message_from_bytes
from email.message import Message
from email.utils import parsedate_to_datetime

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.handlers import Message as Keeper
from django.core import mail as django_mail
from django.core.mail import EmailMultiAlternatives

from jobs.invites.calendar_file import build_cancel, build_request
from jobs.invites.facts import FactFault
from jobs.invites.mail import Attachment, Invite, Mailbox, build_mail
from tests.jobs.invites.samples import ASKED_AT, VISIT, visit

INVITE = Invite(build_request(VISIT, ASKED_AT), "REQUEST")
PACK = b"%PDF-1.7 pack \xff\x00"


def a_mail(**changes: object) -> EmailMultiAlternatives:
    base: dict[str, object] = {
        "subject": "Return visit Sat 24 Oct, 9.30",
        "text": "We come back on Saturday 24 October at 9.30.\nÉmile",
        "html": '<html lang="en-GB" dir="ltr"><body><p>We come back.</p></body></html>',
        "sender": Mailbox("office@example.org", "Nib, Tenon & Co"),
        "to": Mailbox(VISIT.attendee_email, VISIT.attendee_name),
        "message_id": "<visit.7.invite.0@example.org>",
        "sent_at": ASKED_AT,
        "invite": INVITE,
        "attachments": [Attachment("handover-pack.pdf", PACK, "application/pdf")],
        "reply_to": Mailbox(VISIT.organiser_email, "Nib"),
    }
    return build_mail(**(base | changes))  # type: ignore[arg-type]


def wire(mail: EmailMultiAlternatives) -> Message:
    return message_from_bytes(mail.message().as_bytes(linesep="\r\n"))


def tree(part: Message) -> object:
    if part.is_multipart():
        return (part.get_content_type(), [tree(inner) for inner in part.get_payload()])
    return part.get_content_type()


def test_the_parts_stand_as_calendar_programs_agree_to_read_them() -> None:
    assert tree(wire(a_mail())) == (
        "multipart/mixed",
        [
            ("multipart/alternative", ["text/plain", "text/html", "text/calendar"]),
            "application/ics",
            "application/pdf",
        ],
    )


def test_headers_are_those_that_were_handed_in() -> None:
    read = wire(a_mail())
    assert read["Message-ID"] == "<visit.7.invite.0@example.org>"
    assert parsedate_to_datetime(read["Date"]) == ASKED_AT
    assert (read["From"], read["Auto-Submitted"]) == ('"Nib, Tenon & Co" <office@example.org>', "auto-generated")
    assert read["Reply-To"] == f"Nib <{VISIT.organiser_email}>"
    assert "Auto-Submitted" not in wire(a_mail(automatic=False))


def test_every_part_comes_back_byte_for_byte_and_the_wire_is_ascii() -> None:
    built = a_mail().message().as_bytes(linesep="\r\n")
    assert built.isascii()
    assert max(len(line) for line in built.split(b"\r\n")) <= 998  # RFC 5322 2.1.1
    text, _, calendar, file, paper = [part for part in message_from_bytes(built).walk() if not part.is_multipart()]
    assert text.get_payload(decode=True).decode().split() == (
        ["We", "come", "back", "on", "Saturday", "24", "October", "at", "9.30.", "Émile"]
    )
    assert calendar.get_payload(decode=True) == file.get_payload(decode=True) == INVITE.body
    assert (paper.get_payload(decode=True), paper.get_filename()) == (PACK, "handover-pack.pdf")
    assert calendar.get_params()[1:] == [("method", "REQUEST"), ("charset", "utf-8")]


def test_django_5_2_writes_the_charset_once() -> None:
    """Written twice, programs refuse the part; adding our own charset would do that."""
    assert a_mail().message().as_string().count('text/calendar; method="REQUEST"; charset="utf-8"') == 1


def test_a_cancellation_says_so_in_header_and_file() -> None:
    invite = Invite(build_cancel(visit(sequence=1), ASKED_AT), "CANCEL")
    part = next(part for part in wire(a_mail(invite=invite)).walk() if part.get_content_type() == "text/calendar")
    assert (part.get_param("method"), b"METHOD:CANCEL" in part.get_payload(decode=True)) == ("CANCEL", True)


def test_a_plain_mail_has_no_calendar_part() -> None:
    bare = wire(a_mail(invite=None, attachments=()))
    assert tree(bare) == ("multipart/alternative", ["text/plain", "text/html"])
    assert tree(wire(a_mail(invite=None, attachments=(), html=None))) == "text/plain"


def test_papers_may_be_given_as_plain_tuples() -> None:
    read = wire(a_mail(attachments=[("pack.pdf", PACK, "application/pdf")]))
    assert read.get_payload()[-1].get_payload(decode=True) == PACK


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("subject", {"subject": " \r\n "}),
        ("text", {"text": "\r\n"}),
        ("message_id", {"message_id": "no brackets@example.org"}),
        ("message_id", {"message_id": "<a@example.org>\r\nBcc: eve@example.org"}),
        ("message_id", {"message_id": "<a@b@c>"}),
        ("sent_at", {"sent_at": ASKED_AT.replace(tzinfo=None)}),
        ("attachments", {"attachments": [("", b"x", "application/pdf")]}),
        ("attachments", {"attachments": [("a.pdf", b"x", "application/pdf\r\nX: y")]}),
        ("attachments", {"attachments": [("a.eml", b"x", "message/rfc822")]}),
    ],
)
def test_what_could_break_out_of_a_header_is_refused_by_field(field: str, changes: dict[str, object]) -> None:
    with pytest.raises(FactFault) as caught:
        a_mail(**changes)
    assert caught.value.field == field
    assert caught.value.sentence.endswith(".")


def test_a_file_name_keeps_no_folder() -> None:
    read = wire(a_mail(attachments=[("../..\\etc/pa\r\nss.pdf", PACK, "application/pdf")]))
    assert read.get_payload()[-1].get_filename() == "-..-etc-pa ss.pdf"


def test_sending_goes_through_django(settings: object) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"  # type: ignore[attr-defined]
    django_mail.outbox = []
    assert a_mail().send() == 1
    assert django_mail.outbox[0].subject == "Return visit Sat 24 Oct, 9.30"


class _Box(Keeper):
    def __init__(self) -> None:
        super().__init__()
        self.got: list[Message] = []

    def handle_message(self, message: Message) -> None:
        self.got.append(message)


class _Ear(Controller):
    """aiosmtpd on a port that the system picks; it offers no 8BITMIME when told so."""

    def _trigger_server(self) -> None:
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()


@pytest.fixture
def smtp_box() -> Iterator[tuple[_Box, int]]:
    box = _Box()
    ear = _Ear(box, hostname="127.0.0.1", port=0)
    ear.start()
    try:
        yield box, ear.port
    finally:
        ear.stop()


@pytest.mark.service
def test_an_invitation_arrives_whole_through_a_real_smtp_server(smtp_box: tuple[_Box, int], settings: object) -> None:
    box, port = smtp_box
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"  # type: ignore[attr-defined]
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port  # type: ignore[attr-defined]
    settings.EMAIL_USE_TLS, settings.EMAIL_USE_SSL = False, False  # type: ignore[attr-defined]
    settings.EMAIL_HOST_USER, settings.EMAIL_TIMEOUT = "", 5  # type: ignore[attr-defined]
    assert a_mail().send() == 1
    arrived = box.got[0]
    parts = {part.get_content_type(): part for part in arrived.walk()}
    assert parts["text/calendar"].get_payload(decode=True) == INVITE.body
    assert arrived["Message-ID"] == "<visit.7.invite.0@example.org>"
    assert arrived["X-RcptTo"] == VISIT.attendee_email
    with smtplib.SMTP("127.0.0.1", port, timeout=60) as plain:
        assert plain.noop()[0] == 250
