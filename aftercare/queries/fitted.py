"""What the commission page and the page of facts say of doors, shelves and the handover pack."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import Count

from aftercare.models import Door, FittedFacts, Shelf
from aftercare.pack.gather_fitted import OF_THE_WORKSHOP, door_facts, shelf_facts
from jobs.models import Commission, RunPlan, Workshop
from jobs.queries.workshop import the_workshop

# Facts in the order of the pack, under the heading of their section.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("1 Your furniture", ("opens", "stays_shut", "lifts_out", "sizes_as_fitted")),
    ("5 Loads", ("drawer_load", "rail_load")),
    ("6 Safety", ("wall_fixings", "lights_by", "driver_place")),
    ("7 Adjusting a door", ("hinges",)),
    (
        "9 Materials and hardware",
        ("boards", "solid_wood", "runners", "handles", "glass", "lights", "spare_parts"),
    ),
    ("10 Hidden things", ("pipes", "cables", "stopcocks", "studs")),
    ("11 What we agreed at handover", ("signed_by", "signed_on")),
    (
        "12 Guarantee",
        ("guarantee_period", "guarantee_covers", "guarantee_excludes", "guarantee_response"),
    ),
    ("14 Moving house and the end", ("taking_down", "spare_keys")),
    ("16 Record", ("drawing_issue", "insurer", "complaints")),
)

LABELS = {field.name: str(field.verbose_name) for field in FittedFacts._meta.fields}


def blanks(facts: FittedFacts | None, workshop: Workshop | None) -> list[tuple[str, str]]:
    """Name and words of every fact that would print "not recorded", in the order of the pack."""
    found = []
    for _, names in GROUPS:
        for name in names:
            of_workshop = getattr(workshop, name, "") if name in OF_THE_WORKSHOP else ""
            if not (getattr(facts, name, None) or of_workshop):
                found.append((name, LABELS[name]))
    return found


def fitted_page(commission: Commission) -> dict[str, Any]:
    """Doors and shelves of a commission as the pack will print them, and rooms with a run to take. Four queries."""
    doors = list(
        Door.objects.filter(commission=commission).select_related("room").annotate(times_checked=Count("checks"))
    )
    shelves = list(Shelf.objects.filter(commission=commission).select_related("room"))
    return {
        "commission": commission,
        "doors": list(zip(doors, door_facts(doors, None), strict=True)),
        "shelves": list(zip(shelves, shelf_facts(shelves), strict=True)),
        "rooms_with_runs": [plan.room for plan in runs_to_take(commission)],
    }


def runs_to_take(commission: Commission) -> list[RunPlan]:
    """Runs with doors, drawn for rooms that have no door on record yet. One query."""
    plans = RunPlan.objects.filter(room__commission=commission, room__doors__isnull=True).select_related("room")
    return [plan for plan in plans if any(plan.doors)]


def fitted_section(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """The part of the commission page. Four queries."""
    facts = FittedFacts.objects.filter(commission=commission).first()
    return {
        "doors": Door.objects.filter(commission=commission).count(),
        "shelves": Shelf.objects.filter(commission=commission).count(),
        "blanks": [words for _, words in blanks(facts, the_workshop())],
    }
