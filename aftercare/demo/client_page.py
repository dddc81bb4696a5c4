"""The client's own page in the demo: a link to it, and two times to pick from."""

from __future__ import annotations

import datetime as dt

from aftercare.demo.cast import Cast
from jobs.domain.links import address_of, make_link
from jobs.domain.slot_offers import offer_slot
from jobs.models import Commission, VisitKind

REASONS = ("We are on the coast road that morning.", "Your stairs are free of builders by then.")


def open_client_page(commission: Commission, cast: Cast, now: dt.datetime) -> str:
    """Offer two mornings for a visit three weeks on, make a link, and say where it leads."""
    day = cast.workshop.local_day(now) + dt.timedelta(days=21)
    day += dt.timedelta(days=(7 - day.weekday()) % 7)  # the Monday that follows
    for later, reason in enumerate(REASONS, start=1):
        starts_at = dt.datetime.combine(day + dt.timedelta(days=later), dt.time(9), cast.workshop.tz)
        offer_slot(
            commission=commission,
            kind=VisitKind.OTHER,
            person=cast.maker,
            starts_at=starts_at,
            ends_at=starts_at + dt.timedelta(hours=1),
            reason=reason,
            now=now,
            actor=cast.maker,
        )
    _, token = make_link(commission=commission, now=now, actor=cast.maker)
    return f"The page of {commission}'s client, good for 90 days: {address_of(token)}"
