"""The doors of a run that was drawn at the survey, taken over as doors on record."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

from django.db import transaction

from aftercare.domain.fitted import DOOR_GAP_MM, save_door
from aftercare.models import Door, Hung
from jobs.models import Person, Room, RunPlan
from jobs.queries.room_readings import make_run
from jobs.refusal import Refusal

NUMBERED = re.compile(r"D(\d+)")


def doors_of_run(plan: RunPlan) -> list[Door]:
    """The doors of a run, not yet kept: labels count on from those of the commission, from left to right.

    A leaf is narrower than its share of the run by the gap between doors, half of it on each side.
    """
    room = plan.room
    taken = Door.objects.filter(commission=room.commission_id).values_list("label", "position")
    numbers = [int(match[1]) for label, _ in taken if (match := NUMBERED.fullmatch(label))]
    label, position = max(numbers, default=0), max((place for _, place in taken), default=0)
    run = make_run(plan.widths_mm, plan.doors, plan.depth_mm, plan.door_bottom_mm, plan.door_top_mm)
    return [
        Door(
            commission=room.commission,
            room=room,
            label=f"D{label + number}",
            position=position + number,
            width_mm=leaf.width_mm - DOOR_GAP_MM,
            height_mm=leaf.top_mm - leaf.bottom_mm,
            hung=Hung.LEFT if leaf.hinged == "left" else Hung.RIGHT,
            left_mm=leaf.left_mm + DOOR_GAP_MM // 2,
            bottom_mm=leaf.bottom_mm,
        )
        for number, leaf in enumerate(run.doors, start=1)
    ]


@transaction.atomic
def take_run_doors(
    *,
    room: Room,
    board: str,
    thickness_mm: Decimal | None,
    hinges_fitted: int | None,
    now: dt.datetime,
    actor: Person | None,
) -> list[Door]:
    """Put the doors of a room's run on record. Refused: no run with doors, or the room has doors on record."""
    plan = RunPlan.objects.select_related("room__commission").filter(room=room).first()
    doors = doors_of_run(plan) if plan else []
    if not doors:
        raise Refusal(
            "", "No run with doors is drawn for this room: draw it at the survey, or add the doors by hand."
        )
    if room.doors.exists():
        raise Refusal("", "Doors of this room are on record already: take them out first, or add the others by hand.")
    for door in doors:
        door.board, door.thickness_mm, door.hinges_fitted = board, thickness_mm, hinges_fitted
        save_door(door=door, now=now, actor=actor)
    return doors
