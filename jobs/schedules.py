"""The one schedule of the worker. Everything with a due time is a row of ours; the worker is only the clock."""

from __future__ import annotations

from django.db import transaction
from django_q.models import Schedule

SWEEP = "sweep"
SWEEP_EVERY_MINUTES = 1


def ensure_schedules() -> bool:
    """Leave exactly one schedule, `sweep` each minute, whatever was there under its name.

    Called at every start. django-q2 holds no unique name, so two starts at once may have left two; the oldest stays.
    Returns True where anything had to be written.
    """
    wanted = {
        "func": "jobs.sweep.run",
        "args": None,
        "kwargs": None,
        "schedule_type": Schedule.MINUTES,
        "minutes": SWEEP_EVERY_MINUTES,
        "repeats": -1,
    }
    with transaction.atomic():
        found = list(Schedule.objects.select_for_update().filter(name=SWEEP).order_by("pk"))
        if not found:
            Schedule.objects.create(name=SWEEP, **wanted)
            return True
        doubles = Schedule.objects.filter(pk__in=[schedule.pk for schedule in found[1:]])
        removed, _ = doubles.delete()
        # `update` leaves next_run alone: a restart must not postpone the sweep.
        changed = any(getattr(found[0], name) != value for name, value in wanted.items())
        if changed:
            Schedule.objects.filter(pk=found[0].pk).update(**wanted)
        return changed or bool(removed)
