"""Each fault of a mail server leaves the state that was promised, and no mail is lost or called sent.

The promise (jobs/domain/sending.py): a refusal for good is shown, a refusal for now or an unreachable
server is tried again; where the server may have taken the mail, a reminder goes again under the same Message-ID
and an access or money mail is shown as unknown. Codes by RFC 5321 4.2.1: 4yz for now, 5yz for good.
"""

from __future__ import annotations

import datetime as dt
import socket

import icalendar
import pytest
from django.core.mail import EmailMultiAlternatives

from jobs import sweep as sweep_module
from jobs.domain.messages import queue_message
from jobs.domain.sending import retry_message
from jobs.domain.visits import book_visit, cancel_visit
from jobs.models import Message, SendPolicy, Workshop
from jobs.registries import MessageKind, message_kinds
from jobs.sweep import sweep
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop
from tests.faults.smtp_servers import FaultyHandler, mail_server, silent_server

pytestmark = [pytest.mark.django_db, pytest.mark.service]
LEAST, MOST = SendPolicy.AT_LEAST_ONCE, SendPolicy.AT_MOST_ONCE


@pytest.fixture
def post(settings, monkeypatch):
    """Points the program at a server, and asks for one mail."""
    workshop = make_workshop()

    def compose(message, workshop, now):
        mail = EmailMultiAlternatives("Words", "Text", "shop@example.org", [message.to_email])
        mail.extra_headers = {"Message-ID": message.message_id}
        mail.attach_alternative("<p>Text</p>", "text/html")
        return mail

    monkeypatch.setitem(message_kinds.entries, "plain", (1, MessageKind("Plain", compose)))
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_TIMEOUT = "127.0.0.1", 1.0

    def ask(policy, port):
        settings.EMAIL_PORT = port
        return queue_message(
            key="plain:1", kind="plain", workshop=workshop, now=NOW, to_email="a@example.org", policy=policy
        )

    return ask


@pytest.mark.parametrize(
    ("fault", "at_least_once", "at_most_once"),
    [
        ("", "sent", "sent"),
        ("drop after yes", "sent", "sent"),
        ("451 at MAIL", "waiting", "waiting"),
        ("450 at RCPT", "waiting", "waiting"),
        ("452 at DATA", "waiting", "waiting"),
        ("550 at RCPT", "failed", "failed"),
        ("554 at DATA", "failed", "failed"),
        ("drop at MAIL", "waiting", "unknown"),
        ("drop before yes", "waiting", "unknown"),
        ("drop, mail kept", "waiting", "unknown"),
        ("hang at DATA", "waiting", "unknown"),
    ],
)
@pytest.mark.parametrize("policy", [LEAST, MOST])
def test_each_fault_leaves_the_promised_state(post, fault, at_least_once, at_most_once, policy):
    handler = FaultyHandler(fault)
    with mail_server(handler) as port:
        message = post(policy, port)
        sweep(NOW)
    message.refresh_from_db()
    assert message.state == (at_least_once if policy == LEAST else at_most_once)
    assert bool(message.error) == (message.state != "sent")
    assert bool(message.sent_at) == (message.state == "sent")
    if message.state == "sent":
        assert [mail["Message-ID"] for mail in handler.taken] == [message.message_id]
        assert (message.body, message.html) == ("Text", "<p>Text</p>")


@pytest.mark.parametrize("policy", [LEAST, MOST])
def test_a_server_that_is_not_there_is_tried_again_whatever_the_policy(post, policy):
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        message = post(policy, nobody.getsockname()[1])
        sweep(NOW)
    message.refresh_from_db()
    assert (message.state, message.attempts) == ("waiting", 1)


@pytest.mark.parametrize("policy", [LEAST, MOST])
def test_a_server_that_never_greets_has_taken_nothing(post, policy):
    with silent_server() as port:
        message = post(policy, port)
        sweep(NOW)
    message.refresh_from_db()
    assert message.state == "waiting" and "could not be reached" in message.error


def test_what_the_server_kept_before_it_hung_up_comes_again_under_the_same_name(post):
    handler = FaultyHandler("drop, mail kept")
    with mail_server(handler) as port:
        message = post(LEAST, port)
        sweep(NOW)
        handler.fault = ""
        sweep(NOW + dt.timedelta(minutes=2))
    assert Message.objects.get().state == "sent"
    assert [mail["Message-ID"] for mail in handler.taken] == [message.message_id] * 2


def test_what_is_unknown_is_not_sent_again_until_a_person_says_so(post):

    handler = FaultyHandler("drop before yes")
    with mail_server(handler) as port:
        message = post(MOST, port)
        sweep(NOW)
        handler.fault = ""
        for hours in range(1, 30):
            sweep(NOW + dt.timedelta(hours=hours))
        assert handler.taken == []
        assert retry_message(message=message, now=NOW)
        sweep(NOW + dt.timedelta(hours=31))
    assert len(handler.taken) == 1
    assert Message.objects.get().state == "sent"


def test_a_hanging_server_does_not_hold_the_sweep_longer_than_the_worker_allows(post, monkeypatch):
    """Only so many mails are begun; the others wait for the next sweep."""

    monkeypatch.setattr(sweep_module, "LAST_MAIL_BEGINS_AFTER_S", 1.2)
    with silent_server() as port:
        post(LEAST, port)
        workshop = make_workshop()
        for n in range(6):
            queue_message(key=f"plain:{n}", kind="plain", workshop=workshop, now=NOW, to_email="a@example.org")
        report = sweep(NOW)
    assert report.failed < 6
    assert Message.objects.filter(state="waiting", attempts=0).exists()


def test_a_visit_called_off_after_a_mail_that_may_have_gone_is_called_off_by_mail(post, settings):
    """RFC 5546 3.2.5: who may hold the invitation is sent the CANCEL, although our own record says "not sent"."""
    handler, workshop = FaultyHandler("drop, mail kept"), Workshop.objects.get()
    with mail_server(handler) as port:
        settings.EMAIL_PORT = port
        visit = booked(workshop)
        sweep(NOW)
        assert visit.messages.get().state == "waiting"
        cancel_visit(visit=visit, workshop=workshop, now=NOW, actor=None)
        handler.fault = ""
        sweep(NOW + dt.timedelta(minutes=2))
    methods = [part["METHOD"] for mail in handler.taken for part in [calendar_part(mail)]]
    assert methods == ["REQUEST", "CANCEL"]


def test_a_visit_called_off_before_its_mail_could_go_is_told_to_nobody(post, settings):
    workshop = Workshop.objects.get()
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        settings.EMAIL_PORT = nobody.getsockname()[1]
        visit = booked(workshop)
        sweep(NOW)
        cancel_visit(visit=visit, workshop=workshop, now=NOW, actor=None)
    assert [(one.kind, one.state) for one in visit.messages.all()] == [("visit_invite", "withdrawn")]


def booked(workshop):
    commission = make_commission(maker=make_maker(), client=make_client(email="quennell@example.org"))
    starts_at = NOW.replace(minute=0) + dt.timedelta(days=9)
    return book_visit(
        commission=commission, kind="other", person=commission.maker, starts_at=starts_at,
        ends_at=starts_at + dt.timedelta(hours=1), workshop=workshop, now=NOW, actor=None,
    )  # fmt: skip


def calendar_part(mail):
    (part,) = [one for one in mail.walk() if one.get_content_type() == "text/calendar"]
    return icalendar.Calendar.from_ical(part.get_payload(decode=True))
