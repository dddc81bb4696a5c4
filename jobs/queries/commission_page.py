"""Everything the commission page shows, in a fixed number of queries; the sections come from the registry."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from jobs.models import (
    AccessArrangement,
    Commission,
    DaybookLine,
    Step,
    StepLink,
    VisitState,
    Workshop,
)
from jobs.queries.daybook import in_words
from jobs.queries.network_picture import Node, network_picture
from jobs.queries.plan import PlannedStep, PlanView, live_for_page
from jobs.queries.stage import stage_of
from jobs.registries import page_sections
from jobs.words import joined, short_day


@dataclass(frozen=True)
class StepRow:
    """A step with what the table says of it."""

    step: Step
    after: str
    needs: str
    planned: str
    is_late: bool
    state: str


def commission_page(commission: Commission, workshop: Workshop, now: dt.datetime) -> dict[str, Any]:
    steps = list(commission.steps.all())
    sections = [
        {"template": section.template, "context": section.context(commission, now)} for section in page_sections.all()
    ]
    return {
        "commission": commission,
        "client": commission.client,
        "stage": stage_of(steps),
        "missing": missing_facts(commission),
        "sections": sections,
        "workshop": workshop,
    }


def missing_facts(commission: Commission) -> list[str]:
    """What the record still lacks, in the order in which it will be wanted. Three queries."""
    found = []
    if not commission.client.email:
        found.append("No e-mail of the client: each message becomes a call to make.")
    if not commission.has_place:
        found.append("No coordinates of the site: no travel times, and no photo window.")
    if not commission.access_arrangements.filter(visit__isnull=True).exists():
        found.append("No access arrangement: who lets us in, and when?")
    if not commission.rooms.exists():
        found.append("No room yet: add the room, and which way its window faces.")
    if not commission.finishes.exists():
        found.append("No finish recorded: the handover pack will say “not recorded”.")
    return found


def steps_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    workshop = Workshop.objects.order_by("pk")[0]
    plan = live_for_page(commission, workshop, now)[1].view
    steps = list(commission.steps.all())
    pairs = list(StepLink.objects.filter(before__commission=commission).values_list("before_id", "after_id"))
    rows = step_rows(commission, steps, pairs, plan, workshop)
    picture = network_picture([Node(row.step.pk, row.step.name, row.step.track, row.state) for row in rows], pairs)
    found = plan.commissions.get(commission.pk)
    return {"rows": rows, "picture": picture, "refused_because": found.refused_because if found else ""}


def step_rows(
    commission: Commission, steps: list[Step], pairs: list[tuple[int, int]], plan: PlanView, workshop: Workshop
) -> list[StepRow]:
    names = {step.pk: step.name for step in steps}
    done = {step.pk for step in steps if step.finished_at is not None}
    befores: dict[int, list[int]] = {step.pk: [] for step in steps}
    for before, after in pairs:
        befores[after].append(before)
    rows = []
    for step in steps:
        planned = plan.step(commission.pk, step.pk)
        rows.append(
            StepRow(
                step=step,
                after=joined([names[pk] for pk in befores[step.pk]]),
                needs=needs_in_words(step),
                planned=planned_in_words(planned),
                is_late=planned is not None and planned.is_late and not planned.is_done,
                state=_state(step, befores[step.pk], done),
            )
        )
    return rows


def _state(step: Step, befores: list[int], done: set[int]) -> str:
    if step.finished_at is not None:
        return "done"
    if step.started_at is not None:
        return "running"
    return "next" if all(pk in done for pk in befores) else "later"


def needs_in_words(step: Step) -> str:
    """2 pairs of hands, helper, van"""
    parts = [f"{step.hands} pairs of hands"] if step.hands > 1 else []
    wanted = {
        "a helper": step.needs_helper,
        "the van": step.needs_van,
        "floor space": step.needs_floor,
        "the client at home": step.needs_client,
        "access": step.needs_access,
    }
    return joined(parts + [words for words, is_needed in wanted.items() if is_needed])


def planned_in_words(planned: PlannedStep | None) -> str:
    if planned is None:
        return "no date"
    first, last = short_day(planned.starts.day), short_day(planned.ends.day)
    if planned.is_running:
        return f"since {first}, until {last}"
    return first if first == last else f"{first} to {last}"


def visits_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    visits = commission.visits.select_related("person").exclude(state=VisitState.CANCELLED)
    return {"visits": list(visits), "cancelled": commission.visits.filter(state=VisitState.CANCELLED).count()}


def access_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    access = AccessArrangement.objects.filter(commission=commission, visit__isnull=True).first()
    return {"access": access, "facts": access_facts(access) if access else []}


def access_facts(access: AccessArrangement) -> list[tuple[str, Any]]:
    def person(name: str, phone: Any) -> str:
        return f"{name}, {phone.as_national}" if name and phone else name

    return [
        ("Who opens", person(access.opener_name, access.opener_phone)),
        ("Slot", f"{access.slot_starts:%H:%M} to {access.slot_ends:%H:%M}"),
        ("Mode", access.get_mode_display()),
        ("If nobody opens", person(access.fallback_name, access.fallback_phone)),
        ("Parking", access.parking),
        ("Notes", access.notes),
    ]


def rooms_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    return {"rooms": list(commission.rooms.all())}


def finishes_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    return {"finishes": list(commission.finishes.all())}


def daybook_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    lines = DaybookLine.objects.filter(commission=commission).select_related("actor").order_by("-pk")[:40]
    return {"lines": [(line, in_words(line)) for line in lines]}
