from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.domain.commissions import check_times
from jobs.domain.daybook import write_line
from jobs.domain.gates import pass_gates
from jobs.domain.plannable import refuse_unplannable
from jobs.models import Person, Step, StepLink
from jobs.refusal import Refusal


@transaction.atomic
def start_step(
    *, step: Step, at: dt.datetime, now: dt.datetime, actor: Person | None, override_reason: str = ""
) -> None:
    """Work on a step begins. Steps before it that are not finished are named, not forbidden by force: a workshop
    begins things early. Refused: twice, in the future, on a held commission, and where a gate holds it and no
    reason for going past it is given."""
    if step.finished_at is not None:
        raise Refusal("", f"“{step.name}” is finished; reopen it first.")
    if step.commission.held_since is not None:
        raise Refusal("", "This commission is on hold; take it off hold first.")
    check_times(started_at=at, finished_at=None, now=now, step_name=step.name)
    past_gate = pass_gates(step=step, reason=override_reason, now=now, actor=actor)
    done = Step.objects.filter(pk=step.pk, started_at__isnull=True).update(started_at=at)
    if not done:
        raise Refusal("", f"“{step.name}” has been started already; nothing was changed.")
    step.started_at = at
    write_line(
        act="start_past_gate" if past_gate else "start_step",
        now=now,
        actor=actor,
        commission=step.commission,
        step=step.pk,
        kind=step.kind,
    )


@transaction.atomic
def finish_step(
    *,
    step: Step,
    at: dt.datetime,
    now: dt.datetime,
    actor: Person | None,
    actual_hours: Decimal | None = None,
    override_reason: str = "",
) -> None:
    """A step is done. One never started is taken to have begun when it finished: the board then stays true, and its
    gates are asked first."""
    if actual_hours is not None and not 0 <= actual_hours <= 2000:
        raise Refusal("actual_hours", "Actual hours: give a number from 0 to 2000.")
    started_at = step.started_at or at
    check_times(started_at=started_at, finished_at=at, now=now, step_name=step.name)
    pass_gates(step=step, reason=override_reason, now=now, actor=actor)
    columns: dict[str, Any] = {"started_at": started_at, "finished_at": at}
    if actual_hours is not None:
        columns["actual_hours"] = actual_hours
    if not Step.objects.filter(pk=step.pk, finished_at__isnull=True).update(**columns):
        raise Refusal("", f"“{step.name}” has been finished already; nothing was changed.")
    for name, value in columns.items():
        setattr(step, name, value)
    write_line(act="finish_step", now=now, actor=actor, commission=step.commission, step=step.pk, kind=step.kind)


@transaction.atomic
def reopen_step(*, step: Step, now: dt.datetime, actor: Person | None) -> None:
    """Back to work, or back to not begun: undo of the last act on this step."""
    columns: dict[str, Any]
    if step.finished_at is not None:
        # Finished without ever having been started: undoing takes both back.
        columns = {"finished_at": None} | ({"started_at": None} if step.started_at == step.finished_at else {})
    elif step.started_at is not None:
        columns = {"started_at": None}
    else:
        raise Refusal("", f"“{step.name}” has not been started; there is nothing to take back.")
    Step.objects.filter(pk=step.pk).update(**columns)
    for name, value in columns.items():
        setattr(step, name, value)
    write_line(act="reopen_step", now=now, actor=actor, commission=step.commission, step=step.pk, kind=step.kind)


@transaction.atomic
def edit_step(*, step: Step, now: dt.datetime, actor: Person | None, **fields: Any) -> None:
    """Change what a step needs, allows or promises; `fields` are columns of Step."""
    earliest, latest = (fields.get(name, getattr(step, name)) for name in ("earliest_on", "latest_on"))
    if earliest and latest and latest < earliest:
        raise Refusal("latest_on", "“Not after” lies before “not before”: move one of the two dates.")
    if fields.get("allowance_hours") is not None and not 0 <= fields["allowance_hours"] <= 2000:
        raise Refusal("allowance_hours", "Allowance: give a number of hours from 0 to 2000.")
    if fields.get("lead_days") is not None and not 0 <= fields["lead_days"] <= 200:
        raise Refusal("lead_days", "Lead time: give a number of working days from 0 to 200.")
    for name, value in fields.items():
        setattr(step, name, value)
    step.save(update_fields=list(fields))
    refuse_unplannable(step=step, now=now)
    write_line(act="edit_step", now=now, actor=actor, commission=step.commission, step=step.pk, fields=sorted(fields))


@transaction.atomic
def add_step(*, step: Step, after: list[Step], before: list[Step], now: dt.datetime, actor: Person | None) -> Step:
    """A further step between others of the same commission. Refused where it would close a circle."""
    others = [*after, *before]
    if any(other.commission_id != step.commission_id for other in others):
        raise Refusal("after", "A step can only follow steps of its own commission.")
    names = circle_names(before, after)
    if names:
        raise Refusal("after", f"That would go round in a circle: {' → '.join(names)}. Leave one of the two out.")
    step.save()
    StepLink.objects.bulk_create([StepLink(before=other, after=step) for other in after])
    StepLink.objects.bulk_create([StepLink(before=step, after=other) for other in before])
    refuse_unplannable(step=step, now=now)
    write_line(act="add_step", now=now, actor=actor, commission=step.commission, step=step.pk, kind=step.kind)
    return step


@transaction.atomic
def remove_step(*, step: Step, now: dt.datetime, actor: Person | None) -> None:
    """Take a step out; what came before it now comes before what came after it."""
    if step.started_at is not None:
        raise Refusal("", f"“{step.name}” has been started; take that back first, then remove it.")
    befores = [link.before for link in step.links_in.select_related("before")]
    afters = [link.after for link in step.links_out.select_related("after")]
    StepLink.objects.bulk_create(
        [StepLink(before=before, after=after) for before in befores for after in afters], ignore_conflicts=True
    )
    write_line(act="remove_step", now=now, actor=actor, commission=step.commission, step=step.pk, kind=step.kind)
    step.delete()


def circle_names(starts: list[Step], goals: list[Step]) -> list[str]:
    """Names along a way from one of `starts` to one of `goals`, or [] where there is none. Two queries."""
    if not starts or not goals:
        return []
    commission_id = starts[0].commission_id
    steps = {step.pk: step for step in Step.objects.filter(commission_id=commission_id)}
    following: dict[int, list[int]] = {}
    for before_id, after_id in StepLink.objects.filter(before__commission_id=commission_id).values_list(
        "before_id", "after_id"
    ):
        following.setdefault(before_id, []).append(after_id)
    ways = [[step.pk] for step in starts]
    wanted = {step.pk for step in goals}
    seen: set[int] = set()
    while ways:
        way = ways.pop(0)
        if way[-1] in wanted:
            return [steps[pk].name for pk in way]
        if way[-1] not in seen:
            seen.add(way[-1])
            ways.extend([*way, pk] for pk in following.get(way[-1], []))
    return []
