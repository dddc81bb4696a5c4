"""The nightly `forget`: what has been kept as long as it is needed goes. Running it twice changes nothing more.

How long each thing is kept is a setting of the workshop; the law names no figures (UK GDPR article 5(1)(e)).
"""

from __future__ import annotations

import datetime as dt
import logging
from dataclasses import dataclass

from django.db.models import Q

from jobs.domain.forgetting import TIME_IS_OVER, forget_client
from jobs.models import AccessArrangement, Client, ClientAway, Commission, Erasure, Message, MessageState, Workshop
from jobs.outbox import delete_from_outbox
from jobs.queries.codes import job_ended_on
from jobs.queries.keeping import AWAY_DAYS, record_goes_on
from jobs.registries import kept_longer

log = logging.getLogger(__name__)
AT_ONCE = 1000
SETTLED = (MessageState.SENT, MessageState.FAILED, MessageState.UNKNOWN, MessageState.WITHDRAWN)


@dataclass(frozen=True)
class Forgotten:
    messages: int = 0
    arrangements: int = 0
    away: int = 0
    clients: int = 0

    def __str__(self) -> str:
        return (
            f"text of {self.messages} messages, {self.arrangements} access arrangements, {self.away} times away, "
            f"{self.clients} clients forgotten"
        )


def forget(workshop: Workshop, now: dt.datetime) -> Forgotten:
    """All of it, in the order from small to large."""
    return Forgotten(
        messages=_forget_messages(workshop, now),
        arrangements=_forget_arrangements(workshop, now),
        away=_forget_away(workshop, now),
        clients=_forget_clients(workshop, now),
    )


def forget_nightly(workshop: Workshop, now: dt.datetime) -> None:
    log.info("nightly forget: %s", forget(workshop, now))


def _forget_messages(workshop: Workshop, now: dt.datetime) -> int:
    """Text and addressee; kind, state and hour stay, and the key, so that nothing is sent again."""
    before = now - dt.timedelta(days=workshop.keep_messages_days)
    told = ~Q(body="") | ~Q(html="") | ~Q(subject="") | ~Q(to_name="") | ~Q(to_email="") | ~Q(error="")
    old = Message.objects.filter(told, state__in=SETTLED, created_at__lt=before).order_by("pk")
    rows = list(old.values_list("pk", "message_id")[:AT_ONCE])
    count = Message.objects.filter(pk__in=[pk for pk, _ in rows]).update(
        body="", html="", subject="", to_name="", to_email="", error=""
    )
    for _, message_id in rows:
        delete_from_outbox(message_id)
    return count


def _forget_arrangements(workshop: Workshop, now: dt.datetime) -> int:
    """Names and telephones of who let us in, some days after the job."""
    last_day = workshop.local_day(now) - dt.timedelta(days=workshop.keep_access_days)
    count = 0
    for commission in Commission.objects.filter(access_arrangements__isnull=False).distinct():
        ended = job_ended_on(commission, workshop, now)
        if ended is not None and ended <= last_day:
            count += AccessArrangement.objects.filter(commission=commission).delete()[0]
    return count


def _forget_away(workshop: Workshop, now: dt.datetime) -> int:
    before = workshop.local_day(now) - dt.timedelta(days=AWAY_DAYS)
    return ClientAway.objects.filter(last_day__lt=before).delete()[0]


def _forget_clients(workshop: Workshop, now: dt.datetime) -> int:
    today = workshop.local_day(now)
    # Nobody entered since could be old enough; this keeps the round small.
    youngest = now - dt.timedelta(days=min(workshop.keep_enquiries_days, 365 * workshop.keep_record_years))
    forgotten = set(Erasure.objects.values_list("client_id", flat=True))
    count = 0
    for client in Client.objects.filter(created_at__lt=youngest).exclude(pk__in=forgotten):
        day = record_goes_on(client, workshop, now)
        if day is None or day > today or any(keeps(client, today) for keeps in kept_longer.all()):
            continue
        forget_client(client=client, reason=TIME_IS_OVER, workshop=workshop, now=now, actor=None)
        count += 1
    return count
