"""Plan of the opening with the run in it, in mm, for a template to draw. Back wall on top, y downwards."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jobs.carrying.picture import Picture, Point, Polygon
from jobs.measuring.readings import ProudThing, RoomReadings
from jobs.measuring.run import DoorSwing, Placing, Run, thing_box
from jobs.pure_errors import MeasureError

ARC_STEPS = 24


def wall_plan(room: RoomReadings, run: Run, placing: Placing, proud: Sequence[ProudThing] = ()) -> Picture:
    """Walls from the smallest back and front widths and the depths, units, infills, proud things, doors.

    The left wall is drawn straight; the right one takes the whole difference between back and front.
    Raises `MeasureError` while no width has been read.
    """
    widths = room.values_mm("width")
    if not widths:
        raise MeasureError("Width", "Width: none is measured yet. Measure it before the plan is drawn.")
    back_mm = _smallest_at(room, "back") or min(widths)
    front_mm = _smallest_at(room, "front") or min(widths)
    depth_mm = max(room.values_mm("depth"), default=run.depth_mm)
    walls = ((0.0, depth_mm), (0.0, 0.0), (back_mm, 0.0), (front_mm, depth_mm))
    polygons = [Polygon("wall", walls, f"{back_mm} back, {front_mm} front", closed=False)]
    polygons += _units(run, placing)
    opening_mm = placing.left_mm + run.width_mm + placing.right_mm
    polygons += [_thing(thing, opening_mm) for thing in proud]
    for swing in placing.swings:
        polygons.append(_door(swing, run, placing))
    return Picture(tuple(polygons), placing.sentence)


def _smallest_at(room: RoomReadings, where: str) -> int | None:
    values = [r.value_mm for r in room.sizes if r.direction == "width" and r.place.startswith(where)]
    return min(values, default=None)


def _units(run: Run, placing: Placing) -> list[Polygon]:
    polygons = []
    if placing.left_mm > 0:
        polygons.append(Polygon("infill", _box(0, placing.left_mm, 0, run.depth_mm), str(placing.left_mm)))
    left_mm = placing.left_mm
    for width_mm in run.widths_mm:
        outline = _box(left_mm, left_mm + width_mm, 0, run.depth_mm)
        polygons.append(Polygon("unit", outline, str(width_mm)))
        left_mm += width_mm
    if placing.right_mm > 0:
        outline = _box(left_mm, left_mm + placing.right_mm, 0, run.depth_mm)
        polygons.append(Polygon("infill", outline, str(placing.right_mm)))
    return polygons


def _thing(thing: ProudThing, opening_mm: int) -> Polygon:
    return Polygon("proud", _box(*thing_box(thing, opening_mm)), thing.name)


def _door(swing: DoorSwing, run: Run, placing: Placing) -> Polygon:
    """Hinge, the arc of the free edge from closed to as far as it opens, and back to the hinge."""
    door = swing.door
    turns_left = door.hinged == "left"
    hinge_mm = placing.left_mm + door.left_mm + (0 if turns_left else door.width_mm)
    side = 1 if turns_left else -1
    points: list[Point] = [(hinge_mm, run.depth_mm)]
    for step in range(ARC_STEPS + 1):
        angle = math.radians(swing.opens_deg) * step / ARC_STEPS
        x = hinge_mm + side * door.width_mm * math.cos(angle)
        points.append((x, run.depth_mm + door.width_mm * math.sin(angle)))
    return Polygon("door" if swing.clear else "door_blocked", tuple(points), door.name)


def _box(left: float, right: float, back: float, front: float) -> tuple[Point, ...]:
    return ((left, back), (right, back), (right, front), (left, front))
