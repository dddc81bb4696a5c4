"""From the places on the way in to what `jobs.carrying` checks pieces against, and what each kind measures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.carrying.places import (
    STEEPEST_PRIVATE_STAIR_DEG,
    Ceiling,
    Corridor,
    Door,
    Landing,
    Lift,
    RoutePoint,
    Stairs,
    Turn,
)
from jobs.carrying.protection import Flight, ProtectionPlan, protection_plan
from jobs.models import PointKind, RoutePlace


@dataclass(frozen=True)
class Measure:
    """A size that a kind of place has: its column, its words, and whether it may be left blank."""

    field: str
    words: str
    required: bool = True
    help: str = ""


HEADROOM = Measure("height_mm", "Lowest headroom, mm")
MEASURES: dict[str, tuple[Measure, ...]] = {
    PointKind.DOOR: (
        Measure("width_mm", "Clear width, mm", help="With the door open as far as it goes."),
        Measure("height_mm", "Clear height, mm"),
    ),
    PointKind.CORRIDOR: (Measure("width_mm", "Narrowest clear width, mm"), HEADROOM),
    PointKind.TURN: (
        Measure("width_mm", "Width of the way in, mm"),
        Measure("width_out_mm", "Width of the way out, mm", help="A door at the end of a passage: its clear width."),
        HEADROOM,
    ),
    PointKind.LANDING: (
        Measure("width_mm", "Width, mm"),
        Measure("depth_mm", "Depth, mm", help="A half landing: enter it twice, each time the width of one flight."),
        HEADROOM,
    ),
    PointKind.STAIRS: (
        Measure("width_mm", "Clear width, mm", help="Between rail or newel and wall."),
        Measure("height_mm", "Headroom, mm", help="Plumb above the nosings, at the lowest place."),
        Measure("treads", "Number of treads", required=False, help="For the covering to pack."),
        Measure("rise_mm", "Rise of a tread, mm", required=False),
        Measure(
            "going_mm",
            "Going of a tread, mm",
            required=False,
            help=f"Rise and going give the pitch; without them {STEEPEST_PRIVATE_STAIR_DEG:g} degrees are taken.",
        ),
    ),
    PointKind.LIFT: (
        Measure("door_width_mm", "Door, clear width, mm"),
        Measure("door_height_mm", "Door, clear height, mm"),
        Measure("width_mm", "Car, width, mm"),
        Measure("depth_mm", "Car, depth, mm"),
        Measure("height_mm", "Car, height, mm"),
    ),
    PointKind.CEILING: (Measure("height_mm", "Lowest ceiling of the room, mm"),),
}


def route_point(place: RoutePlace) -> RoutePoint:
    """Raises `MeasureError` on sizes that cannot be."""
    name, width, height = place.name, place.width_mm or 0, place.height_mm or 0
    depth = place.depth_mm or 0
    if place.kind == PointKind.DOOR:
        return Door(name, width, height)
    if place.kind == PointKind.CORRIDOR:
        return Corridor(name, width, height)
    if place.kind == PointKind.TURN:
        return Turn(name, width, place.width_out_mm or 0, height)
    if place.kind == PointKind.LANDING:
        return Landing(name, width, depth, height)
    if place.kind == PointKind.STAIRS:
        return Stairs(name, width, height, pitch_deg=pitch_deg(place))
    if place.kind == PointKind.LIFT:
        return Lift(name, place.door_width_mm or 0, place.door_height_mm or 0, width, depth, height)
    return Ceiling(name, height)


def pitch_deg(place: RoutePlace) -> float:
    """Pitch from rise and going, else the steepest private stair."""
    if place.rise_mm and place.going_mm:
        return math.degrees(math.atan2(place.rise_mm, place.going_mm))
    return STEEPEST_PRIVATE_STAIR_DEG


def sizes_in_words(place: RoutePlace) -> str:
    """Clear width 760, clear height 1980"""
    parts = [
        f"{measure.words.removesuffix(', mm').lower()} {getattr(place, measure.field)}"
        for measure in MEASURES[place.kind]
        if getattr(place, measure.field) is not None
    ]
    if place.kind == PointKind.STAIRS:
        measured = "" if place.rise_mm and place.going_mm else ", steepest private stair assumed"
        parts.append(f"pitch {pitch_deg(place):.0f}°{measured}")
    words = ", ".join(parts)
    return words[:1].upper() + words[1:]


def places_for(places: Iterable[RoutePlace], room_id: int | None) -> list[RoutePlace]:
    """The way to one room: what every room shares and what is its own, in order."""
    return [place for place in places if place.room_id in (None, room_id)]


def protection_of(places: Sequence[RoutePlace]) -> ProtectionPlan:
    """What to cover along the way; a landing without a length of its own counts its depth."""
    flights = [
        Flight(place.treads, place.rise_mm, place.going_mm)
        for place in places
        if place.kind == PointKind.STAIRS and place.treads and place.rise_mm and place.going_mm
    ]
    landings = [place.cover_mm or place.depth_mm or 0 for place in places if place.kind == PointKind.LANDING]
    floors = [
        place.cover_mm
        for place in places
        if place.kind not in (PointKind.LANDING, PointKind.STAIRS) and place.cover_mm is not None
    ]
    return protection_plan(
        flights=flights,
        landings_mm=[length_mm for length_mm in landings if length_mm],
        floor_runs_mm=floors,
        corners=sum(place.corners for place in places),
        floor_kinds=[place.floor for place in places if place.floor],
    )


def uncovered_stairs(places: Iterable[RoutePlace]) -> list[str]:
    """Flights whose covering cannot be reckoned, by name."""
    return [
        place.name
        for place in places
        if place.kind == PointKind.STAIRS and not (place.treads and place.rise_mm and place.going_mm)
    ]
