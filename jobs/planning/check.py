"""An independent check of a plan: plain loops over steps and half-days, no masks, nothing shared with the planner.

Run on every plan before it is stored. It judges what is physically impossible; broken dates are not faults of a plan
but its cost (see `cost.py`).
"""

from __future__ import annotations

from collections import Counter

from jobs.planning.network import DAYS, Instance, Placed, Plan, Step


def check(instance: Instance, plan: Plan) -> list[str]:
    """Sentences on all that cannot be; an empty list for a plan that can be carried out."""
    set_aside = {one.commission_id for one in plan.refused}
    steps = [step for step in instance.steps if step.commission_id not in set_aside]
    faults = [f"“{step.id}” has no place." for step in steps if step.id not in plan.places]
    if faults:
        return faults
    for step in steps:
        if _is_past(step):
            continue
        faults += _length_faults(instance, step, plan.places[step.id])
        faults += _calendar_faults(instance, step, plan.places[step.id])
    faults += _wait_faults(instance, {step.id: step for step in steps}, plan)
    return faults + _capacity_faults(instance, steps, plan)


def _is_past(step: Step) -> bool:
    """Nothing about it can be planned any more: finished, or away and on its way back."""
    return step.finished_slot is not None or (step.lead_days is not None and step.started_slot is not None)


def _length_faults(instance: Instance, step: Step, place: Placed) -> list[str]:
    faults = []
    if place.start < instance.first_slot:
        faults.append(f"“{step.id}” starts in slot {place.start}, before now ({instance.first_slot}).")
    if place.end > instance.slot_count:
        faults.append(f"“{step.id}” runs past the end of the calendar.")
    wanted = _length(instance, step, place.start)
    if place.end - place.start != wanted:
        faults.append(f"“{step.id}” takes {place.end - place.start} half-days instead of {wanted}.")
    if step.earliest_slot is not None and place.start < step.earliest_slot:
        faults.append(f"“{step.id}” starts before its earliest date.")
    if step.fixed_slot is not None and place.start < step.fixed_slot:
        faults.append(f"“{step.id}” starts before its agreed date.")
    return faults


def _length(instance: Instance, step: Step, start: int) -> int:
    if step.lead_days is not None:
        other = next(one for one in instance.subcontractors if one.id == step.subcontractor_id)
        end = start + 1
        while (
            end < instance.slot_count
            and other.days_done_before[end] - other.days_done_through[start] < step.lead_days
        ):
            end += 1
        return end - start
    if step.started_slot is None:
        return step.duration_half_days
    if step.remaining_half_days is not None:
        return step.remaining_half_days
    return max(1, step.duration_half_days - max(0, instance.first_slot - step.started_slot))


def _calendar_faults(instance: Instance, step: Step, place: Placed) -> list[str]:
    faults = []
    slots = [place.start] if step.lead_days is not None else list(range(place.start, place.end))
    for calendar in instance.calendars:
        if calendar.id not in step.needs:
            continue
        for slot in slots:
            if not calendar.is_open(slot):
                faults.append(f"“{step.id}” needs {calendar.words} on {instance.axis.say(slot)}.")
    return faults


def _wait_faults(instance: Instance, steps: dict[str, Step], plan: Plan) -> list[str]:
    faults = []
    for link in instance.links:
        before, after = steps.get(link.before), steps.get(link.after)
        if before is None or after is None or after.started_slot is not None or after.finished_slot is not None:
            continue
        end, start = plan.places[link.before].end, plan.places[link.after].start
        if link.unit == DAYS:
            worked = instance.axis.date_of(end - 1)
            wait = (instance.axis.date_of(start) - worked).days
            if start < end:
                faults.append(f"“{link.after}” starts before “{link.before}” has ended.")
        else:
            wait = start - end
        if wait < link.least_wait:
            faults.append(f"“{link.after}” comes {wait} after “{link.before}”, less than {link.least_wait}.")
        # A window opened by something already over can only be missed, not kept by planning.
        if link.greatest_wait is not None and wait > link.greatest_wait and not _is_past(before):
            faults.append(f"“{link.after}” comes {wait} after “{link.before}”, over {link.greatest_wait}.")
    return faults


def _capacity_faults(instance: Instance, steps: list[Step], plan: Plan) -> list[str]:
    used: dict[str, Counter[int]] = {resource.id: Counter() for resource in instance.resources}
    for step in steps:
        if not _is_past(step):
            for resource_id, amount in step.demands.items():
                for slot in range(plan.places[step.id].start, plan.places[step.id].end):
                    used[resource_id][slot] += amount
    standing = _count_floor(instance, {step.id: step for step in steps}, plan, used)
    faults = []
    for resource in instance.resources:
        for slot, amount in sorted(used[resource.id].items()):
            there = resource.capacity[slot] if slot < instance.slot_count else 0
            # What stands there already stands there, even where it is too much.
            if amount > max(there, standing[resource.id]):
                faults.append(f"{resource.words}: {amount} of {there} used on {instance.axis.say(slot)}.")
    return faults


def _count_floor(
    instance: Instance, by_id: dict[str, Step], plan: Plan, used: dict[str, Counter[int]]
) -> Counter[str]:
    """Adds the floor of each commission to `used`; gives back how much stands there already."""
    standing: Counter[str] = Counter()
    for span in instance.floor_spans:
        if span.first_step not in by_id or by_id[span.last_step].finished_slot is not None:
            continue
        first = by_id[span.first_step]
        start = plan.places[span.first_step].start
        if first.started_slot is not None or first.finished_slot is not None:
            start = instance.first_slot
            standing[span.resource_id] += span.amount
        for slot in range(start, plan.places[span.last_step].end):
            used[span.resource_id][slot] += span.amount
    return standing
