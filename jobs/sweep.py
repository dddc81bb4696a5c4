"""Once a minute: queue what has become due, send it, read the answers, keep the plan. Run by the one django-q2
schedule, or by `manage.py sweep` from cron or a systemd timer."""

from __future__ import annotations

import datetime as dt
import logging
import smtplib
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

from django.core.mail import EmailMessage, EmailMultiAlternatives, get_connection
from django.utils import timezone

from jobs.domain import sending
from jobs.domain.plans import keep_plan
from jobs.domain.reminders import queue_reminders
from jobs.invites.calendar_server import copy_to_calendar_server
from jobs.invites.mailbox import read_answers
from jobs.models import Message, SendPolicy, Workshop
from jobs.nightly import run_if_due
from jobs.queries.workshop import the_workshop
from jobs.registries import MessageKind, message_kinds

log = logging.getLogger(__name__)
AT_ONCE = 200
# The worker ends a task after 60 s, and a hanging mail server takes 20 s an answer: begin no mail after this.
LAST_MAIL_BEGINS_AFTER_S = 30.0


@dataclass
class SweepReport:
    queued: int = 0
    sent: int = 0
    withdrawn: int = 0
    failed: int = 0


def run() -> str:
    """The entry for the worker: reads the clock, sweeps, says what it did."""
    now = timezone.now()
    report = sweep(now)
    workshop = the_workshop()
    if workshop is not None:
        # After the heartbeat: a slow mailbox or calendar server holds up no mail and raises no alarm about sending.
        _apart("answers", lambda: read_answers(workshop, now))
        _apart("calendar server", lambda: copy_to_calendar_server(workshop, now))
        _apart("plan", lambda: keep_plan(workshop, now))
    return f"{report.queued} queued, {report.sent} sent, {report.withdrawn} withdrawn, {report.failed} not sent"


def sweep(now: dt.datetime) -> SweepReport:
    """Queue and send. Safe to run twice, at the same time, and after a crash at any line."""
    report = SweepReport()
    began_s = time.monotonic()
    workshop = the_workshop()
    if workshop is not None:
        sending.expire_leases(now=now)
        # A reminder that cannot be computed must not hold back the mail that waits.
        report.queued = _apart("reminders", lambda: queue_reminders(now, workshop=workshop)) or 0
        for message_id in sending.due_ids(now=now, limit=AT_ONCE):
            if time.monotonic() - began_s > LAST_MAIL_BEGINS_AFTER_S:
                break
            message = sending.claim(message_id, now=now)
            if message is not None:
                _send(message, workshop, now, report)
        run_if_due(workshop, now)
    sending.beat("sweep", now=now)
    return report


def _apart(what: str, act: Callable[[], int]) -> int | None:
    try:
        return act()
    except Exception:
        log.exception("%s could not be dealt with", what)
        return None


def _send(message: Message, workshop: Workshop, now: dt.datetime, report: SweepReport) -> None:
    try:
        kind = _kind(message)
        mail = kind.compose(message, workshop, now)
        if mail is not None and kind.before_sending is not None:
            kind.before_sending(message, now)
    except Exception as fault:
        # One letter that cannot be written must not hold up the others; a person sees it among the failed.
        log.exception("message %s could not be written", message.pk)
        report.failed += 1
        sending.record_failure(message, now=now, error=f"Could not be written: {fault}", for_good=True)
        return
    if mail is None:
        report.withdrawn += 1
        sending.record_withdrawn(message)
        return
    _connect_and_send(message, mail, now, report)


def _kind(message: Message) -> MessageKind:
    kind = message_kinds.get(message.kind)
    if kind is None:
        raise LookupError(f"no kind of message is called {message.kind}")
    return kind


def _connect_and_send(message: Message, mail: EmailMessage, now: dt.datetime, report: SweepReport) -> None:
    """What goes wrong before the first word of the mail certainly sent nothing: that is tried again, whatever the
    policy, and a wrong password fails no mail for good."""
    connection = get_connection()
    try:
        connection.open()
    except (OSError, smtplib.SMTPException) as fault:
        report.failed += 1
        sending.record_failure(message, now=now, error=f"The mail server could not be reached: {_said(fault)}")
        return
    mail.connection = connection
    try:
        _hand_over_to_server(message, mail, now, report)
    finally:
        # The server has said yes or no by now; how it says good-bye changes nothing.
        with suppress(OSError, smtplib.SMTPException):
            connection.close()


def _hand_over_to_server(message: Message, mail: EmailMessage, now: dt.datetime, report: SweepReport) -> None:
    try:
        mail.send()
    except smtplib.SMTPResponseException as refusal:
        report.failed += 1
        error = f"The mail server said {refusal.smtp_code}."
        sending.record_failure(message, now=now, error=error, for_good=500 <= refusal.smtp_code < 600)
    except smtplib.SMTPRecipientsRefused as refusal:
        report.failed += 1
        codes = [code for code, _ in refusal.recipients.values()]
        error = "The mail server does not take mail for this address."
        sending.record_failure(message, now=now, error=error, for_good=all(code >= 500 for code in codes))
    except (smtplib.SMTPServerDisconnected, TimeoutError) as fault:
        report.failed += 1
        _record_broken_off(message, now, fault)
    except (OSError, smtplib.SMTPException) as fault:
        report.failed += 1
        sending.record_failure(message, now=now, error=f"The mail server did not take it: {_said(fault)}")
    else:
        report.sent += 1
        sending.record_sent(message, now=now, subject=str(mail.subject), body=str(mail.body), html=html_of(mail))


def html_of(mail: EmailMessage) -> str:
    """The HTML part of a mail, or ""."""
    if not isinstance(mail, EmailMultiAlternatives):
        return ""
    return next((str(content) for content, mimetype in mail.alternatives if mimetype == "text/html"), "")


def _record_broken_off(message: Message, now: dt.datetime, fault: Exception) -> None:
    """The line went dead and the server's answer is not known."""
    if message.policy == SendPolicy.AT_MOST_ONCE:
        sending.record_unknown(message, error=f"The mail server hung up before it answered: {_said(fault)}")
    else:
        error = f"The mail server hung up: {_said(fault)}"
        sending.record_failure(message, now=now, error=error, may_have_gone=True)


def _said(fault: Exception) -> str:
    return str(fault) or type(fault).__name__
