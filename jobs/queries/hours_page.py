"""Hours of a commission, and what all jobs together say."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, Max, Sum

from jobs.hour_figures import History, KindFigure, figures, folded, history, never_priced_minutes, per_unit
from jobs.models import (
    COVERED_BY,
    Commission,
    ConsignmentItem,
    HourEntry,
    HourKind,
    Person,
    Piece,
    Room,
    Step,
    StepKind,
)

JOBS_LOOKED_AT = 40
ENTRIES_SHOWN = 60
LABELS: dict[str, str] = {kind.value: str(kind.label) for kind in StepKind} | {
    kind.value: str(kind.label) for kind in HourKind if kind.value not in StepKind.values
}


@dataclass(frozen=True)
class Job:
    """One commission's minutes by kind of step, with how much of it there was."""

    allowance: dict[str, int]
    actual: dict[str, int]
    logged: dict[str, int]
    finished: frozenset[str]
    doors: int
    floors: int
    pieces: int


@dataclass(frozen=True)
class UnitRow:
    words: str
    unit: str
    history: History


def hours_page(commission: Commission, person: Person, now: dt.datetime) -> dict[str, Any]:
    """The hours of one commission beside their allowances and the suggestion from other jobs."""
    job = load_jobs([commission.pk])[commission.pk]
    rows = figures(job.allowance, job.actual)
    past = histories([one for key, one in _recent_jobs().items() if key != commission.pk])
    return {
        "commission": commission,
        "rows": [(row, LABELS[row.kind], past.get(row.kind)) for row in rows],
        "never_priced": never_priced_minutes(rows),
        "allowance_sum": sum(row.allowance_minutes for row in rows),
        "actual_sum": sum(row.actual_minutes for row in rows),
        "entries": commission.hours.select_related("person")[:ENTRIES_SHOWN],
        "running": HourEntry.objects.filter(person=person, started_at__isnull=False, ended_at__isnull=True)
        .select_related("commission")
        .first(),
        "kinds": HourKind.choices,
        "now": now,
    }


def all_hours_page() -> dict[str, Any]:
    """Every kind over the latest jobs, and the same by door, by piece and by floor climbed. Seven queries."""
    jobs = list(_recent_jobs().values())
    past = histories(jobs)
    sums: dict[str, KindFigure] = {}
    for kind in past:
        counted = [job for job in jobs if kind in job.finished and job.actual.get(kind)]
        sums[kind] = KindFigure(
            kind,
            sum(job.allowance.get(kind, 0) for job in counted),
            sum(job.actual[kind] for job in counted),
        )
    return {
        "rows": [(sums[kind], LABELS[kind], past[kind]) for kind in past],
        "units": unit_rows(jobs),
        "never_priced": sum(never_priced_minutes(figures(job.allowance, job.actual)) for job in jobs),
        "jobs": len(jobs),
        "looked_at": JOBS_LOOKED_AT,
        "running": HourEntry.objects.filter(started_at__isnull=False, ended_at__isnull=True).select_related(
            "person", "commission"
        ),
    }


def logged_hours(step: Step) -> Decimal | None:
    """What timers and told hours come to for a step, in hours with two decimals; None where there are none. Two
    queries at most. Only where it is the one step of its kind: two would be given the same hours."""
    if Step.objects.filter(commission=step.commission_id, kind=step.kind).count() > 1:
        return None
    kinds = [step.kind, *(kind for kind, target in COVERED_BY.items() if target == step.kind)]
    entries = HourEntry.objects.filter(commission=step.commission_id, kind__in=kinds, minutes__isnull=False)
    minutes = entries.order_by().aggregate(sum=Sum("minutes"))["sum"]
    return None if not minutes else (Decimal(minutes) / 60).quantize(Decimal("0.01"))


def histories(jobs: list[Job]) -> dict[str, History]:
    """By kind of step, from jobs where that step is finished and has hours."""
    kinds = [kind for kind in LABELS if any(kind in job.finished and job.actual.get(kind) for job in jobs)]
    return {
        kind: history(job.actual[kind] for job in jobs if kind in job.finished and job.actual.get(kind))
        for kind in kinds
    }


def unit_rows(jobs: list[Job]) -> list[UnitRow]:
    by_door = [
        UnitRow(LABELS[kind], "door", per_unit((job.actual.get(kind, 0), job.doors) for job in jobs))
        for kind in (StepKind.DOORS, StepKind.INSPECT, StepKind.WRAP)
    ]
    by_floor = UnitRow(
        LABELS[HourKind.CARRY],
        "floor climbed",
        per_unit((job.logged.get(HourKind.CARRY, 0), job.floors) for job in jobs),
    )
    by_piece = [
        UnitRow(LABELS[kind], "piece", per_unit((minutes_of(job, kind), job.pieces) for job in jobs))
        for kind in (StepKind.WRAP, StepKind.LOAD, HourKind.CARRY)
    ]
    return [row for row in [*by_door, by_floor, *by_piece] if row.history.jobs]


def minutes_of(job: Job, kind: str) -> int:
    """Of a step its hours, of other work what was logged under its own name."""
    return job.actual.get(kind, 0) if kind in StepKind.values else job.logged.get(kind, 0)


def _recent_jobs() -> dict[int, Job]:
    latest = Commission.objects.order_by("-number").values_list("pk", flat=True)[:JOBS_LOOKED_AT]
    return load_jobs(list(latest))


def load_jobs(commission_pks: list[int]) -> dict[int, Job]:
    """Five queries. Hours typed with a step win over timers of that kind: they are said to be everybody's."""
    logged: dict[int, dict[str, int]] = defaultdict(dict)
    entries = HourEntry.objects.filter(commission__in=commission_pks, minutes__isnull=False).order_by()
    for row in entries.values("commission_id", "kind").annotate(sum=Sum("minutes")):
        logged[row["commission_id"]][row["kind"]] = row["sum"]
    doors = dict(
        ConsignmentItem.objects.filter(consignment__commission__in=commission_pks, consignment__redo_of__isnull=True)
        .order_by()
        .values_list("consignment__commission")
        .annotate(sum=Sum("count"))
    )
    floors = dict(
        Room.objects.filter(commission__in=commission_pks)
        .order_by()
        .values_list("commission")
        .annotate(top=Max("storey"))
    )
    pieces = dict(
        Piece.objects.filter(commission__in=commission_pks)
        .order_by()
        .values_list("commission")
        .annotate(count=Count("pk"))
    )
    steps: dict[int, list[Step]] = defaultdict(list)
    for step in Step.objects.filter(commission__in=commission_pks):
        steps[step.commission_id].append(step)
    return {
        pk: _job(steps[pk], logged[pk], doors.get(pk, 0), max(0, floors.get(pk, 0)), pieces.get(pk, 0))
        for pk in commission_pks
    }


def _job(steps: list[Step], logged: dict[str, int], doors: int, floors: int, pieces: int) -> Job:
    allowance: dict[str, int] = {}
    typed: dict[str, int] = {}
    open_kinds = {step.kind for step in steps if step.finished_at is None}
    for step in steps:
        if step.allowance_hours:
            allowance[step.kind] = allowance.get(step.kind, 0) + round(step.allowance_hours * 60)
        if step.actual_hours is not None:
            typed[step.kind] = typed.get(step.kind, 0) + round(step.actual_hours * 60)
    actual = folded(logged, COVERED_BY) | typed
    finished = {step.kind for step in steps} - open_kinds
    # Work that no step names is behind us once the job is handed over.
    if StepKind.HANDOVER in finished:
        finished |= set(actual)
    return Job(allowance, actual, logged, frozenset(finished), doors, floors, pieces)
