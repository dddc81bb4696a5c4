"""What is computed once when a plan is stored, in the worker: its forecast, and what would help its broken dates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from jobs.models import Commission
from jobs.planning.calendars import HalfDayAxis
from jobs.planning.clash import broken_dates, what_would_help
from jobs.planning.forecast import Log, PromiseForecast, forecast
from jobs.planning.network import Instance, Plan
from jobs.queries.hours_page import Job, load_jobs
from jobs.queries.plan_store import key_of

SAMPLES = 10_000
BROKEN_LOOKED_INTO = 5
JOBS_LOOKED_AT = 60


def forecast_to_store(instance: Instance, plan: Plan, logs: Sequence[Log]) -> dict[str, Any]:
    """{"words": where the spread comes from, "enough": bool, "steps": {step key: [P50 day, P80 day, chance]}}."""
    found = forecast(instance, plan, logs, SAMPLES)
    return {
        "words": found.spread_words,
        "enough": found.enough_history,
        "steps": {key_of(one.step_id): _days(instance.axis, one) for one in found.promises},
    }


def _days(axis: HalfDayAxis, one: PromiseForecast) -> list[Any]:
    days = [axis.date_of(max(0, end - 1)).isoformat() for end in (one.p50_end, one.p80_end)]
    return [*days, one.chance]


def remedies_to_store(instance: Instance, plan: Plan) -> dict[str, list[list[Any]]]:
    """{step key: [[words, half-days late then, half-days gained]]} for the worst of the broken dates."""
    return {
        key_of(one.step_id): [
            [remedy.words, remedy.late_half_days, remedy.gained_half_days]
            for remedy in what_would_help(instance, plan, one.step_id)
        ]
        for one in broken_dates(instance, plan)[:BROKEN_LOOKED_INTO]
    }


def logs_of_the_workshop() -> list[Log]:
    """Actual over allowance of every finished kind of step of the latest commissions, from the hours noted and the
    hours said when a step was ticked."""
    pks = list(Commission.objects.order_by("-pk").values_list("pk", flat=True)[:JOBS_LOOKED_AT])
    return [log for pk, job in sorted(load_jobs(pks).items()) for log in logs_of(pk, job)]


def logs_of(pk: int, job: Job) -> list[Log]:
    return [
        Log(kind, f"commission:{pk}", job.actual[kind] / allowed)
        for kind, allowed in sorted(job.allowance.items())
        if kind in job.finished and allowed > 0 and job.actual.get(kind)
    ]
