"""How a message reads: as it went, or as it would go now."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.core.mail import EmailMultiAlternatives

from jobs.models import Message, MessageState, Workshop
from jobs.registries import message_kinds


@dataclass(frozen=True)
class Preview:
    """Subject, text and HTML of a message; where there are none, `why_not` says why."""

    subject: str = ""
    text: str = ""
    html: str = ""
    why_not: str = ""


def preview(message: Message, workshop: Workshop, now: dt.datetime) -> Preview:
    """Writes nothing. What has gone is shown as it was kept, without the secrets of its links."""
    if message.body:
        return Preview(message.subject, message.body, message.html)
    kind = message_kinds.get(message.kind)
    if kind is None:
        return Preview(why_not="This program no longer knows this kind of message.")
    if kind.is_made_when_sent and message.to_email:
        return Preview(why_not="It is written when it goes, with what it carries; nothing to look at before.")
    try:
        mail = None if message.state == MessageState.WITHDRAWN else kind.compose(message, workshop, now)
    except Exception as fault:
        return Preview(why_not=f"It cannot be written: {fault}")
    if mail is None:
        return Preview(why_not="Its reason has gone: it was taken back, or will be, and is not sent.")
    return Preview(str(mail.subject), str(mail.body), _html(mail))


def _html(mail: EmailMultiAlternatives) -> str:
    return next((str(content) for content, mimetype in mail.alternatives if mimetype == "text/html"), "")
