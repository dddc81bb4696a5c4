"""Promises that cannot be kept, and what would help: each remedy is tried by planning the commission again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from jobs.planning.compiled import Compiled, compile_instance
from jobs.planning.explain import Explainer
from jobs.planning.insertion import Places, place_commission
from jobs.planning.model import add_lateness, build, start_masks
from jobs.planning.network import Instance, Plan, Step
from jobs.planning.profile import Profile
from jobs.planning.sentences import say_chain
from jobs.planning.solve import solve, solver_present

SOONER_DAYS = 2
SHORTER_HALF_DAYS = 2
LATEST_SHIFT_HALF_DAYS = 10
DETERMINISTIC_TIME = 0.05
SAFETY_LIMIT_S = 2.0


@dataclass(frozen=True)
class BrokenDate:
    """A date the plan does not keep; `sentence` names it and why."""

    commission_id: str
    step_id: str
    late_half_days: int
    told_client: bool
    sentence: str


@dataclass(frozen=True)
class Remedy:
    """One thing that could be changed, and by how many half-days the date would then still be missed."""

    words: str
    late_half_days: int
    gained_half_days: int


def broken_dates(instance: Instance, plan: Plan) -> list[BrokenDate]:
    """All dates the plan breaks, those told to clients first, then the latest first."""
    explainer = Explainer(instance, plan)
    compiled, found = explainer.compiled, []
    for commission_id in explainer.commissions:
        for i in compiled.by_commission[commission_id]:
            late = compiled.late_half_days(i, explainer.places[i])
            if late > 0:
                found.append(_broken(explainer, i, late))
    return sorted(found, key=lambda one: (not one.told_client, -one.late_half_days, one.step_id))


def _broken(explainer: Explainer, i: int, late: int) -> BrokenDate:
    step, axis = explainer.compiled.steps[i], explainer.axis
    promise, latest = explainer.compiled.soft_end[i], explainer.compiled.soft_start[i]
    missed = promise is not None and explainer.places[i].end - promise == late
    if missed and promise is not None:
        date = f"was to be over by {axis.say(promise - 1)}"
    else:
        date = f"was to start by {axis.say(latest or 0)}"
    told = " (the client was told)" if step.told_client else ""
    half_days = "half-day" if late == 1 else "half-days"
    sentence = (
        f"{explainer.words[step.commission_id]}: {step.words} {date}{told} and comes {late} {half_days} late. "
        f"{say_chain(explainer, step.id)}"
    )
    return BrokenDate(step.commission_id, step.id, late, step.told_client, sentence)


def what_would_help(instance: Instance, plan: Plan, step_id: str, use_solver: bool = True) -> list[Remedy]:
    """Remedies for one late step that help at all, the most helpful first.

    Each is computed: its commission alone is planned again with that one change, all others staying where they are.
    Without the solver (in a page) that is one serial pass, which may overlook a way of keeping the date.
    """
    alone = commission_alone(instance, plan, step_id)
    as_it_is = _late_after(alone, step_id, use_solver)
    remedies = []
    for words, changed in _changes(alone):
        late = _late_after(changed, step_id, use_solver)
        if late is not None and as_it_is is not None and late < as_it_is:
            remedies.append(Remedy(words, late, as_it_is - late))
    return sorted(remedies, key=lambda one: (one.late_half_days, one.words))


def commission_alone(instance: Instance, plan: Plan, step_id: str) -> Instance:
    """The commission of that step by itself, with what the others leave it of every resource."""
    explainer = Explainer(instance, plan)
    compiled, profile = explainer.compiled, explainer.profile
    commission_id = compiled.steps[compiled.index[step_id]].commission_id
    profile.give_back_commission(compiled, commission_id, explainer.places)
    rest = [
        replace(resource, capacity=tuple(profile.amounts(r, 0, instance.slot_count)))
        for r, resource in enumerate(explainer.resources)
    ]
    ids = {step.id for step in instance.steps if step.commission_id == commission_id}
    return replace(
        instance,
        commissions=tuple(one for one in instance.commissions if one.id == commission_id),
        steps=tuple(step for step in instance.steps if step.id in ids),
        links=tuple(link for link in instance.links if link.before in ids),
        floor_spans=tuple(span for span in instance.floor_spans if span.commission_id == commission_id),
        resources=tuple(rest),
    )


def _late_after(alone: Instance, step_id: str, use_solver: bool) -> int | None:
    """Half-days by which the step misses its date when the commission is planned as well as can be."""
    compiled = compile_instance(alone)
    (commission_id,) = compiled.by_commission
    profile = Profile.empty(compiled)
    places = place_commission(compiled, profile, commission_id)
    if places is None:
        return None
    i = compiled.index[step_id]
    if use_solver and solver_present():
        places = _as_well_as_can_be(compiled, commission_id, places)
    return compiled.late_half_days(i, places[i])


def _as_well_as_can_be(compiled: Compiled, commission_id: str, places: Places) -> Places:
    positions = compiled.by_commission[commission_id]
    profile = Profile.empty(compiled)
    last_start = {i: places[i].start + LATEST_SHIFT_HALF_DAYS for i in positions}
    masks = start_masks(compiled, profile, positions, last_start)
    if masks is None:
        return places
    model = build(compiled, profile, positions, masks, [commission_id])
    add_lateness(model)
    answer = solve(model, places, DETERMINISTIC_TIME, 1, SAFETY_LIMIT_S)
    return places if answer.places is None else answer.places


def _changes(alone: Instance) -> Iterator[tuple[str, Instance]]:
    open_steps = [step for step in alone.steps if step.finished_slot is None]
    used = {id for step in open_steps for id in step.demands} | {span.resource_id for span in alone.floor_spans}
    for resource in alone.resources:
        if resource.id in used:
            more = replace(resource, capacity=tuple(there + 1 for there in resource.capacity))
            others = tuple(more if one.id == resource.id else one for one in alone.resources)
            yield resource.another or f"one more: {resource.words}", replace(alone, resources=others)
    needed = {need for step in open_steps for need in step.needs}
    for calendar in alone.calendars:
        if calendar.id in needed:
            free = replace(calendar, open_mask=alone.axis.all_open)
            others_open = tuple(free if one.id == calendar.id else one for one in alone.calendars)
            yield calendar.any_day or f"{calendar.words} on any working day", replace(alone, calendars=others_open)
    for step in open_steps:
        shorter = _shorter(step)
        if shorter is not None:
            steps = tuple(shorter[1] if one.id == step.id else one for one in alone.steps)
            yield shorter[0], replace(alone, steps=steps)


def _shorter(step: Step) -> tuple[str, Step] | None:
    if step.lead_days is not None:
        if step.lead_days <= SOONER_DAYS:
            return None
        return f"{step.words} {SOONER_DAYS} working days sooner", replace(
            step, lead_days=step.lead_days - SOONER_DAYS
        )
    left = step.remaining_half_days if step.started_slot is not None else step.duration_half_days
    if left is None or left <= SHORTER_HALF_DAYS:
        return None
    if step.started_slot is not None:
        return f"a day less for {step.words}", replace(step, remaining_half_days=left - SHORTER_HALF_DAYS)
    return f"a day less for {step.words}", replace(step, duration_half_days=left - SHORTER_HALF_DAYS)
