from __future__ import annotations

import datetime as dt

from jobs.domain.plans import keep_plan
from jobs.models import PlanState, PlanVersion, Workshop


def make_demo_plan(workshop: Workshop, now: dt.datetime) -> str:
    """The worker's first plan, made at once so that the Friday sheet can be looked at."""
    keep_plan(workshop, now)
    version = PlanVersion.objects.get(state=PlanState.CURRENT)
    late = len(version.remedies)
    return f"Planned everything ({version.method}): {late or 'no'} date{'' if late == 1 else 's'} cannot be kept."
