"""From the plan of a commission to what its cord shows, drawn and in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from jobs.models import StepKind, Track
from jobs.queries.braid import CordFacts, Stretch
from jobs.queries.live import LiveRecord
from jobs.queries.plan import CommissionPlan, HalfDay, PlannedStep
from jobs.queries.planning_input import fixing_visits
from jobs.queries.stage import BEFORE_SPLIT
from jobs.queries.words import say_day, say_range

K = StepKind
ON_SITE = (K.DELIVER, K.FIT, K.SNAGS, K.HANDOVER)


def cord_facts(live: LiveRecord, plan: CommissionPlan) -> CordFacts:
    """What is to be drawn of one commission."""
    wrap = next(iter(plan.of_kind(K.WRAP)), None)
    knot = None if wrap is None else _knot(wrap, plan)
    parts = [step for step in plan.steps if step.track == Track.BOUGHT_IN and not step.is_done]
    deliver = next(iter(plan.of_kind(K.DELIVER)), None)
    return CordFacts(
        whole=_span(plan.of_kind(*BEFORE_SPLIT)),
        doors=_strand(plan, Track.DOORS),
        carcasses=_strand(plan, Track.CARCASSES),
        bought_in_due=parts[-1].free_from.day if parts and parts[-1].free_from else None,
        knot=knot.day if knot else None,
        knot_half=knot.half if knot else 0,
        is_tied=wrap is not None and wrap.is_done,
        is_short=plan.slack_half_days is not None and plan.slack_half_days < 0,
        site=_site(live, plan),
        has_slot=plan.commission_id in live.access and deliver is not None and not deliver.is_done,
    )


def cord_words(facts: CordFacts, today: dt.date) -> tuple[str, ...]:
    """The same facts for those who do not see the drawing."""
    said = []
    for name, strand in (("Doors", facts.doors), ("Carcasses", facts.carcasses)):
        if strand:
            away = next((part for part in strand if part.is_away), None)
            where = f", away {say_range(away.first, away.last, today)}" if away else ""
            said.append(f"{name}: {say_range(strand[0].first, strand[-1].last, today)}{where}.")
    if facts.is_tied:
        said = ["Wrapped."]
    elif facts.knot:
        said.append(f"Wrap: {say_day(facts.knot, today)} at the latest.")
    if facts.bought_in_due:
        said.append(f"Bought-in parts: {say_day(facts.bought_in_due, today)}.")
    if facts.site:
        said.append(f"On site: {say_range(facts.site.first, facts.site.last, today)}.")
    return tuple(said)


def _knot(wrap: PlannedStep, plan: CommissionPlan) -> HalfDay:
    """Wrapped: the day it was done. To be wrapped: the latest start that keeps the next date."""
    if wrap.is_done:
        return wrap.ends
    if wrap.is_running or plan.slack_half_days is None or wrap.latest_start is None:
        return wrap.starts
    return wrap.latest_start


def _span(steps: Iterable[PlannedStep]) -> Stretch | None:
    every = list(steps)
    if not every:
        return None
    first = min(every, key=lambda step: _order(step.starts)).starts
    last = max(every, key=lambda step: _order(step.ends)).ends
    return Stretch(first.day, last.day, first.half, last.half)


def _strand(plan: CommissionPlan, track: Track) -> tuple[Stretch, ...]:
    steps = sorted((step for step in plan.steps if step.track == track), key=lambda step: _order(step.starts))
    return tuple(
        Stretch(
            step.starts.day,
            step.ends.day,
            step.starts.half,
            step.ends.half,
            is_away=step.kind == K.SPRAYER_BACK,
            is_overdue=step.was_due_on is not None,
        )
        for step in steps
    )


def _site(live: LiveRecord, plan: CommissionPlan) -> Stretch | None:
    """From carrying in to handover, on the day that was agreed or promised: the strands tell of a plan that slips."""
    steps = plan.of_kind(*ON_SITE)
    span = _span(steps)
    if span is None or all(step.is_done for step in steps):
        return None
    agreed = _agreed_start(live, plan)
    if agreed is None:
        return span
    shift = agreed - span.first
    return Stretch(agreed, span.last + shift, span.first_half, span.last_half)


def _agreed_start(live: LiveRecord, plan: CommissionPlan) -> dt.date | None:
    """The day of carrying in: booked, or promised, or the latest that keeps what is promised after it."""
    deliver = next(iter(plan.of_kind(K.DELIVER)), None)
    if deliver is None or deliver.is_done or deliver.is_running:
        return None
    visits = fixing_visits(live, plan.commission_id)
    visit = visits.get(deliver.step_id) or visits.get(deliver.kind)
    if visit is not None and visit.starts_at is not None:
        return live.workshop.local_day(visit.starts_at)
    if plan.slack_half_days is None or deliver.latest_start is None:
        return None
    return deliver.latest_start.day


def _order(half_day: HalfDay) -> tuple[dt.date, int]:
    return half_day.day, half_day.half
