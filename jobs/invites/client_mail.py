"""Mails that come from the client's own page: a new link, and the copy of what was decided there."""

from __future__ import annotations

import datetime as dt

from django.core.mail import EmailMultiAlternatives

from jobs.domain.links import LINK_LASTS_DAYS, client_url
from jobs.invites.visit_mail import letter
from jobs.models import ClientDecision, Message, Workshop
from jobs.words import day_in_words, time_in_words


def compose_client_link(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The mail with a link made this moment, or None where the commission is gone."""
    if message.commission is None:
        return None
    context = {
        "workshop": workshop,
        "to_name": message.to_name,
        "link": client_url(message.commission, now),
        "until": day_in_words(workshop.local_day(now + dt.timedelta(days=LINK_LASTS_DAYS))),
    }
    return letter("client_link", message, workshop, now, context)


def compose_client_receipt(message: Message, workshop: Workshop, now: dt.datetime) -> EmailMultiAlternatives | None:
    """The copy of a decision, or the word that it was taken back; None where the record of it is gone."""
    decision = ClientDecision.objects.filter(pk=message.payload["decision"]).first()
    if decision is None:
        return None
    is_undone = bool(message.payload.get("undone"))
    at = decision.undone_at if is_undone and decision.undone_at else decision.decided_at
    local = workshop.local(at)
    context = {
        "workshop": workshop,
        "to_name": message.to_name,
        "said": decision.said,
        "is_undone": is_undone,
        "day": day_in_words(local.date()),
        "time": time_in_words(local.time()),
    }
    return letter("client_receipt", message, workshop, now, context)
