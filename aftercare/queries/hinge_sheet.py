"""What the hinge check shows: the doors likeliest to have settled first, what was found, and how gaps moved."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from aftercare.light.words import light_sentence, overcast_sentence
from aftercare.models import Door, DoorCheck, HingeCheck
from aftercare.pack.gaps import gap_words, moved_words
from aftercare.pack.gather_fitted import gaps_of, pure_door
from aftercare.pack.hinges import WEIGHT_UNKNOWN, hinges_asked_for, settle_order
from aftercare.queries.light import light_of_days
from jobs.models import Commission, Visit, VisitKind, VisitState, Workshop
from jobs.words import short_day

CAUTIONS = (
    "Hold the door before a screw is loosened: two people for a tall or heavy one. Hand screwdriver only.",
    "Leave every wall fixing where it is. A fixing that is loose makes the furniture unsafe: empty it, close the "
    "room off, and put it right before you leave, or do not leave it standing.",
    "A step ladder on firm ground for what is high, never a shelf or a chair; short jobs only.",
    "Sanding or planing an edge makes fine dust: take the door outside or use extraction, and wear a mask made for "
    "it. In an old house paint may hold lead: have it tested first.",
    "Lights, drivers and sockets: switch off and leave them to an electrician, under the rules that hold there.",
)


@dataclass(frozen=True)
class SheetDoor:
    """A door on the sheet. `trend` has a sentence for each earlier visit, the latest first."""

    door: Door
    reason: str
    asked: str
    weight: str
    grounds: tuple[str, ...]
    row: DoorCheck | None
    left: str
    trend: tuple[str, ...]


def hinge_sheet(visit: Visit, workshop: Workshop) -> dict[str, Any]:
    """Context of the check's pages, on the telephone and on paper. Three queries."""
    check = HingeCheck.objects.filter(visit=visit).select_related("by").first()
    doors = list(Door.objects.filter(commission=visit.commission_id).select_related("room"))
    rows = DoorCheck.objects.filter(door__commission=visit.commission_id).select_related(
        "check_of__visit", "door", "step"
    )
    found = _by_door(list(rows.order_by("-check_of__begun_at", "-pk")))
    by_key = {pure_door(door).key: door for door in doors}
    ranked = settle_order(pure_door(door) for door in doors)
    sheet = [
        _sheet_door(by_key[rank.door.key], rank.reason, found.get(by_key[rank.door.key].pk, []), visit, workshop)
        for rank in ranked
    ]
    return {
        "visit": visit,
        "commission": visit.commission,
        "check": check,
        "sheet": sheet,
        "looked_at": sum(one.row is not None for one in sheet),
        "unweighed": [str(one.door) for one in sheet if one.weight == WEIGHT_UNKNOWN],
        "cautions": CAUTIONS,
    }


def photograph_light(visit: Visit, workshop: Workshop) -> str:
    """When the room has its light on the day of the visit, or why that cannot be said. Two queries."""
    if visit.starts_at is None:
        return "No day is arranged, so no photo window can be named."
    day = workshop.local_day(visit.starts_at)
    light = light_of_days([visit.commission], {visit.commission_id: [day]}, workshop.tz)[visit.commission_id]
    window = light.windows.get(day)
    if window is None:
        return f"No photo window on this day: {light.why_none}."
    return f"{light_sentence(window)} {overcast_sentence(window.overcast)}"


def next_door(sheet: Sequence[SheetDoor], after: Door) -> Door | None:
    """The next door that nobody has looked at, from this one on and then from the top."""
    places = [one.door.pk for one in sheet]
    start = places.index(after.pk) + 1 if after.pk in places else 0
    for one in [*sheet[start:], *sheet[:start]]:
        if one.row is None and one.door.pk != after.pk:
            return one.door
    return None


def _by_door(rows: Sequence[DoorCheck]) -> dict[int, list[DoorCheck]]:
    found: dict[int, list[DoorCheck]] = {}
    for row in rows:
        found.setdefault(row.door_id, []).append(row)
    return found


def _sheet_door(door: Door, reason: str, rows: list[DoorCheck], visit: Visit, workshop: Workshop) -> SheetDoor:
    advice = hinges_asked_for(pure_door(door))
    here = next((row for row in rows if row.check_of.visit_id == visit.pk), None)
    begun_at = here.check_of.begun_at if here else None
    earlier = [row for row in rows if row is not here and (begun_at is None or row.check_of.begun_at < begun_at)]
    return SheetDoor(
        door=door,
        reason=reason,
        asked=f"at least {advice.asked}" if advice.at_least else str(advice.asked),
        weight=WEIGHT_UNKNOWN if advice.weight_kg is None else f"{advice.weight_kg:.1f} kg",
        grounds=advice.words,
        row=here,
        left=gap_words(gaps_of(here)) if here else "",
        trend=_trend(here, earlier, workshop),
    )


def _trend(here: DoorCheck | None, earlier: Sequence[DoorCheck], workshop: Workshop) -> tuple[str, ...]:
    words = []
    later = here
    for row in earlier:
        day = f"{short_day(workshop.local_day(row.check_of.begun_at))} {workshop.local(row.check_of.begun_at):%Y}"
        left = gap_words(gaps_of(row)) or "no gap noted"
        moved = f"; since then {moved_words(gaps_of(row), gaps_of(later, 'before'))}" if later else ""
        words.append(f"{day}, as left: {left}{moved}.")
        later = row
    return tuple(words)


def site_day_part(commission: Commission, now: dt.datetime) -> dict[str, Any]:
    """For the site-day sheet, where a helper finds the way to the check. One query."""
    visits = Visit.objects.filter(commission=commission, kind=VisitKind.RETURN, state=VisitState.ARRANGED)
    return {"return_visits": list(visits.filter(starts_at__isnull=False))}
