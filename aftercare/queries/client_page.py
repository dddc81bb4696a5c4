"""What a client reads after handover: the return visit, the pack, and what photographs may be used for."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from aftercare.booking.candidates import Candidate
from aftercare.models import Handover, Permission
from aftercare.queries.sections import standing_handover
from jobs.models import Commission, VisitState, Workshop
from jobs.queries.client_page import Ask, When, visit_when
from jobs.queries.workshop import the_workshop
from jobs.words import day_in_words, time_in_words

# A reason of this kind speaks of somebody else's visit.
OTHERS = "on the same round"
NO_LIGHT = "no photo window; "


@dataclass(frozen=True)
class ReturnOption:
    """A time to pick: its instant as the form carries it, and the words."""

    value: str
    day: str
    hours: str
    reasons: tuple[str, ...]


def client_reasons(candidate: Candidate) -> tuple[str, ...]:
    """Why this time is a good one, as sentences; another client's visit is not spoken of."""
    told = [
        "we are near you that day" if reason.startswith(OTHERS) else reason.removeprefix(NO_LIGHT)
        for reason in candidate.reasons
    ]
    told = [reason.replace("photo window", "good light for photographs,") for reason in told]
    return tuple(f"{reason[:1].upper()}{reason[1:].rstrip('.')}." for reason in told if reason)


def return_option(candidate: Candidate, workshop: Workshop) -> ReturnOption:
    start, end = workshop.local(candidate.starts_at), workshop.local(candidate.ends_at)
    hours = f"{time_in_words(start.time())} to {time_in_words(end.time())}"
    return ReturnOption(candidate.starts_at.isoformat(), day_in_words(start.date()), hours, client_reasons(candidate))


def open_return(handover: Handover | None, now: dt.datetime) -> bool:
    """Whether the return visit is still to come, so that another day can be picked."""
    if handover is None or handover.undone_at is not None:
        return False
    visit = handover.return_visit
    if visit is None or visit.state in (VisitState.TO_ARRANGE, VisitState.CANCELLED):
        return True
    return visit.state == VisitState.ARRANGED and visit.starts_at is not None and visit.starts_at > now


def return_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """When we come back, and that it can be another day. The other days are computed on a page of their own."""
    handover = standing_handover(commission)
    if handover is None or not open_return(handover, now):
        return {}
    workshop = the_workshop()
    assert workshop is not None
    visit = handover.return_visit
    when: When | None = None
    if visit is not None and visit.state == VisitState.ARRANGED:
        when = visit_when(visit, workshop)
    asks = [] if when else [Ask("Pick a day for us to come back and look at the doors", reverse("client_return"))]
    return {"when": when, "asks": asks}


def pack_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    handover = standing_handover(commission)
    if handover is None:
        return {}
    return {"pack": handover.packs.order_by("-revision").first(), "asks": []}


def permissions_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """How many uses stand allowed. Never among what is asked: nobody is pressed to allow anything."""
    rows = list(Permission.objects.filter(commission=commission))
    return {"standing": [one for one in rows if one.withdrawn_at is None], "asks": []}
