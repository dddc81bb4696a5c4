from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.conf import settings

from jobs.models import Channel, Heartbeat, Message, MessageState
from jobs.registries import message_kinds

STALE = dt.timedelta(minutes=3)
SHOWN = 100


@dataclass(frozen=True)
class MessageRow:
    """A message with its kind in words."""

    message: Message
    words: str


def message_page(now: dt.datetime) -> dict[str, Any]:
    """What failed, what waits, which calls are to be made, what went, and whether the worker lives. Five queries."""
    rows = Message.objects.select_related("commission")
    beat = Heartbeat.objects.filter(name="sweep").first()
    return {
        "failed": _rows(rows.filter(state__in=[MessageState.FAILED, MessageState.UNKNOWN])),
        "calls": _rows(rows.filter(state=MessageState.WAITING, channel=Channel.CALL)),
        "waiting": _rows(rows.filter(state__in=[MessageState.WAITING, MessageState.SENDING], channel=Channel.MAIL)),
        "sent": _rows(rows.filter(state=MessageState.SENT).order_by("-sent_at")),
        "last_sweep_at": beat.last_ok_at if beat else None,
        "is_stalled": beat is None or now - beat.last_ok_at > STALE,
        "outbox_dir": settings.OUTBOX_DIR,
    }


def _rows(found: Any) -> list[MessageRow]:
    return [MessageRow(message, _words(message.kind)) for message in found[:SHOWN]]


def _words(kind: str) -> str:
    known = message_kinds.get(kind)
    return known.words if known else kind
