"""Planning reminders: what the record asks for becomes rows, once a key; what it no longer asks for is taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from jobs.domain.messages import fixed_message_id
from jobs.models import Channel, Message, MessageState, VisitState, Workshop
from jobs.registries import DueReminder, ReminderSource, reminder_sources

AT_ONCE = 500


def queue_reminders(now: dt.datetime, *, workshop: Workshop) -> int:
    """Queue every reminder that is due by now. Returns how many are new. Two at once queue each key once."""
    withdraw_overtaken(now)
    return sum(_queue(one, workshop, now, now) for one in reminder_sources.all() if not one.daily)


def queue_daily_reminders(workshop: Workshop, now: dt.datetime) -> None:
    """The sources that are asked once a night; what is due later that day is queued and waits for its hour."""
    end_of_day = workshop.local(now).replace(hour=23, minute=59, second=59)
    for one in reminder_sources.all():
        if one.daily:
            _queue(one, workshop, now, end_of_day)


def withdraw_overtaken(now: dt.datetime) -> int:
    """Take back what waits although its visit has moved, is over or off, or its time has gone by. Two queries."""
    waiting = Message.objects.filter(state=MessageState.WAITING, payload__has_key="lapses_at")
    overtaken = [
        pk
        for pk, payload, sequence, state in waiting.values_list("pk", "payload", "visit__sequence", "visit__state")
        if is_overtaken(payload, sequence, state, now)
    ]
    if not overtaken:
        return 0
    return Message.objects.filter(pk__in=overtaken, state=MessageState.WAITING).update(state=MessageState.WITHDRAWN)


def is_overtaken(payload: dict[str, str], sequence: int | None, state: str | None, now: dt.datetime) -> bool:
    if dt.datetime.fromisoformat(payload["lapses_at"]) <= now:
        return True
    if sequence is None:
        return False
    allowed = payload.get("visit_state", VisitState.ARRANGED)
    return state != allowed or payload.get("sequence") != sequence


def _queue(source: ReminderSource, workshop: Workshop, now: dt.datetime, until: dt.datetime) -> int:
    """One query to see which keys are there for each 500 due, one to write for each 500 new."""
    found = [one for one in source.find(workshop, now) if one.due_at <= until and now < one.lapses_at]
    made = 0
    for start in range(0, len(found), AT_ONCE):
        some = {one.key: one for one in found[start : start + AT_ONCE]}
        known = set(Message.objects.filter(key__in=some).values_list("key", flat=True))
        made += _write((one for key, one in some.items() if key not in known), workshop, now)
    return made


def _write(reminders: Iterable[DueReminder], workshop: Workshop, now: dt.datetime) -> int:
    rows = [_row(one, workshop, now) for one in reminders]
    Message.objects.bulk_create(rows, ignore_conflicts=True)
    return len(rows)


def _row(one: DueReminder, workshop: Workshop, now: dt.datetime) -> Message:
    payload = {**one.facts, "lapses_at": one.lapses_at.isoformat()}
    if one.visit_sequence is not None:
        payload["sequence"] = one.visit_sequence
    return Message(
        key=one.key,
        kind=one.kind,
        channel=Channel.MAIL if one.to_email else Channel.CALL,
        policy=one.policy,
        commission_id=one.commission_id,
        visit_id=one.visit_id,
        to_name=one.to_name,
        to_email=one.to_email,
        payload=payload,
        due_at=one.due_at,
        message_id=fixed_message_id(one.key, workshop),
        created_at=now,
    )
