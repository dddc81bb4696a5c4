"""What is done at the wall: a tick taken back, and what a screen is told of itself."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.domain.steps import reopen_step
from jobs.models import DaybookLine, Device, Person, Step
from jobs.queries.wall_changes import TICKS
from jobs.refusal import Refusal
from jobs.wall_sizes import GREATEST_M, LEAST_M, ScreenSizes

CHANGED_SINCE = "This step has been changed since, so it was left as it is. Look at the board."


@transaction.atomic
def undo_tick(*, line: DaybookLine, now: dt.datetime, actor: Person | None) -> Step:
    """Take back what one line of the daybook says was started or finished, unless the step was touched since."""
    step = Step.objects.select_related("commission").filter(pk=line.facts.get("step")).first()
    later = DaybookLine.objects.filter(
        commission=line.commission_id,
        act__in=[*TICKS, "reopen_step"],
        facts__step=line.facts.get("step"),
        pk__gt=line.pk,
    )
    if step is None or line.act not in TICKS or later.exists():
        raise Refusal("", CHANGED_SINCE)
    reopen_step(step=step, now=now, actor=actor)
    return step


@transaction.atomic
def set_up_screen(*, device: Device, sizes: ScreenSizes, now: dt.datetime, actor: Person | None) -> None:
    """Keep how large things are to be drawn on this wall screen, and how it behaves."""
    if not LEAST_M <= sizes.viewing_distance_m <= GREATEST_M:
        raise Refusal("viewing_distance_m", f"Viewing distance: give metres from {LEAST_M:g} to {GREATEST_M:g}.")
    columns = {
        "mm_per_px": sizes.mm_per_px,
        "viewing_distance_m": sizes.viewing_distance_m,
        "has_shortcuts": sizes.has_shortcuts,
        "refreshes": sizes.refreshes,
        "stays_awake": sizes.stays_awake,
    }
    for name, value in columns.items():
        setattr(device, name, value)
    device.save(update_fields=list(columns))
    write_line(act="set_up_screen", now=now, actor=actor, device=device.pk)
