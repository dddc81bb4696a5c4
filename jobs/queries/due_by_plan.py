"""The reminders that hang on the plan: asking before cutting, chasing the sprayer, parking. Asked once a night."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.db.models import Count, Max

from jobs.models import (
    Client,
    Commission,
    Consignment,
    Declaration,
    ParkingPlan,
    Step,
    StepKind,
    Subcontractor,
    Workshop,
)
from jobs.queries.consignment_page import ask_sprayer_on
from jobs.queries.cutting_gate import CUTTING
from jobs.queries.due_reminders import ANSWER_COUNTS_FOR, MORNING, mark_of
from jobs.queries.parking_page import apply_by
from jobs.queries.plan import PlannedStep, plan_of_all
from jobs.registries import DueReminder
from jobs.wall_clock import at_wall_time

DAYS_BEFORE_CUTTING = 14
DAYS_BEFORE_APPLY_BY = 3


def plan_reminders(workshop: Workshop, now: dt.datetime) -> Iterator[DueReminder]:
    """A fixed number of queries, the plan's among them, whatever the number of commissions."""
    plan = plan_of_all(workshop, now)
    planned = {step.step_id: step for found in plan.commissions.values() for step in found.steps if not found.is_held}
    yield from _before_cutting(planned, workshop)
    yield from _sprayer_chases(planned, workshop)
    yield from _parking(workshop, now)


def _before_cutting(planned: dict[int, PlannedStep], workshop: Workshop) -> Iterator[DueReminder]:
    """Once for each answer of the client: what slides by months is asked about again, what slides by days is not."""
    steps = [step for step in planned.values() if step.kind in CUTTING]
    begun = {step.commission_id for step in steps if step.is_done or step.is_running}
    first: dict[int, dt.date] = {}
    for step in steps:
        if step.commission_id not in begun:
            first[step.commission_id] = min(step.starts.day, first.get(step.commission_id, step.starts.day))
    surveyed = set(
        Step.objects.filter(
            kind=StepKind.SURVEY, finished_at__isnull=False, commission__closed_on__isnull=True
        ).values_list("commission", flat=True)
    )
    answers = {
        row["commission"]: (row["number"], row["last"])
        for row in Declaration.objects.filter(commission__closed_on__isnull=True)
        .values("commission")
        .annotate(number=Count("pk"), last=Max("declared_at"))
    }
    clients = {
        commission.pk: commission.client
        for commission in Commission.objects.filter(closed_on__isnull=True).select_related("client")
    }
    for key, day in first.items():
        if key in surveyed:
            reminder = _ask_before_cutting(key, day, clients[key], answers.get(key, (0, None)), workshop)
            if reminder is not None:
                yield reminder


def _ask_before_cutting(
    key: int, day: dt.date, client: Client, answer: tuple[int, dt.datetime | None], workshop: Workshop
) -> DueReminder | None:
    number, last = answer
    due_at = at_wall_time(day - dt.timedelta(days=DAYS_BEFORE_CUTTING), MORNING, workshop.tz)
    if last is not None and last > due_at - ANSWER_COUNTS_FOR:
        return None
    return DueReminder(
        key=f"nothing_changed_cutting:{key}:{number}:{mark_of(client.email or client.name)}",
        kind="nothing_changed_cutting",
        due_at=due_at,
        # Not on the day itself: where only the client's word is wanting, the plan says today for weeks.
        lapses_at=at_wall_time(day + ANSWER_COUNTS_FOR, MORNING, workshop.tz),
        to_name=client.name,
        to_email=client.email,
        commission_id=key,
        facts={"day": day.isoformat()},
    )


def _sprayer_chases(planned: dict[int, PlannedStep], workshop: Workshop) -> Iterator[DueReminder]:
    """What is away, two of the subcontractor's own working days before the day they named; where no note of what went
    was made, before the day that the plan reckons with."""
    noted: set[int] = set()
    away = (
        Consignment.objects.filter(sent_at__isnull=False, back_at__isnull=True)
        .select_related("subcontractor")
        .prefetch_related("subcontractor__closures")
    )
    for one in away:
        noted.add(one.commission_id)
        if one.promised_on is not None:
            key, facts = f"consignment:{one.pk}", {"consignment": one.pk}
            yield _chase(key, facts, one.commission_id, one.subcontractor, one.promised_on, workshop)
    steps = (
        Step.objects.filter(
            kind=StepKind.SPRAYER_BACK,
            finished_at__isnull=True,
            subcontractor__isnull=False,
            commission__closed_on__isnull=True,
        )
        .select_related("subcontractor")
        .prefetch_related("subcontractor__closures")
    )
    for step in steps:
        found = planned.get(step.pk)
        if found is None or not found.is_running or step.commission_id in noted or step.subcontractor is None:
            continue
        back_on = found.was_due_on or (found.free_from or found.ends).day
        yield _chase(f"step:{step.pk}", {"step": step.pk}, step.commission_id, step.subcontractor, back_on, workshop)


def _chase(
    key: str, facts: dict[str, int], commission_id: int, sprayer: Subcontractor, back_on: dt.date, workshop: Workshop
) -> DueReminder:
    asked_on = ask_sprayer_on(sprayer, back_on, workshop)
    return DueReminder(
        key=f"sprayer_chase:{key}:{back_on.isoformat()}:{mark_of(sprayer.email or sprayer.name)}",
        kind="sprayer_chase",
        due_at=at_wall_time(asked_on, MORNING, workshop.tz),
        lapses_at=at_wall_time(back_on + dt.timedelta(days=1), MORNING, workshop.tz),
        to_name=sprayer.name,
        to_email=sprayer.email,
        commission_id=commission_id,
        facts={**facts, "day": back_on.isoformat()},
    )


def _parking(workshop: Workshop, now: dt.datetime) -> Iterator[DueReminder]:
    """To ourselves: a place to park has not been asked for, three days before the last day to ask."""
    wanted = ParkingPlan.objects.filter(
        applied_on__isnull=True, granted_on__isnull=True, day__gte=workshop.local_day(now)
    ).select_related("rule")
    for plan in wanted:
        by = apply_by(plan.day, plan.rule.notice_working_days, workshop.nation)
        yield DueReminder(
            key=f"parking_apply_by:{plan.pk}:{plan.day.isoformat()}",
            kind="parking_apply_by",
            due_at=at_wall_time(by - dt.timedelta(days=DAYS_BEFORE_APPLY_BY), MORNING, workshop.tz),
            lapses_at=at_wall_time(plan.day, MORNING, workshop.tz),
            to_name=workshop.name,
            to_email=workshop.email,
            commission_id=plan.commission_id,
            facts={"parking": plan.pk, "day": by.isoformat()},
        )
