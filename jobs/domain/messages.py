"""Asking for a message. Sending it is `jobs.domain.sending` and `jobs.sweep`."""

from __future__ import annotations

import datetime as dt
import hashlib
from typing import Any

from django.db.models import Q

from jobs.models import Channel, Commission, Message, MessageState, SendPolicy, Visit, Workshop

# In the payload of a mail that was on its way when the line or the program died: somebody may have read it.
MAY_HAVE_GONE = {"may_have_gone": True}


def fixed_message_id(key: str, workshop: Workshop) -> str:
    """The Message-ID of a message for life: the same key gives the same mail, however often it is sent."""
    digest = hashlib.sha256(key.encode()).hexdigest()[:40]
    return f"<{digest}@{workshop.email.rpartition('@')[2]}>"


def queue_message(
    *,
    key: str,
    kind: str,
    workshop: Workshop,
    now: dt.datetime,
    due_at: dt.datetime | None = None,
    commission: Commission | None = None,
    visit: Visit | None = None,
    to_name: str = "",
    to_email: str = "",
    payload: dict[str, Any] | None = None,
    policy: str = SendPolicy.AT_LEAST_ONCE,
) -> Message:
    """The message with this key, made now or already there. A person without e-mail gets a call instead."""
    Message.objects.bulk_create(
        [
            Message(
                key=key,
                kind=kind,
                channel=Channel.MAIL if to_email else Channel.CALL,
                policy=policy,
                commission=commission,
                visit=visit,
                to_name=to_name,
                to_email=to_email,
                payload=payload or {},
                due_at=due_at or now,
                message_id=fixed_message_id(key, workshop),
                created_at=now,
            )
        ],
        ignore_conflicts=True,
    )
    return Message.objects.get(key=key)


def withdraw_messages(*, visit: Visit) -> int:
    """Take back what is still waiting about a visit; what has gone has gone. Returns how many were taken back."""
    return visit.messages.filter(state=MessageState.WAITING).update(state=MessageState.WITHDRAWN)


def was_told(visit: Visit) -> bool:
    """Whether anybody may have heard of this visit, so that a change must be told too."""
    on_its_way = [MessageState.SENT, MessageState.SENDING, MessageState.UNKNOWN]
    return visit.messages.filter(Q(state__in=on_its_way) | Q(payload__may_have_gone=True)).exists()
