"""What the post puts on the job board: calls to make, answers that wait for a person, visits declined."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db.models import CharField, DateTimeField, F, IntegerField, QuerySet, Value
from django.db.models.functions import Cast
from django.http import HttpRequest

from jobs.models import (
    Attendance,
    Channel,
    HeldReply,
    Message,
    MessageState,
    ReplyState,
    Visit,
    VisitKind,
    VisitState,
)
from jobs.queries.message_page import is_for_us, message_words
from jobs.roles import may

SHOWN = 8


@dataclass(frozen=True)
class PostLine:
    """`what` is call, note (to one of us), declined or answer; `at` the day of the call, of the visit, or of the
    answer's arrival."""

    what: str
    pk: int
    words: str
    name: str
    at: dt.datetime
    number: int | None
    nickname: str


def post_section(request: HttpRequest, now: dt.datetime) -> tuple[str, dict[str, Any]]:
    """One query. Nobody without a desk sees it: it names clients."""
    lines = [] if not may(request.user, "messages") else post_lines(now)
    return "jobs/board_post.html", {"post_lines": lines[:SHOWN], "post_more": max(0, len(lines) - SHOWN)}


def post_lines(now: dt.datetime) -> list[PostLine]:
    calls = Message.objects.filter(state=MessageState.WAITING, channel=Channel.CALL, due_at__lte=now)
    declined = Visit.objects.filter(
        state=VisitState.ARRANGED, attendance=Attendance.DECLINED, starts_at__gt=now, starts_at__isnull=False
    )
    # The board itself says a declined return visit, among those to arrange.
    declined = declined.exclude(kind=VisitKind.RETURN)
    answers = HeldReply.objects.filter(state=ReplyState.OPEN)
    rows = _rows("call", calls, "kind", "to_name", "due_at", "commission").union(
        _rows("declined", declined, "kind", "commission__client__name", "starts_at", "commission"),
        _rows("answer", answers, "sentence", "sender", "arrived_at", "visit__commission"),
        all=True,
    )
    found = [_line(*row) for row in rows]
    return sorted(found, key=lambda line: line.at)


def _line(
    what: str, pk: int, words: str, name: str, at: dt.datetime, number: int | None, nickname: str | None
) -> PostLine:
    if what == "call":
        what = "note" if is_for_us(words) else "call"
        words = message_words(words)
    elif what == "declined":
        words = VisitKind(words).label
    return PostLine(what, pk, words, name, at, number, nickname or "")


def _rows(what: str, rows: QuerySet, words: str, name: str, at: str, commission: str) -> QuerySet:
    return rows.order_by().values_list(
        Value(what, output_field=CharField()),
        F("pk"),
        Cast(words, CharField()),
        Cast(name, CharField()),
        Cast(at, DateTimeField()),
        Cast(f"{commission}__number", IntegerField()),
        Cast(f"{commission}__nickname", CharField()),
    )
