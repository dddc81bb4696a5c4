"""Once a minute: send what is due. Run by the one django-q2 schedule, or by `manage.py sweep` from cron."""

from __future__ import annotations

import datetime as dt
import logging
import smtplib
from dataclasses import dataclass

from django.core.mail import EmailMessage, get_connection
from django.utils import timezone

from config.logs import without_tokens
from jobs.domain import sending
from jobs.models import Message, SendPolicy, Workshop
from jobs.nightly import run_if_due
from jobs.queries.workshop import the_workshop
from jobs.registries import message_kinds

log = logging.getLogger(__name__)
AT_ONCE = 200


@dataclass
class SweepReport:
    sent: int = 0
    withdrawn: int = 0
    failed: int = 0


def run() -> str:
    """The entry for the worker: reads the clock, sweeps, says what it did."""
    report = sweep(timezone.now())
    return f"{report.sent} sent, {report.withdrawn} withdrawn, {report.failed} not sent"


def sweep(now: dt.datetime) -> SweepReport:
    report = SweepReport()
    workshop = the_workshop()
    if workshop is not None:
        sending.expire_leases(now=now)
        for message_id in sending.due_ids(now=now, limit=AT_ONCE):
            message = sending.claim(message_id, now=now)
            if message is not None:
                _send(message, workshop, now, report)
        run_if_due(workshop, now)
    sending.beat("sweep", now=now)
    return report


def _send(message: Message, workshop: Workshop, now: dt.datetime, report: SweepReport) -> None:
    try:
        mail = _compose(message, workshop, now)
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
    _hand_over_to_server(message, mail, now, report)


def _compose(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMessage | None:
    kind = message_kinds.get(message.kind)
    if kind is None:
        raise LookupError(f"no kind of message is called {message.kind}")
    return kind.compose(message, workshop, now)


def _hand_over_to_server(message: Message, mail: EmailMessage, now: dt.datetime, report: SweepReport) -> None:
    try:
        mail.connection = get_connection()
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
        sending.record_failure(message, now=now, error=f"The mail server could not be reached: {fault}")
    else:
        report.sent += 1
        sending.record_sent(message, now=now, subject=str(mail.subject), body=without_tokens(str(mail.body)))


def _record_broken_off(message: Message, now: dt.datetime, fault: Exception) -> None:
    """The line went dead and the server's answer is not known."""
    if message.policy == SendPolicy.AT_MOST_ONCE:
        sending.record_unknown(message, error=f"The mail server hung up before it answered: {fault}")
    else:
        sending.record_failure(message, now=now, error=f"The mail server hung up: {fault}")
