"""Other times for a return visit: for the client, and with more behind them for the maker."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from aftercare.booking.candidates import Candidate, DayRefusal
from aftercare.booking.slots import BookingFacts, Choice, choose
from aftercare.models import Handover
from aftercare.queries.booking_facts import booking_facts
from jobs.models import Visit, VisitState, Workshop
from jobs.words import day_in_words, time_in_words

OFFERED_TO_CLIENT = 2
OFFERED_TO_MAKER = 6
PLAINLY_FREE = "Free, with the journeys before and after."
MOVABLE = (VisitState.ARRANGED, VisitState.TO_ARRANGE)


@dataclass(frozen=True)
class ReturnOffer:
    """A time the return visit could be moved to: UTC instants, the local day, and each reason as a sentence.

    The reasons name towns at most; a client may read them.
    """

    starts_at: dt.datetime
    ends_at: dt.datetime
    day: dt.date
    when: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class OtherTimes:
    """What a maker sees: the offers, what gave way for the best of them, and the days that have no time."""

    offers: tuple[ReturnOffer, ...]
    yielded: tuple[str, ...]
    refused: tuple[DayRefusal, ...]
    sentence: str


def return_alternatives(handover: Handover, workshop: Workshop, now: dt.datetime) -> list[Candidate]:
    """The next best two times, on days other than the one booked and than each other. Nine queries.

    None for a handover that was undone, or a visit that took place. `handover` is best read with its return visit,
    commission and client.
    """
    return _elsewhere(handover, workshop, now, OFFERED_TO_CLIENT)[0]


def other_times(handover: Handover, workshop: Workshop, now: dt.datetime) -> OtherTimes:
    """The same for the maker's page: more of them, in words, and why not on the other days."""
    found, choice = _elsewhere(handover, workshop, now, OFFERED_TO_MAKER)
    if choice is None or live_visit(handover) is None:
        return OtherTimes((), (), (), "This return visit can no longer be moved.")
    offers = tuple(_offer(one, workshop) for one in found)
    return OtherTimes(offers, tuple(map(sentence, choice.yielded)), choice.refused, choice.sentence)


def return_facts(handover: Handover, workshop: Workshop, now: dt.datetime) -> BookingFacts:
    """What the return visit of a handover depends on. Nine queries."""
    return booking_facts(
        handover.commission,
        handed_over_at=handover.handed_over_at,
        workshop=workshop,
        now=now,
        visit=live_visit(handover),
    )


def live_visit(handover: Handover) -> Visit | None:
    """The return visit, while it can still be moved."""
    visit = handover.return_visit
    return visit if visit is not None and visit.state in MOVABLE else None


def sentence(part: str) -> str:
    """A reason as a sentence of its own: capital first, full stop last."""
    return part[:1].upper() + part[1:].rstrip(".") + "."


def _elsewhere(
    handover: Handover, workshop: Workshop, now: dt.datetime, count: int
) -> tuple[list[Candidate], Choice | None]:
    visit = handover.return_visit
    if handover.undone_at is not None or (visit is not None and visit.state == VisitState.DONE):
        return [], None
    # One more than asked for: one of them may lie on the day that is booked.
    choice = choose(return_facts(handover, workshop, now), spares=count)
    live = live_visit(handover)
    booked_on = workshop.local_day(live.starts_at) if live is not None and live.starts_at else None
    found = [choice.best, *choice.alternatives] if choice.best else []
    return [one for one in found if one.day != booked_on][:count], choice


def _offer(candidate: Candidate, workshop: Workshop) -> ReturnOffer:
    start, end = workshop.local(candidate.starts_at), workshop.local(candidate.ends_at)
    return ReturnOffer(
        starts_at=candidate.starts_at,
        ends_at=candidate.ends_at,
        day=candidate.day,
        when=f"{day_in_words(candidate.day)}, {time_in_words(start.time())} to {time_in_words(end.time())}",
        reasons=tuple(map(sentence, candidate.reasons)) or (PLAINLY_FREE,),
    )
