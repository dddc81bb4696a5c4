"""What a client reads on their page. Never a code, a key's place, an absence, another client, slack, cost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from jobs.models import (
    AccessArrangement,
    ClientDecision,
    Commission,
    SlotOffer,
    Step,
    StepKind,
    SurveyPurpose,
    Visit,
    VisitState,
    Workshop,
)
from jobs.models.survey import Survey
from jobs.queries.cutting_gate import CUTTING
from jobs.queries.slot_offers import open_offers
from jobs.queries.stage import stage_of
from jobs.queries.workshop import the_workshop
from jobs.registries import client_decisions, client_sections
from jobs.words import day_in_words, time_in_words

UNDO_WITHIN = dt.timedelta(hours=1)
# Before a visit: time to ask again, and to find somebody else who opens.
ACCESS_DAYS_BEFORE = 7
DECLARE_DAYS_BEFORE = 14
# Promises a client is told of, in their words. The others are the workshop's own.
PROMISE_WORDS: dict[str, str] = {
    StepKind.SURVEY: "We measure",
    StepKind.DRAWING: "You get the drawing",
    StepKind.DELIVER: "We bring the furniture",
    StepKind.FIT: "We fit it",
    StepKind.HANDOVER: "We hand it over to you",
}
VISIT_WORDS: dict[str, str] = {
    "survey": "We come to measure",
    "delivery": "We bring the furniture",
    "fitting": "We fit the furniture",
    "return": "We come back to look at the doors",
    "other": "We come to see you",
}


@dataclass(frozen=True)
class Ask:
    """Something a client is asked for: in words, by which day where there is one, and where it is answered."""

    words: str
    url: str
    by: dt.date | None = None

    @property
    def by_words(self) -> str:
        return day_in_words(self.by) if self.by else ""


@dataclass(frozen=True)
class When:
    """A visit or a promise in words."""

    words: str
    day: str
    hours: str = ""
    who: str = ""


@dataclass(frozen=True)
class Said:
    """A decision as its maker reads it again."""

    decision: ClientDecision
    day: str
    time: str
    may_undo: bool


def client_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    steps = list(commission.steps.all())
    visits = coming_visits(commission, now)
    filled = [(section.template, section.context(commission, now)) for section in client_sections.all()]
    asks: list[Ask] = [ask for _, context in filled for ask in context.get("asks", [])]
    return {
        "commission": commission,
        "stage": stage_of(steps),
        "visits": [visit_when(visit, workshop) for visit in visits],
        "promises": _promises(steps, workshop.local_day(now)),
        "asks": sorted(asks, key=lambda ask: (ask.by is None, ask.by or dt.date.max)),
        "sections": [{"template": template, "context": context} for template, context in filled if context],
        "maker": commission.maker,
        "decisions": recent_decisions(commission, workshop, now),
    }


def coming_visits(commission: Commission, now: dt.datetime) -> list[Visit]:
    rows = commission.visits.filter(state=VisitState.ARRANGED, ends_at__gt=now)
    return list(rows.select_related("person").order_by("starts_at"))


def visit_when(visit: Visit, workshop: Workshop) -> When:
    assert visit.starts_at is not None and visit.ends_at is not None
    start, end = workshop.local(visit.starts_at), workshop.local(visit.ends_at)
    hours = f"{time_in_words(start.time())} to {time_in_words(end.time())}"
    return When(VISIT_WORDS[visit.kind], day_in_words(start.date()), hours, visit.person.name)


def _promises(steps: Iterable[Step], today: dt.date) -> list[When]:
    return [
        When(PROMISE_WORDS[step.kind], day_in_words(step.promised_on))
        for step in steps
        if step.promised_on and step.finished_at is None and step.kind in PROMISE_WORDS and step.promised_on >= today
    ]


def recent_decisions(commission: Commission, workshop: Workshop, now: dt.datetime) -> list[Said]:
    return [said_words(decision, workshop, now) for decision in commission.client_decisions.all()[:20]]


def said_words(decision: ClientDecision, workshop: Workshop, now: dt.datetime) -> Said:
    local = workshop.local(decision.decided_at)
    return Said(decision, day_in_words(local.date()), time_in_words(local.time()), may_undo(decision, now))


def may_undo(decision: ClientDecision, now: dt.datetime) -> bool:
    """Whether this can still be taken back on the page. No query."""
    kind = client_decisions.get(decision.kind)
    in_time = now - decision.decided_at <= UNDO_WITHIN
    return kind is not None and kind.undo is not None and decision.undone_at is None and in_time


def declaration_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Asked from the survey until cutting has begun, unless the client's word is later than the survey. 3 queries."""
    surveys = Survey.objects.filter(room__commission=commission).exclude(purpose=SurveyPurpose.ARRIVAL)
    newest = surveys.order_by("-taken_on").first()
    if newest is None or commission.steps.filter(kind__in=CUTTING, started_at__isnull=False).exists():
        return {}
    workshop = _workshop()
    latest = commission.declarations.order_by("-declared_at", "-pk").first()
    stands = latest is not None and workshop.local_day(latest.declared_at) >= newest.taken_on
    url = reverse("client_declare")
    by = _declare_by(commission, workshop, now)
    ask = Ask("Tell us whether the room is still as it was when we measured", url, by)
    return {
        "measured": day_in_words(newest.taken_on),
        "declaration": latest if stands else None,
        "declared": day_in_words(workshop.local_day(latest.declared_at)) if latest and stands else "",
        "asks": [] if stands else [ask],
    }


def _declare_by(commission: Commission, workshop: Workshop, now: dt.datetime) -> dt.date | None:
    """Two weeks before the furniture comes, where that day is fixed; never a day gone by."""
    brought = [visit.starts_at for visit in coming_visits(commission, now) if visit.kind in ("delivery", "fitting")]
    if not brought or brought[0] is None:
        return None
    day = workshop.local_day(brought[0]) - dt.timedelta(days=DECLARE_DAYS_BEFORE)
    return max(day, workshop.local_day(now))


@dataclass(frozen=True)
class OfferRow:
    offer: SlotOffer
    words: str
    day: str
    hours: str


def times_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Times the maker offers, by kind of visit, each with its reason."""
    offers = open_offers(commission, now)
    if not offers:
        return {}
    workshop = _workshop()
    rows = [offer_row(offer, workshop) for offer in offers]
    first = workshop.local_day(offers[0].starts_at) - dt.timedelta(days=1)
    by = first if first > workshop.local_day(now) else None
    asks = [
        Ask(f"Pick a time: {words[:1].lower()}{words[1:]}", "#times", by)
        for words in dict.fromkeys(row.words for row in rows)
    ]
    return {"offers": rows, "asks": asks}


def offer_row(offer: SlotOffer, workshop: Workshop) -> OfferRow:
    start, end = workshop.local(offer.starts_at), workshop.local(offer.ends_at)
    hours = f"{time_in_words(start.time())} to {time_in_words(end.time())}"
    return OfferRow(offer, VISIT_WORDS[offer.kind], day_in_words(start.date()), hours)


def access_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """Only whether we know who opens; names and numbers stand on a page of their own, for those who may decide."""
    visits = coming_visits(commission, now)
    known = AccessArrangement.objects.filter(commission=commission, visit__isnull=True).exists()
    asks = []
    if visits and not known:
        workshop = _workshop()
        assert visits[0].starts_at is not None
        by = workshop.local_day(visits[0].starts_at) - dt.timedelta(days=ACCESS_DAYS_BEFORE)
        by = max(by, workshop.local_day(now))
        asks = [Ask("Tell us who opens the door, and where we can park", reverse("client_access"), by)]
    return {"known": known, "asks": asks}


def away_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """The days themselves are not on the page: a page may be left open on a table."""
    return {"asks": [], "is_open": commission.closed_on is None}


def _workshop() -> Workshop:
    workshop = the_workshop()
    assert workshop is not None  # no page of a commission without a workshop
    return workshop
