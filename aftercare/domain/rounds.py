"""Saying yes to the proposed rounds."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from aftercare.booking.candidates import Candidate, candidate_at
from aftercare.booking.facts import BookingFacts
from aftercare.domain.return_visit import place_at, queue_workshop_copy
from aftercare.queries.rounds import Planned, rounds_plan
from jobs.domain.daybook import write_line
from jobs.models import Person, VisitSlot, Workshop
from jobs.refusal import Refusal

ON_ONE_ROUND = "on one round with other visits of that day"


def take_rounds(*, agreed_to: str, workshop: Workshop, now: dt.datetime, actor: Person | None) -> int:
    """Move every visit of the proposal named by `agreed_to` (its fingerprint), all or none. Returns how many.

    Refused where the record has changed since that proposal was drawn: nobody is told anything unseen.
    """
    plan = rounds_plan(workshop, now)
    if not agreed_to or plan.fingerprint != agreed_to:
        raise Refusal("", "The rounds have changed since this page was drawn; nothing was moved. Look at them again.")
    moves = plan.moves
    shared = {stop.visit.pk for one in plan.rounds if len(one.stops) > 1 for stop in one.stops}
    with transaction.atomic():
        # Visits may change places with each other, so all of their quarter hours are given back first.
        VisitSlot.objects.filter(visit__in=[move.visit.pk for move in moves]).delete()
        for move in moves:
            candidate = _candidate(move, plan.facts[move.visit.pk], move.visit.pk in shared)
            try:
                place_at(move.handover, move.visit, candidate, workshop, now, actor)
            except Refusal as refusal:
                raise Refusal("", f"Nothing was moved. {move.handover.commission}: {refusal.sentence}") from refusal
            queue_workshop_copy(move.handover, move.visit, workshop, now)
        write_line(act="take_rounds", now=now, actor=actor, visits=[move.visit.pk for move in moves])
    return len(moves)


def _candidate(move: Planned, facts: BookingFacts, is_shared: bool) -> Candidate:
    found = candidate_at(facts, move.starts_at)
    reasons = found.reasons if found else ()
    if is_shared and not any("same round" in reason for reason in reasons):
        reasons = (*reasons, ON_ONE_ROUND)
    return Candidate(move.starts_at, move.ends_at, move.starts_at.astimezone(facts.tz).date(), 0, reasons)
