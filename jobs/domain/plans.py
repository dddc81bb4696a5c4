"""Plans as versions: made, offered, taken or turned down. The worker makes them; a page only reads them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import Person, PlanState, PlanVersion, Workshop
from jobs.planning.check import check
from jobs.planning.first_plan import first_plan, input_hash
from jobs.planning.improve import improve
from jobs.planning.network import Instance, Plan
from jobs.planning.replan import replan
from jobs.planning.solve import solver_present
from jobs.queries.live import LiveRecord, load_live
from jobs.queries.plan_making import forecast_to_store, logs_of_the_workshop, remedies_to_store
from jobs.queries.plan_store import (
    key_of,
    moved_between,
    places_to_store,
    stored_plan,
    terms_of,
)
from jobs.queries.planning_input import instance_of
from jobs.refusal import Refusal

ITERATIONS = 60
"""Of the improvement in the worker: some three seconds at 40 commissions, well inside the minute a task has."""
WORTH_OFFERING = 10
"""A better plan is offered from this gain on: a half-day late on a date of our own, or ten half-days of floor."""
VERSIONS_KEPT = 200


@dataclass(frozen=True)
class Input:
    """The record at one instant and what the planner is told of it."""

    live: LiveRecord
    instance: Instance
    digest: str
    version: PlanVersion | None


def read_input(workshop: Workshop, now: dt.datetime) -> Input:
    live = load_live(workshop, now)
    instance = instance_of(live)
    version = PlanVersion.objects.filter(state=PlanState.CURRENT).first()
    return Input(live, instance, input_hash(instance), version)


def keep_plan(workshop: Workshop, now: dt.datetime) -> int:
    """The worker's minute: a new plan where the input has changed, else once a look for a better one. How many
    versions were written."""
    found = read_input(workshop, now)
    if found.version is None and not found.live.commissions:
        return 0
    if found.version is None or found.version.input_hash != found.digest:
        return int(make_plan(found=found, now=now, actor=None) is not None)
    if not found.version.improvement_tried and solver_present():
        return int(offer_improvement(found=found, now=now, actor=None) is not None)
    return 0


def make_plan(*, found: Input, now: dt.datetime, actor: Person | None, afresh: bool = False) -> PlanVersion | None:
    """A plan for the present input put in force: the one in force changed as little as possible, or a first one.

    None where nothing had to move: the version in force then stands for the present input as well. Where the
    independent check finds fault with a re-plan, a first plan takes its place. Refused: one found fault with as well;
    nothing is stored.
    """
    before = None if found.version is None else stored_plan(found.version, found.instance)
    plan = first_plan(found.instance) if before is None or afresh else replan(found.instance, before)
    if before is not None and check(found.instance, plan):
        plan = first_plan(found.instance)
    _check(found.instance, plan)
    moved = moved_between(found.instance, before, plan)
    facts = _facts(found, plan)
    with transaction.atomic():
        _still_in_force(found.version)
        same = found.version is not None and not moved and _same_steps(found.version, facts)
        if same and found.version is not None:
            _renew(found.version, facts)
            return None
        version = _put_in_force(found.version, plan, facts | {"moved": moved}, now=now)
        write_line(act="make_plan", now=now, actor=actor, plan=version.pk, moved=len(moved))
    return version


def offer_improvement(
    *,
    found: Input,
    now: dt.datetime,
    actor: Person | None,
    iterations: int = ITERATIONS,
    keep_going: Callable[[int, int], bool] | None = None,
) -> PlanVersion | None:
    """Look for a better plan than the one in force and offer it. Nothing changes before somebody says yes.

    None where none was found that is worth a question, or the solver is missing.
    """
    current = found.version
    if current is None or current.input_hash != found.digest:
        raise Refusal("", "The plan in force was made before the last change: make a new plan first.")
    before = stored_plan(current, found.instance)
    plan = improve(found.instance, before, iterations, keep_going=keep_going)
    gain = before.cost.total - plan.cost.total
    is_worth_it = gain >= WORTH_OFFERING and solver_present()
    if is_worth_it:
        _check(found.instance, plan)
    facts = _facts(found, plan) if is_worth_it else {}
    with transaction.atomic():
        _still_in_force(current)
        PlanVersion.objects.filter(pk=current.pk).update(improvement_tried=True)
        if not is_worth_it:
            return None
        _lapse(now)
        facts |= {"moved": moved_between(found.instance, before, plan), "improvement_tried": True}
        version = _store(plan, PlanState.OFFERED, facts, now=now)
        write_line(act="offer_plan", now=now, actor=actor, plan=version.pk, moved=len(version.moved))
    return version


@transaction.atomic
def accept_plan(*, version: PlanVersion, now: dt.datetime, actor: Person | None) -> None:
    """Yes to the plan offered: it is in force from now on. Refused: decided already, or overtaken by a change."""
    decided: dict[str, Any] = {"decided_at": now, "decided_by": actor}
    current = PlanVersion.objects.select_for_update().filter(state=PlanState.CURRENT).first()
    if current is not None and version.made_at < current.made_at:
        raise Refusal("", "Something has changed since this plan was offered: a newer plan is in force.")
    if current is not None:
        PlanVersion.objects.filter(pk=current.pk).update(state=PlanState.PAST)
    # What moved stays unsaid to clients: dates told to them are visits and promises, which only a person changes.
    if not _decide(version, PlanState.CURRENT, decided):
        raise Refusal("", "This plan is not on offer any more; nothing was changed.")
    write_line(act="accept_plan", now=now, actor=actor, plan=version.pk, moved=len(version.moved))


@transaction.atomic
def decline_plan(*, version: PlanVersion, now: dt.datetime, actor: Person | None) -> None:
    """No to the plan offered: the one in force stays. Refused: decided already."""
    if not _decide(version, PlanState.DECLINED, {"decided_at": now, "decided_by": actor}):
        raise Refusal("", "This plan is not on offer any more; nothing was changed.")
    write_line(act="decline_plan", now=now, actor=actor, plan=version.pk)


def _decide(version: PlanVersion, state: PlanState, decided: dict[str, Any]) -> int:
    return PlanVersion.objects.filter(pk=version.pk, state=PlanState.OFFERED).update(state=state, **decided)


def _check(instance: Instance, plan: Plan) -> None:
    faults = check(instance, plan)
    if faults:
        raise Refusal("", f"This plan cannot be carried out and was not stored: {faults[0]}")


def _facts(found: Input, plan: Plan) -> dict[str, Any]:
    return {
        "input_hash": found.digest,
        "places": places_to_store(found.instance, plan),
        "refused": [[int(key_of(one.commission_id)), one.sentence] for one in plan.refused],
        "forecast": forecast_to_store(found.instance, plan, logs_of_the_workshop()),
        "remedies": remedies_to_store(found.instance, plan),
    }


def _same_steps(version: PlanVersion, facts: dict[str, Any]) -> bool:
    """Whether a version says all that a new one would: no further step, nobody else set aside."""
    return set(facts["places"]) <= set(version.places) and facts["refused"] == version.refused


def _renew(version: PlanVersion, facts: dict[str, Any]) -> None:
    """The same plan for an input in which only time has passed, or something that moves nothing."""
    columns = {name: facts[name] for name in ("input_hash", "places", "forecast", "remedies")}
    PlanVersion.objects.filter(pk=version.pk).update(**columns)


def _still_in_force(version: PlanVersion | None) -> None:
    """Two workers may have begun at once; the second leaves it alone. Holds the row until the transaction ends."""
    current = PlanVersion.objects.select_for_update().filter(state=PlanState.CURRENT).first()
    if (current and current.pk) != (version and version.pk):
        raise Refusal("", "Another plan was put in force meanwhile; nothing was changed.")


def _put_in_force(before: PlanVersion | None, plan: Plan, facts: dict[str, Any], *, now: dt.datetime) -> PlanVersion:
    if before is not None:
        PlanVersion.objects.filter(pk=before.pk).update(state=PlanState.PAST)
    _lapse(now)
    version = _store(plan, PlanState.CURRENT, facts, now=now)
    PlanVersion.objects.filter(pk__lt=version.pk - VERSIONS_KEPT).delete()
    return version


def _lapse(now: dt.datetime) -> None:
    PlanVersion.objects.filter(state=PlanState.OFFERED).update(state=PlanState.LAPSED, decided_at=now)


def _store(plan: Plan, state: PlanState, facts: dict[str, Any], *, now: dt.datetime) -> PlanVersion:
    return PlanVersion.objects.create(
        made_at=now,
        method=plan.method,
        seed=plan.seed,
        solver_version=plan.solver_version,
        hit_time_limit=plan.hit_time_limit,
        terms=terms_of(plan.cost),
        state=state,
        **facts,
    )
