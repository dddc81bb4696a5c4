"""What the post forgets with a client: words, names, addresses, answers. That something went, and when, stays."""

from __future__ import annotations

import datetime as dt

from jobs.models import Feed, HeldReply, Message, MessageState


def forget_post(client_id: int, now: dt.datetime) -> None:
    """Eraser: nothing that waits is sent any more; what went keeps its kind and its hour."""
    messages = Message.objects.filter(commission__client=client_id)
    messages.filter(state__in=[MessageState.WAITING, MessageState.FAILED, MessageState.UNKNOWN]).update(
        state=MessageState.WITHDRAWN
    )
    messages.update(to_name="", to_email="", subject="", body="", html="", error="")
    HeldReply.objects.filter(visit__commission__client=client_id).delete()
    Feed.objects.filter(client=client_id).delete()
