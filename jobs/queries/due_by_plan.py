"""The reminders that hang on the plan: asking before cutting, chasing the sprayer. Asked once a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.db.models import Count, Max

from jobs.calendar_days import DayRange, add_working_days
from jobs.models import Client, Commission, Declaration, Step, StepKind, Workshop
from jobs.queries.cutting_gate import CUTTING
from jobs.queries.due_reminders import ANSWER_COUNTS_FOR, MORNING, mark_of
from jobs.queries.plan import PlannedStep, plan_of_all
from jobs.registries import DueReminder
from jobs.wall_clock import at_wall_time

DAYS_BEFORE_CUTTING = 14
WORKING_DAYS_BEFORE_PROMISE = 2


def plan_reminders(workshop: Workshop, now: dt.datetime) -> Iterator[DueReminder]:
    """Ten queries: the plan's six and four of our own, whatever the number of commissions."""
    plan = plan_of_all(workshop, now)
    planned = {step.step_id: step for found in plan.commissions.values() for step in found.steps if not found.is_held}
    yield from _before_cutting(planned, workshop)
    yield from _sprayer_chases(planned, workshop)


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
    """Doors that are away, two of the subcontractor's own working days before they should come back."""
    away = (
        Step.objects.filter(
            kind=StepKind.SPRAYER_BACK,
            finished_at__isnull=True,
            subcontractor__isnull=False,
            commission__closed_on__isnull=True,
        )
        .select_related("subcontractor")
        .prefetch_related("subcontractor__closures")
    )
    for step in away:
        found = planned.get(step.pk)
        if found is None or not found.is_running:
            continue
        back_on = found.was_due_on or (found.free_from or found.ends).day
        yield _chase(step, back_on, workshop)


def _chase(step: Step, back_on: dt.date, workshop: Workshop) -> DueReminder:
    sprayer = step.subcontractor
    assert sprayer is not None
    shut = [DayRange(one.first_day, one.last_day) for one in sprayer.closures.all()]
    asked_on = add_working_days(
        back_on,
        -WORKING_DAYS_BEFORE_PROMISE,
        nation=workshop.nation,
        weekdays=sprayer.weekdays,
        closures=shut,
    )
    return DueReminder(
        key=f"sprayer_chase:{step.pk}:{back_on.isoformat()}:{mark_of(sprayer.email or sprayer.name)}",
        kind="sprayer_chase",
        due_at=at_wall_time(asked_on, MORNING, workshop.tz),
        lapses_at=at_wall_time(back_on + dt.timedelta(days=1), MORNING, workshop.tz),
        to_name=sprayer.name,
        to_email=sprayer.email,
        commission_id=step.commission_id,
        facts={"step": step.pk, "day": back_on.isoformat()},
    )
