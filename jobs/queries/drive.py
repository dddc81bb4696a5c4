"""The drive from the workshop to the kerb, and where its minutes come from."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.models import CarryPlan, Commission, Workshop
from jobs.travel import WINDING, Place, straight_line_km, travel_minutes


@dataclass(frozen=True)
class Drive:
    """Minutes from the workshop to the kerb, None where they are not known, and where they come from."""

    minutes: int | None
    words: str


def drive_of(plan: CarryPlan, commission: Commission, workshop: Workshop) -> Drive:
    """As typed; else from both places on the map and the workshop's own travel speed. No query."""
    if plan.drive_minutes is not None:
        return Drive(plan.drive_minutes, f"drive {plan.drive_minutes} min as typed")
    here, there = _place(workshop), _place(commission)
    if here is None or there is None:
        return Drive(None, "drive not known")
    speed_kmh = workshop.travel_speed_kmh
    minutes = travel_minutes(here, there, speed_kmh=speed_kmh, winding=WINDING, unknown_minutes=0)
    words = (
        f"drive {minutes} min reckoned: {straight_line_km(here, there):.1f} km in a straight line × {WINDING:g} at "
        f"{speed_kmh} km/h, common practice without a source; type the minutes you know"
    )
    return Drive(minutes, words)


def _place(where: Commission | Workshop) -> Place | None:
    if where.latitude_deg is None or where.longitude_deg is None:
        return None
    return Place(where.latitude_deg, where.longitude_deg)
