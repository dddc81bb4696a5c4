"""Acts that phones send: each key has exactly one effect, however often it is told, and no fact is thrown away."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db import IntegrityError, transaction

from jobs.domain.daybook import write_line
from jobs.models import ActOutcome, Commission, Person, SiteAct, Workshop
from jobs.refusal import AlreadyTrue, Refusal
from jobs.registries import SiteMoment, site_acts

# A phone's clock runs up to this much ahead of ours without anybody being asked about it.
SKEW = dt.timedelta(minutes=5)
OLDEST = dt.timedelta(days=60)


@dataclass(frozen=True)
class SentAct:
    """An act as a phone tells it; its shape is checked, its truth is not."""

    key: UUID
    kind: str
    commission: Commission
    payload: Mapping[str, str]
    happened_at: dt.datetime
    device: str = ""


@transaction.atomic
def record_act(*, sent: SentAct, workshop: Workshop, now: dt.datetime, person: Person) -> SiteAct:
    """Do the act and keep it, in one transaction. A key told again answers what it answered the first time.

    Refused (field "key") where the key belongs to another act; what the domain refuses is kept with its sentence.
    """
    row = SiteAct(
        key=sent.key,
        device=sent.device,
        person=person,
        commission=sent.commission,
        kind=sent.kind,
        payload=dict(sent.payload),
        happened_at=min(sent.happened_at, now) if sent.happened_at <= now + SKEW else sent.happened_at,
        received_at=now,
        outcome=ActOutcome.DONE,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return _told_before(row)
    row.outcome, row.sentence = _outcome(row, workshop, now)
    row.save(update_fields=["subject", "outcome", "sentence"])
    if row.outcome != ActOutcome.DONE:  # what was done has a line of its own
        write_line(
            act="keep_site_act",
            now=now,
            actor=person,
            commission=sent.commission,
            site_act=row.pk,
            site_kind=row.kind,
            outcome=row.outcome,
        )
    return row


def _told_before(row: SiteAct) -> SiteAct:
    earlier = SiteAct.objects.get(key=row.key)
    told = (earlier.kind, earlier.payload, earlier.commission_id, earlier.person_id)
    if told != (row.kind, row.payload, row.commission_id, row.person_id):
        raise Refusal("key", "This key belongs to another act: load the page again and do it once more.")
    return earlier


def _outcome(row: SiteAct, workshop: Workshop, now: dt.datetime) -> tuple[str, str]:
    """Outcome and sentence; fills in the row's subject."""
    if row.happened_at > now:
        minutes = round((row.happened_at - now).total_seconds() / 60)
        return ActOutcome.REFUSED, f"The phone’s clock is {minutes} minutes ahead: set it, then do this once more."
    if row.happened_at < now - OLDEST:
        return ActOutcome.REFUSED, "This is more than 60 days old: note it at the desk, if it still matters."
    kind = site_acts.get(row.kind)
    assert kind is not None
    moment = SiteMoment(row.commission, row.person, workshop, row.payload, row.happened_at, now)
    try:
        row.subject = kind.subject(moment)
        newer = _newer(row)
        if newer is not None:
            by = f"{newer.person}, {workshop.local(newer.happened_at):%H:%M}"
            return ActOutcome.OVERTAKEN, f"Kept, but a newer fact stands: {newer.sentence or newer.kind} ({by})."[
                :400
            ]
        with transaction.atomic():
            return ActOutcome.DONE, kind.apply(moment)[:400]
    except AlreadyTrue as known:
        return ActOutcome.KNOWN, known.sentence[:400]
    except Refusal as refusal:
        return ActOutcome.REFUSED, refusal.sentence[:400]


def _newer(row: SiteAct) -> SiteAct | None:
    """A fact about the same thing that happened later and was told earlier."""
    if not row.subject:
        return None
    return (
        SiteAct.objects.filter(
            commission=row.commission_id,
            subject=row.subject,
            happened_at__gt=row.happened_at,
            outcome__in=[ActOutcome.DONE, ActOutcome.KNOWN],
        )
        .exclude(pk=row.pk)
        .select_related("person")
        .first()
    )


@transaction.atomic
def settle_act(*, act: SiteAct, now: dt.datetime, actor: Person) -> None:
    """Somebody has seen to what was not done."""
    done = SiteAct.objects.filter(pk=act.pk, outcome=ActOutcome.REFUSED, seen_at__isnull=True).update(
        seen_at=now, seen_by=actor
    )
    if not done:
        raise Refusal("", "This was seen to already; nothing was changed.")
    write_line(act="settle_site_act", now=now, actor=actor, commission=act.commission, site_act=act.pk)
