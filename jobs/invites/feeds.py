"""What a feed holds: visits and nothing else. No code, no absence, no day on which a client is away."""

from __future__ import annotations

import datetime as dt

from jobs.invites.calendar_file import build_feed
from jobs.invites.visit_mail import own_facts, visit_facts
from jobs.models import Feed, Visit, VisitState, Workshop

BACK = dt.timedelta(days=60)
AHEAD = dt.timedelta(days=400)


def feed_body(feed: Feed, workshop: Workshop, now: dt.datetime) -> bytes:
    """The calendar as bytes: the same visits give the same bytes. One query.

    A person's feed names commissions and clients and where to go; a client's names its own furniture alone.
    """
    visits = Visit.objects.filter(
        state__in=[VisitState.ARRANGED, VisitState.DONE], starts_at__gt=now - BACK, starts_at__lt=now + AHEAD
    ).select_related("commission__client", "person")
    if feed.client_id is not None:
        found = visits.filter(commission__client=feed.client_id)
        return build_feed([visit_facts(visit, workshop, with_token=False) for visit in found], workshop.name)
    found = visits.filter(person=feed.person_id)
    return build_feed(
        [own_facts(visit, workshop) for visit in found], f"{workshop.name}: {feed.person.name if feed.person else ''}"
    )
