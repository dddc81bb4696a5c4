"""The words of the reminders round the return visit; each is written when it goes."""

from __future__ import annotations

import datetime as dt

from django.core.mail import EmailMultiAlternatives

from aftercare.light.words import light_sentence, time_words
from aftercare.queries.light import light_of_days
from jobs.invites.reminder_mail import is_for, still_stands
from jobs.invites.visit_mail import visit_mail
from jobs.models import Message, Workshop


def compose_photo_window(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """To the maker: when today's light matches the note. None where the day has no window."""
    visit = message.visit
    if visit is None or visit.starts_at is None or not still_stands(message, now):
        return None
    day = workshop.local_day(visit.starts_at)
    windows = light_of_days([visit.commission], {visit.commission_id: [day]}, workshop.tz)[
        visit.commission_id
    ].windows
    window = windows.get(day)
    if window is None:
        return None
    begins, ends = time_words(window.starts_at), time_words(window.ends_at)
    return visit_mail(
        "photo_window",
        message,
        workshop,
        now,
        window=f"{begins} to {ends}",
        window_words=f"between {begins} and {ends}",
        light_words=light_sentence(window),
    )


def compose_review_note(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The one question afterwards. None where the client has taken the permission back meanwhile."""
    visit = message.visit
    if visit is None or not still_stands(message, now):
        return None
    client = visit.commission.client
    if not client.may_be_asked_for_review or not is_for(message, client.email):
        return None
    return visit_mail("review_note", message, workshop, now)
