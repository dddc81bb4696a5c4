"""Links to the client's own page. A token is shown or mailed once; only its hash is kept."""

from __future__ import annotations

import datetime as dt
import secrets

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.urls import reverse

from jobs.domain.daybook import write_line
from jobs.domain.messages import queue_message
from jobs.domain.sign_in import hash_of
from jobs.models import ClientLink, ClientSession, Commission, LinkScope, Message, Person, SendPolicy, Workshop
from jobs.refusal import Refusal

LINK_LASTS_DAYS = 90
LONGEST_DAYS = 366
SESSION_LASTS = dt.timedelta(days=30)
# Long enough for "send me a new link" to find whose it was; then nothing is left of it.
KEPT_AFTER_END = dt.timedelta(days=366)


@transaction.atomic
def make_link(
    *,
    commission: Commission,
    now: dt.datetime,
    actor: Person | None,
    scope: str = LinkScope.DECIDE,
    days: int = LINK_LASTS_DAYS,
) -> tuple[ClientLink, str]:
    """A link to the page of this commission and its token, 256 random bits that are nowhere kept."""
    if scope not in LinkScope.values:
        raise Refusal("scope", "What it opens: choose one of the two.")
    if not 1 <= days <= LONGEST_DAYS:
        raise Refusal("days", f"Good for: give a number of days from 1 to {LONGEST_DAYS}.")
    token = secrets.token_urlsafe(32)
    link = ClientLink.objects.create(
        commission=commission,
        token_hash=hash_of(token),
        scope=scope,
        made_by=actor,
        made_at=now,
        expires_at=now + dt.timedelta(days=days),
    )
    write_line(act="make_link", now=now, actor=actor, commission=commission, link=link.pk, scope=scope, days=days)
    return link, token


def address_of(token: str) -> str:
    """The whole address a token stands in."""
    return settings.PUBLIC_URL + reverse("client_entry", args=[token])


def client_url(commission: Commission, now: dt.datetime) -> str:
    """The address of a fresh link, for a mail that goes this moment to the client's own address."""
    _, token = make_link(commission=commission, now=now, actor=None)
    return address_of(token)


@transaction.atomic
def revoke_link(*, link: ClientLink, now: dt.datetime, actor: Person | None) -> None:
    """From this moment the link, and every browser that was let in by it, opens nothing."""
    if not ClientLink.objects.filter(pk=link.pk, revoked_at__isnull=True).update(revoked_at=now):
        raise Refusal("", "This link was taken back already; nothing was changed.")
    link.refresh_from_db(fields=["revoked_at"])
    write_line(act="revoke_link", now=now, actor=actor, commission=link.commission, link=link.pk)


@transaction.atomic
def exchange_link(*, token: str, now: dt.datetime) -> tuple[ClientSession, str] | None:
    """The token of the link against one for a cookie; None where the link does not stand."""
    standing = ClientLink.objects.filter(token_hash=hash_of(token), revoked_at__isnull=True, expires_at__gt=now)
    if not standing.update(last_used_at=now, use_count=F("use_count") + 1):
        return None
    link = standing.select_related("commission").get()
    cookie = secrets.token_urlsafe(32)
    session = ClientSession.objects.create(
        link=link,
        token_hash=hash_of(cookie),
        started_at=now,
        expires_at=min(now + SESSION_LASTS, link.expires_at),
    )
    write_line(act="exchange_link", now=now, actor=None, commission=link.commission, link=link.pk)
    return session, cookie


def session_of(cookie: str, *, now: dt.datetime) -> ClientSession | None:
    """The standing session of a cookie. One query, no write."""
    if not cookie:
        return None
    standing = ClientSession.objects.filter(
        token_hash=hash_of(cookie), ended_at__isnull=True, expires_at__gt=now,
        link__revoked_at__isnull=True, link__expires_at__gt=now,
    )  # fmt: skip
    return standing.select_related("link__commission__client", "link__commission__maker").first()


def end_session(*, session: ClientSession, now: dt.datetime) -> None:
    """This browser forgets the page; the link itself stays good."""
    ClientSession.objects.filter(pk=session.pk, ended_at__isnull=True).update(ended_at=now)


@transaction.atomic
def ask_for_link(*, token: str, cookie: str, workshop: Workshop, now: dt.datetime) -> Message | None:
    """A new link to the address already held, once an hour at most; None where nobody is known by either token.

    The caller answers the same in every case.
    """
    links = ClientLink.objects.select_related("commission__client")
    link = links.filter(token_hash=hash_of(token)).first() if token else None
    if link is None and cookie:
        link = links.filter(sessions__token_hash=hash_of(cookie)).first()
    if link is None:
        return None
    client = link.commission.client
    message = queue_message(
        key=f"client_link:{link.commission_id}:{now:%Y%m%d%H}",
        kind="client_link",
        workshop=workshop,
        now=now,
        commission=link.commission,
        to_name=client.name,
        to_email=client.email,
        policy=SendPolicy.AT_LEAST_ONCE,
    )
    write_line(act="ask_for_link", now=now, actor=None, commission=link.commission, link=link.pk)
    return message


def forget_old_links(workshop: Workshop, now: dt.datetime) -> int:
    """The nightly duty: sessions that have ended, and links that ended a year ago. Returns how many rows went."""
    sessions, _ = ClientSession.objects.filter(expires_at__lte=now).delete()
    links, _ = ClientLink.objects.filter(expires_at__lte=now - KEPT_AFTER_END).delete()
    return sessions + links
