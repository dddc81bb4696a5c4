"""The sweep sends each message once, and says what it does not know."""

from __future__ import annotations

import datetime as dt
import smtplib

import pytest
from django.core import mail as django_mail
from django.core.mail import EmailMessage

from jobs.domain import sending
from jobs.domain.messages import fixed_message_id, queue_message
from jobs.models import Heartbeat, Message, MessageState, SendPolicy
from jobs.registries import MessageKind, message_kinds
from jobs.sweep import sweep
from tests.factories import NOW, make_workshop

pytestmark = pytest.mark.django_db
MINUTE = dt.timedelta(minutes=1)


@pytest.fixture
def workshop():
    return make_workshop()


@pytest.fixture
def kind(monkeypatch):
    """A kind of message whose writing and sending the test decides."""

    class Plain:
        compose = staticmethod(
            lambda message, workshop, now: EmailMessage(
                "Subject", "Body", to=[message.to_email], headers={"Message-ID": message.message_id}
            )
        )

    entry = MessageKind("Plain", lambda *args: Plain.compose(*args))
    monkeypatch.setitem(message_kinds.entries, "plain", (1, entry))
    return Plain


def ask(workshop, key="plain:1", **fields):
    return queue_message(
        **{"key": key, "kind": "plain", "workshop": workshop, "now": NOW, "to_email": "a@example.org"} | fields
    )


def test_a_due_message_is_sent_once(workshop, kind):
    ask(workshop)
    assert sweep(NOW).sent == 1
    assert sweep(NOW + MINUTE).sent == 0
    message = Message.objects.get()
    assert (message.state, message.sent_at, message.subject, message.attempts) == ("sent", NOW, "Subject", 1)
    assert [sent.extra_headers["Message-ID"] for sent in django_mail.outbox] == [message.message_id]
    assert Heartbeat.objects.get(name="sweep").last_ok_at == NOW + MINUTE


def test_asking_twice_is_one_message(workshop, kind):
    assert ask(workshop).pk == ask(workshop).pk
    assert Message.objects.count() == 1


def test_what_is_not_due_waits(workshop, kind):
    ask(workshop, due_at=NOW + MINUTE)
    assert sweep(NOW).sent == 0
    assert sweep(NOW + MINUTE).sent == 1


def test_the_message_id_depends_on_the_key_alone(workshop):
    assert fixed_message_id("a", workshop) == fixed_message_id("a", workshop) != fixed_message_id("b", workshop)


def test_a_claimed_message_cannot_be_claimed_again(workshop, kind):
    message = ask(workshop)
    assert sending.claim(message.pk, now=NOW) is not None
    assert sending.claim(message.pk, now=NOW) is None


def test_a_lost_lease_is_fenced_off(workshop, kind):
    first = sending.claim(ask(workshop).pk, now=NOW)
    later = NOW + sending.LEASE + MINUTE
    assert sending.expire_leases(now=later) == 1
    second = sending.claim(first.pk, now=later)
    assert not sending.record_sent(first, now=later, subject="", body="")
    assert sending.record_sent(second, now=later, subject="", body="")


@pytest.mark.parametrize(
    ("policy", "state"),
    [(SendPolicy.AT_LEAST_ONCE, MessageState.WAITING), (SendPolicy.AT_MOST_ONCE, MessageState.UNKNOWN)],
)
def test_a_crash_while_sending_follows_the_policy(workshop, kind, policy, state):
    message = ask(workshop, policy=policy)
    sending.claim(message.pk, now=NOW)
    sending.expire_leases(now=NOW + sending.LEASE + MINUTE)
    message.refresh_from_db()
    assert message.state == state


def fail_with(monkeypatch, fault):
    def send(self, fail_silently=False):
        raise fault

    monkeypatch.setattr(EmailMessage, "send", send)


@pytest.mark.parametrize(
    ("fault", "policy", "state"),
    [
        (smtplib.SMTPResponseException(451, b"later"), SendPolicy.AT_LEAST_ONCE, MessageState.WAITING),
        (smtplib.SMTPResponseException(550, b"no"), SendPolicy.AT_LEAST_ONCE, MessageState.FAILED),
        (smtplib.SMTPRecipientsRefused({"a": (550, b"no")}), SendPolicy.AT_LEAST_ONCE, MessageState.FAILED),
        (smtplib.SMTPRecipientsRefused({"a": (450, b"busy")}), SendPolicy.AT_LEAST_ONCE, MessageState.WAITING),
        (ConnectionRefusedError(), SendPolicy.AT_MOST_ONCE, MessageState.WAITING),
        (smtplib.SMTPServerDisconnected("gone"), SendPolicy.AT_LEAST_ONCE, MessageState.WAITING),
        (smtplib.SMTPServerDisconnected("gone"), SendPolicy.AT_MOST_ONCE, MessageState.UNKNOWN),
        (TimeoutError(), SendPolicy.AT_MOST_ONCE, MessageState.UNKNOWN),
    ],
)
def test_each_fault_of_the_server_leaves_the_promised_state(workshop, kind, monkeypatch, fault, policy, state):
    ask(workshop, policy=policy)
    fail_with(monkeypatch, fault)
    assert sweep(NOW).failed == 1
    message = Message.objects.get()
    assert message.state == state
    assert message.error


def test_pauses_grow_and_end_in_failure(workshop, kind, monkeypatch):
    ask(workshop)
    fail_with(monkeypatch, ConnectionRefusedError())
    now, tries = NOW, 0
    while Message.objects.get().state == MessageState.WAITING:
        sweep(now)
        tries += 1
        now = Message.objects.get().next_try_at or now
    assert tries == len(sending.PAUSES) + 1
    assert Message.objects.get().state == MessageState.FAILED


def test_a_letter_that_cannot_be_written_does_not_hold_up_the_next(workshop, kind):
    ask(workshop, "plain:1")
    ask(workshop, "plain:2")
    write = kind.compose

    def compose(message, workshop, now):
        if message.key == "plain:1":
            raise ValueError("no words")
        return write(message, workshop, now)

    kind.compose = staticmethod(compose)
    report = sweep(NOW)
    assert (report.sent, report.failed) == (1, 1)


def test_a_reason_that_is_gone_withdraws_the_message(workshop, kind):
    ask(workshop)
    kind.compose = staticmethod(lambda message, workshop, now: None)
    assert sweep(NOW).withdrawn == 1
    assert Message.objects.get().state == MessageState.WITHDRAWN


def test_retry_is_for_what_failed_or_is_unknown(workshop, kind):
    message = ask(workshop)
    assert not sending.retry_message(message=message, now=NOW)
    Message.objects.update(state=MessageState.UNKNOWN)
    assert sending.retry_message(message=message, now=NOW)
    assert sweep(NOW).sent == 1
