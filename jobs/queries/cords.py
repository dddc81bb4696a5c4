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
    knot = None if wrap is None or wrap.is_done else _knot(wrap, plan)
    parts = [step for step in plan.steps if step.track == Track.BOUGHT_IN and not step.is_done]
    deliver = next(iter(plan.of_kind(K.DELIVER)), None)
    return CordFacts(
        whole=_span(plan.of_kind(*BEFORE_SPLIT)),
        doors=_strand(plan, Track.DOORS) if knot else (),
        carcasses=_strand(plan, Track.CARCASSES) if knot else (),
        bought_in_due=parts[-1].free_from.day if parts and parts[-1].free_from else None,
        knot=knot.day if knot else None,
        knot_half=knot.half if knot else 0,
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
    if facts.knot:
        said.append(f"Wrap: {say_day(facts.knot, today)} at the latest.")
    if facts.bought_in_due:
        said.append(f"Bought-in parts: {say_day(facts.bought_in_due, today)}.")
    if facts.site:
        said.append(f"On site: {say_range(facts.site.first, facts.site.last, today)}.")
    return tuple(said)


def _knot(wrap: PlannedStep, plan: CommissionPlan) -> HalfDay:
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
        Stretch(step.starts.day, step.ends.day, step.starts.half, step.ends.half, step.kind == K.SPRAYER_BACK)
        for step in steps
    )


def _site(live: LiveRecord, plan: CommissionPlan) -> Stretch | None:
    """From carrying in to handover; where the plan has slipped, on the day that was agreed."""
    steps = plan.of_kind(*ON_SITE)
    if not steps or all(step.is_done for step in steps):
        return None
    span = _span(steps)
    agreed = _agreed_start(live, plan)
    if span is None or agreed is None or agreed >= span.first:
        return span
    shift = span.first - agreed
    return Stretch(agreed, span.last - shift, span.first_half, span.last_half)


def _agreed_start(live: LiveRecord, plan: CommissionPlan) -> dt.date | None:
    visits = fixing_visits(live, plan.commission_id)
    for step in plan.of_kind(K.DELIVER):
        visit = visits.get(step.step_id) or visits.get(step.kind)
        if visit is not None and visit.starts_at is not None and not step.is_done:
            return live.workshop.local_day(visit.starts_at)
    return None


def _order(half_day: HalfDay) -> tuple[dt.date, int]:
    return half_day.day, half_day.half
