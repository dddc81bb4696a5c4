from __future__ import annotations

import logging
import socket
import time
from datetime import UTC, datetime

import pytest

from jobs.invites.imap import FetchedMail, ImapSettings, MailboxOutcome, read_mailbox
from jobs.invites.replies import Reply, read_reply
from tests.jobs.invites import replies_as_sent as sent
from tests.jobs.invites.imap_server import Mailbox, StoredMail, serving
from tests.jobs.invites.samples import BASE


def settings_for(port: int, **changes: object) -> ImapSettings:
    base: dict[str, object] = {
        "host": "127.0.0.1",
        "username": "office",
        "password": "secret",
        "port": port,
        "security": "none",
        "timeout_s": 1.0,
    }
    return ImapSettings(**(base | changes))  # type: ignore[arg-type]


def three_mails() -> Mailbox:
    raws = (sent.first_program(), sent.second_program(), sent.third_program())
    return Mailbox({uid: StoredMail(raw) for uid, raw in zip((4, 7, 9), raws, strict=True)})


def test_each_unread_mail_is_handled_once_and_then_marked() -> None:
    mailbox, got = three_mails(), []
    mailbox.mails[7].seen = True
    with serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port), got.append)
        again = read_mailbox(settings_for(port), got.append)
    assert (outcome, again) == (MailboxOutcome(handled=2), MailboxOutcome())
    assert [mail.uid for mail in got] == [4, 9]
    assert [mail.raw for mail in got] == [mailbox.mails[4].raw, mailbox.mails[9].raw]
    assert all(mail.seen for mail in mailbox.mails.values())
    assert {mail.arrived_at for mail in got} == {datetime(2026, 9, 1, 10, 0, 30, tzinfo=UTC)}


def test_what_is_fetched_is_what_the_reply_reader_reads() -> None:
    answers: list[object] = []

    def handle(mail: FetchedMail) -> None:
        answers.append(read_reply(mail.raw, organiser_base=BASE, arrived_at=mail.arrived_at))

    with serving(three_mails()) as port:
        read_mailbox(settings_for(port), handle)
    assert [answer.attendance for answer in answers if isinstance(answer, Reply)] == [
        "ACCEPTED",
        "ACCEPTED",
        "DECLINED",
    ]


def test_a_mail_is_not_marked_before_it_was_handled() -> None:
    mailbox, seen_while_handled = three_mails(), []
    with serving(mailbox) as port:
        read_mailbox(settings_for(port), lambda mail: seen_while_handled.append(mailbox.mails[mail.uid].seen))
    assert seen_while_handled == [False, False, False]


def test_a_mail_that_cannot_be_handled_stays_unread_and_the_others_come(caplog: pytest.LogCaptureFixture) -> None:
    mailbox, got = three_mails(), []

    def handle(mail: FetchedMail) -> None:
        if mail.uid == 7:
            raise RuntimeError("words that a client wrote")
        got.append(mail.uid)

    with caplog.at_level(logging.ERROR), serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port), handle)
    assert (outcome.handled, outcome.failed_uids, outcome.fault, got) == (2, (7,), None, [4, 9])
    assert [uid for uid, mail in mailbox.mails.items() if not mail.seen] == [7]
    assert "RuntimeError" in caplog.text and "words that a client wrote" not in caplog.text


def test_of_a_mail_above_the_limit_only_the_header_is_fetched() -> None:
    mailbox, got = Mailbox({1: StoredMail(sent.first_program())}), []
    with serving(mailbox) as port:
        read_mailbox(settings_for(port, size_limit_bytes=500), got.append)
    assert (got[0].whole, got[0].size_bytes) == (False, len(sent.first_program()))
    assert got[0].raw == sent.first_program().partition(b"\r\n\r\n")[0] + b"\r\n\r\n"


def test_no_more_than_a_batch_is_taken_at_a_time() -> None:
    mailbox, got = three_mails(), []
    with serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port, batch=2), got.append)
    assert (outcome.handled, outcome.left, [mail.uid for mail in got]) == (2, 1, [4, 7])


@pytest.mark.parametrize("at", ["LOGIN", "SELECT", "SEARCH", "RFC822.SIZE", "PEEK", "STORE"])
@pytest.mark.parametrize(("fault", "words"), [("drop", "hung up"), ("refuse", "refused")])
def test_a_server_that_drops_or_refuses_is_told_in_a_sentence(at: str, fault: str, words: str) -> None:
    mailbox, got = three_mails(), []
    mailbox.fault = (fault, at)
    with serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port), got.append)
    assert outcome.fault is not None and words in outcome.fault
    assert "secret" not in outcome.fault
    # Only a fault at the marking comes after a mail was handed over; that one will come again.
    assert len(got) == (1 if at == "STORE" else 0)
    assert not any(mail.seen for mail in mailbox.mails.values())


@pytest.mark.parametrize("at", ["LOGIN", "SEARCH", "PEEK"])
def test_a_server_that_hangs_is_left_after_the_timeout(at: str) -> None:
    mailbox = three_mails()
    mailbox.fault = ("hang", at)
    started = time.monotonic()
    with serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port, timeout_s=0.3), lambda mail: None)
        waited_s = time.monotonic() - started
    assert outcome.fault == "The mail server 127.0.0.1 did not answer within 0.3 seconds."
    assert waited_s < 19  # the server itself would let go after 20


def test_a_deadline_ends_a_reading_and_the_rest_comes_later() -> None:
    mailbox = three_mails()
    with serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port, deadline_s=0.1), lambda mail: time.sleep(0.2))
    assert (outcome.handled, outcome.left) == (1, 2)
    assert outcome.fault == "The mailbox answers too slowly; we go on later."


def test_a_wrong_password_is_told_without_showing_it() -> None:
    with serving(three_mails()) as port:
        outcome = read_mailbox(settings_for(port, password="wr0ng"), lambda mail: None)
    assert outcome.fault == "The mail server 127.0.0.1 refused; check the user name, the password and the mailbox."
    assert "wr0ng" not in repr(settings_for(1, password="wr0ng"))


def test_a_server_that_is_not_there_is_told_in_a_sentence() -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    outcome = read_mailbox(settings_for(port), lambda mail: None)
    assert outcome.fault == "The mail server 127.0.0.1 could not be reached, or hung up (ConnectionRefusedError)."


@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_no_password_goes_to_a_server_without_encryption(security: str) -> None:
    mailbox = three_mails()
    with serving(mailbox) as port:
        outcome = read_mailbox(settings_for(port, security=security), lambda mail: None)
    assert outcome.fault is not None and "could not prove who it is" in outcome.fault
    assert not [command for command in mailbox.commands if "LOGIN" in command.upper()]
