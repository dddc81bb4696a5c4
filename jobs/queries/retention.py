"""What is kept, how long and why, for one screen."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from jobs.models import (
    AccessArrangement,
    AccessCode,
    Client,
    ClientAway,
    DaybookLine,
    Erasure,
    Message,
    Photograph,
    Workshop,
)
from jobs.queries.codes import KEPT_AFTER_THE_END
from jobs.queries.keeping import AWAY_DAYS, record_goes_on

LIMITATION = (
    "A claim on a contract can be brought for six years in England, Wales and Northern Ireland, five in Scotland "
    "(from memory). Ask your adviser."
)


@dataclass(frozen=True)
class Kept:
    """One class of what is kept: how long and why in words, and how much of it there is."""

    what: str
    how_long: str
    why: str
    count: int


def retention_page(workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """Nine small queries."""
    return {"classes": classes(workshop), "erasures": list(Erasure.objects.all()[:50])}


def classes(workshop: Workshop) -> list[Kept]:
    years = f"{workshop.keep_record_years} years after the client’s last job ended"
    forgotten = Erasure.objects.values("client_id")
    return [
        Kept(
            "Codes for doors, gates and alarms",
            f"{KEPT_AFTER_THE_END.days} days after the job ended",
            "Needed to get in, and for nothing else. Fixed in the program.",
            AccessCode.objects.count(),
        ),
        Kept(
            "Who lets us in, their telephones, parking",
            f"{workshop.keep_access_days} days after the job ended",
            "Needed while we come and go, and for a while for what was left behind.",
            AccessArrangement.objects.count(),
        ),
        Kept(
            "Days on which a client is away",
            f"{AWAY_DAYS} days after the last of them",
            "Needed to book, and dangerous in wrong hands. Fixed in the program.",
            ClientAway.objects.count(),
        ),
        Kept(
            "Text and addressee of messages",
            f"{workshop.keep_messages_days} days",
            "To see what was told to whom. That something was sent, and when, stays.",
            Message.objects.exclude(body="").count(),
        ),
        Kept(
            "Photographs",
            f"as the record: {years}; shown to others only as far and as long as allowed",
            "To make good what we made. A use can be taken back at any time.",
            Photograph.objects.count(),
        ),
        Kept(
            "Somebody who never ordered",
            f"{workshop.keep_enquiries_days} days after they were entered",
            "People come back to a quote; not for ever.",
            Client.objects.filter(commissions__isnull=True).exclude(pk__in=forgotten).count(),
        ),
        Kept(
            "Name, address, contract, finish record, handover packs",
            years,
            LIMITATION,
            Client.objects.filter(commissions__isnull=False).exclude(pk__in=forgotten).distinct().count(),
        ),
        Kept(
            "Daybook: what was done when, by number",
            "for good",
            "It holds numbers, dates and sizes, and says nothing of a person once the client is forgotten.",
            DaybookLine.objects.count(),
        ),
    ]


def client_keeping(client: Client, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    """What the client's own page says: until when they are kept, or that they are forgotten."""
    erasure = Erasure.objects.filter(client_id=client.pk).first()
    return {
        "erasure": erasure,
        "goes_on": None if erasure else record_goes_on(client, workshop, now),
    }
