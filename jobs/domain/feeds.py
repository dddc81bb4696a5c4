"""Addresses of calendars to subscribe to. An address is a secret of 256 bits, shown once and kept as a hash."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import Client, Feed, Person
from jobs.refusal import Refusal


@transaction.atomic
def make_feed(
    *, now: dt.datetime, actor: Person | None, person: Person | None = None, client: Client | None = None
) -> tuple[Feed, str]:
    """A new address for one person or one client: the row, and the secret that is shown this once."""
    if (person is None) == (client is None):
        raise Refusal("", "A calendar is of one person or of one client: choose one of them.")
    token = secrets.token_urlsafe(32)
    feed = Feed.objects.create(
        person=person, client=client, token_hash=hash_of(token), created_at=now, created_by=actor
    )
    write_line(
        act="make_feed",
        now=now,
        actor=actor,
        feed=feed.pk,
        person=person.pk if person else None,
        client=client.pk if client else None,
    )
    return feed, token


@transaction.atomic
def revoke_feed(*, feed: Feed, now: dt.datetime, actor: Person | None) -> None:
    """The address opens nothing any more."""
    if not Feed.objects.filter(pk=feed.pk, revoked_at__isnull=True).update(revoked_at=now):
        raise Refusal("", "This address was taken back already; nothing was changed.")
    write_line(act="revoke_feed", now=now, actor=actor, feed=feed.pk)


def standing_feed(token: str) -> Feed | None:
    """The feed of a secret, or None where there is none, where it was taken back, or where the person has left."""
    feed = (
        Feed.objects.select_related("person", "client")
        .filter(token_hash=hash_of(token), revoked_at__isnull=True)
        .first()
    )
    return None if feed is None or (feed.person is not None and not feed.person.is_active) else feed


def hash_of(token: str) -> str:
    """A secret of 256 random bits needs no salt and no slow hash."""
    return hashlib.sha256(token.encode(errors="replace")).hexdigest()
