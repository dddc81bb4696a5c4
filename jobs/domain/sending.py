"""The states of a message on its way out. Every change is a conditional UPDATE that one process can win.

waiting -> sending (claimed, with a lease) -> sent | waiting again after a pause | failed | withdrawn
A lease that ran out means a process died between "send" and "sent": then the policy of the message decides
between sending again and showing a person that nobody knows.
"""

from __future__ import annotations

import datetime as dt
import secrets

from django.db import transaction
from django.db.models import F, Q

from config.logs import without_tokens
from jobs.domain.daybook import write_line
from jobs.domain.messages import MAY_HAVE_GONE
from jobs.models import Channel, Heartbeat, Message, MessageState, Person, SendPolicy
from jobs.refusal import Refusal

LEASE = dt.timedelta(minutes=5)
# Pauses after the first, second, ... failure; after the last the message has failed and waits for a person.
PAUSES = [dt.timedelta(minutes=minutes) for minutes in (1, 5, 20, 60, 240, 720)]


def expire_leases(*, now: dt.datetime) -> int:
    """Settle what a dead process left in "sending". Returns how many."""
    settled = 0
    for message in Message.objects.filter(state=MessageState.SENDING, lease_until__lt=now):
        is_once = message.policy == SendPolicy.AT_MOST_ONCE
        state = MessageState.UNKNOWN if is_once else MessageState.WAITING
        settled += _settle(message, state=state, payload=message.payload | MAY_HAVE_GONE)
    return settled


def due_ids(*, now: dt.datetime, limit: int) -> list[int]:
    """Ids of mails that may be sent now, the longest due first. One query, whatever the size of the table."""
    return list(
        Message.objects.filter(
            Q(next_try_at__isnull=True) | Q(next_try_at__lte=now),
            state=MessageState.WAITING,
            channel=Channel.MAIL,
            due_at__lte=now,
        )
        .order_by("due_at", "pk")
        .values_list("pk", flat=True)[:limit]
    )


def claim(message_id: int, *, now: dt.datetime) -> Message | None:
    """The message, leased to us, or None when somebody else was quicker."""
    token = secrets.token_hex(16)
    won = Message.objects.filter(pk=message_id, state=MessageState.WAITING).update(
        state=MessageState.SENDING, lease_token=token, lease_until=now + LEASE, attempts=F("attempts") + 1
    )
    return Message.objects.select_related("commission__client", "visit__person").get(pk=message_id) if won else None


def record_sent(message: Message, *, now: dt.datetime, subject: str, body: str, html: str = "") -> bool:
    """Sent. False when our lease was taken over meanwhile: then the other holder's word stands.

    The words are kept for the screen, without the secrets of links: those are kept nowhere but as a hash.
    """
    return _settle(
        message,
        state=MessageState.SENT,
        sent_at=now,
        subject=subject[:200],
        body=without_tokens(body),
        html=without_tokens(html),
        error="",
    )


def record_withdrawn(message: Message) -> bool:
    return _settle(message, state=MessageState.WITHDRAWN)


def record_failure(
    message: Message, *, now: dt.datetime, error: str, for_good: bool = False, may_have_gone: bool = False
) -> bool:
    """The server said no, or did not answer: try again after a pause, or give up and show a person.

    `may_have_gone`: the line dropped while it was handed over, so that what follows must reckon with a mail read.
    """
    payload = message.payload | MAY_HAVE_GONE if may_have_gone else message.payload
    pauses_left = PAUSES[message.attempts - 1 :]
    if for_good or not pauses_left:
        return _settle(message, state=MessageState.FAILED, error=error[:300], payload=payload)
    next_try_at = now + pauses_left[0]
    return _settle(message, state=MessageState.WAITING, error=error[:300], next_try_at=next_try_at, payload=payload)


def record_unknown(message: Message, *, error: str) -> bool:
    """The line dropped after the text was handed over: it may have gone. Said so, never guessed."""
    payload = message.payload | MAY_HAVE_GONE
    return _settle(message, state=MessageState.UNKNOWN, error=error[:300], payload=payload)


@transaction.atomic
def retry_message(*, message: Message, now: dt.datetime, actor: Person | None = None) -> bool:
    """A person asks for another try of what failed or is unknown."""
    won = Message.objects.filter(pk=message.pk, state__in=[MessageState.FAILED, MessageState.UNKNOWN]).update(
        state=MessageState.WAITING, next_try_at=now, attempts=0, error=""
    )
    if won:
        write_line(act="retry_message", now=now, actor=actor, commission=message.commission, message=message.pk)
    return bool(won)


@transaction.atomic
def make_call(*, message: Message, now: dt.datetime, actor: Person) -> None:
    """The call has been made, or the letter posted. Refused where it is no longer to be made."""
    won = Message.objects.filter(pk=message.pk, state=MessageState.WAITING, channel=Channel.CALL).update(
        state=MessageState.SENT, sent_at=now
    )
    if not won:
        raise Refusal("", "This call is no longer to be made; nothing was changed.")
    write_line(
        act="make_call",
        now=now,
        actor=actor,
        commission=message.commission,
        message=message.pk,
        about=message.kind,
    )


def beat(name: str, *, now: dt.datetime) -> None:
    Heartbeat.objects.update_or_create(name=name, defaults={"last_ok_at": now})


def _settle(message: Message, **columns: object) -> bool:
    return bool(
        Message.objects.filter(pk=message.pk, state=MessageState.SENDING, lease_token=message.lease_token).update(
            lease_token="", lease_until=None, **columns
        )
    )
