"""The workshop's view of the client page: its links, what the client did there, and the times on offer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from jobs.models import ClientLink, Commission
from jobs.queries.slot_offers import open_offers

MOST_SHOWN = 60


@dataclass(frozen=True)
class LinkRow:
    link: ClientLink
    state: str
    is_open: bool


def links_page(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """The links there have been, newest first; each mail made one. One query."""
    rows = [link_row(link, now) for link in commission.client_links.select_related("made_by")[:MOST_SHOWN]]
    return {"commission": commission, "client": commission.client, "links": rows}


def link_row(link: ClientLink, now: dt.datetime) -> LinkRow:
    if link.revoked_at is not None:
        return LinkRow(link, "Taken back", False)
    if link.expires_at <= now:
        return LinkRow(link, "Run out", False)
    return LinkRow(link, "Good", True)


def client_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """For the commission page. Three queries."""
    standing = commission.client_links.filter(revoked_at__isnull=True, expires_at__gt=now)
    last = standing.filter(last_used_at__isnull=False).order_by("-last_used_at").first()
    return {
        "count": standing.count(),
        "last_used_at": last.last_used_at if last else None,
        "decisions": list(commission.client_decisions.all()[:8]),
        "offers": open_offers(commission, now),
    }
