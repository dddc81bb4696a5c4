"""A step that no plan could ever place is refused when it is typed, not found out on the board."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from jobs.models import Step
from jobs.planning.validate import validate
from jobs.queries.live import load_live
from jobs.queries.planning_input import instance_of, step_id
from jobs.queries.workshop import the_workshop
from jobs.refusal import Refusal

# What the planner's sentence speaks of, and the field beside which it is said.
FIELDS = (("asks for", "hands"), ("the allowance of", "allowance_hours"), ("the lead time of", "lead_days"))


def refuse_unplannable(*, step: Step, now: dt.datetime) -> None:
    """Raise Refusal where the planner sets the commission aside because of this very step: more hands than there
    are, an absurd allowance, calendars that never leave it the time (both are named). Six queries."""
    workshop = the_workshop()
    if workshop is None or not workshop.weekdays:
        return
    whole = instance_of(load_live(workshop, now))
    key = step_id(step.pk)
    # By itself first: of a commission with several faults only the first is named, which may be another step's.
    alone = replace(whole, steps=tuple(one for one in whole.steps if one.id == key), links=(), floor_spans=())
    for one in (*validate(alone)[1], *validate(whole)[1]):
        if key in one.step_ids:
            field = next((field for words, field in FIELDS if words in one.sentence), "")
            raise Refusal(field, one.sentence)
