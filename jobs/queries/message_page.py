from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.conf import settings

from jobs.models import AccessArrangement, Channel, HeldReply, Message, MessageState, ReplyState, Workshop
from jobs.queries.workshop import is_stalled, last_sweep
from jobs.registries import message_kinds

SHOWN = 100


@dataclass(frozen=True)
class MessageRow:
    """A message with its kind in words."""

    message: Message
    words: str


def message_page(workshop: Workshop | None, now: dt.datetime) -> dict[str, Any]:
    """What failed, what waits, which calls are to be made, what went, and whether the worker lives. Five queries."""
    rows = Message.objects.select_related("commission")
    return {
        "failed": _rows(rows.filter(state__in=[MessageState.FAILED, MessageState.UNKNOWN])),
        "calls": _rows(rows.filter(state=MessageState.WAITING, channel=Channel.CALL)),
        "waiting": _rows(rows.filter(state__in=[MessageState.WAITING, MessageState.SENDING], channel=Channel.MAIL)),
        "sent": _rows(rows.filter(state=MessageState.SENT).order_by("-sent_at")),
        "held_count": HeldReply.objects.filter(state=ReplyState.OPEN).count(),
        "last_sweep_at": last_sweep(workshop),
        "is_stalled": is_stalled(workshop, now),
        "outbox_dir": settings.OUTBOX_DIR,
    }


def reply_page() -> dict[str, Any]:
    """Answers that wait for a person, and the last that were dealt with. Two queries."""
    rows = HeldReply.objects.select_related("visit__commission__client", "settled_by").defer("raw")
    return {
        "held": list(rows.filter(state=ReplyState.OPEN)[:SHOWN]),
        "settled": list(rows.exclude(state=ReplyState.OPEN)[:SHOWN]),
        "is_read": bool(settings.IMAP_URL),
    }


def telephone_of(message: Message) -> str:
    """Where to ring for a call to make: the opener's number where it is for the opener, else the client's."""
    commission = message.commission
    if commission is None:
        return ""
    if message.kind == "access_confirmation":
        opener = AccessArrangement.objects.filter(commission=commission, opener_name=message.to_name).first()
        if opener is not None and opener.opener_phone:
            return str(opener.opener_phone.as_national)
    if message.to_name == commission.client.name and commission.client.phone:
        return str(commission.client.phone.as_national)
    return ""


def message_words(kind: str) -> str:
    known = message_kinds.get(kind)
    return known.words if known else kind


def is_for_us(kind: str) -> bool:
    """Whether it is written to one of our own people."""
    known = message_kinds.get(kind)
    return known is not None and known.is_for_us


def _rows(found: Any) -> list[MessageRow]:
    return [MessageRow(message, message_words(message.kind)) for message in found[:SHOWN]]
