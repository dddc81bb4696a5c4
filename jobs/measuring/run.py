"""A run of units in the opening: infills left and right, and whether its doors swing clear."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.carrying.lengths import check_length_mm
from jobs.measuring.readings import ProudThing, RoomReadings
from jobs.pure_errors import MeasureError

INFILL_USUAL_MM = (30, 75)  # common practice, no source
WANTED_OPENING_DEG = 90.0
HINGE_OPENING_DEG = 110.0
SWING_MARGIN_MM = 5  # concealed hinges shift the leaf by some mm while it turns; our own figure


@dataclass(frozen=True, slots=True)
class RunDoor:
    """A door of the run: left edge from the left end of the run, width, heights above the floor."""

    name: str
    left_mm: int
    width_mm: int
    hinged: Literal["left", "right"]
    bottom_mm: int = 0
    top_mm: int = 3000

    def __post_init__(self) -> None:
        check_length_mm(self.left_mm, f"{self.name}, left edge", minimum_mm=0)
        check_length_mm(self.width_mm, f"{self.name}, width", minimum_mm=50, maximum_mm=3000)
        if self.hinged not in ("left", "right"):
            raise MeasureError(f"{self.name}, hinged", f"{self.name}, hinged: choose left or right.")


@dataclass(frozen=True, slots=True)
class Run:
    """Unit widths from left to right, outside depth including doors, and its doors."""

    widths_mm: tuple[int, ...]
    depth_mm: int
    doors: tuple[RunDoor, ...] = ()

    def __post_init__(self) -> None:
        if not self.widths_mm:
            raise MeasureError("Run", "Run: no unit widths. Type at least one, such as 600.")
        for number, width_mm in enumerate(self.widths_mm, start=1):
            check_length_mm(width_mm, f"Unit {number}, width", minimum_mm=10)
        check_length_mm(self.depth_mm, "Run, depth", minimum_mm=10)
        for door in self.doors:
            if door.left_mm + door.width_mm > self.width_mm:
                raise MeasureError(door.name, f"{door.name}: it reaches beyond the run of {self.width_mm} mm.")

    @property
    def width_mm(self) -> int:
        return sum(self.widths_mm)


@dataclass(frozen=True, slots=True)
class PlaceInfill:
    """Both infills at one place where the width was read."""

    place: str
    left_mm: int
    right_mm: int


@dataclass(frozen=True, slots=True)
class DoorSwing:
    """How far a door opens, what stops it (empty: the hinge) and whether that is enough."""

    door: RunDoor
    opens_deg: float
    stopped_by: str
    clear: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class Placing:
    """The run at one position: both infills (negative: it does not go), the doors, and the sentence."""

    position_mm: int
    left_mm: int
    right_mm: int
    swings: tuple[DoorSwing, ...]
    sentence: str

    @property
    def fits(self) -> bool:
        return self.left_mm >= 0 and self.right_mm >= 0

    @property
    def doors_clear(self) -> bool:
        return self.fits and all(swing.clear for swing in self.swings)


def place_run(opening_mm: int, run: Run, position_mm: int | None = None, proud: Sequence[ProudThing] = ()) -> Placing:
    """Both infills with the run `position_mm` from the left wall (None: centred), and every door's swing.

    `opening_mm` is the smallest width. A run that does not go in is answered in words, not refused:
    the reader moves it until it does.
    """
    check_length_mm(opening_mm, "Opening", minimum_mm=100)
    spare_mm = opening_mm - run.width_mm
    left_mm = spare_mm // 2 if position_mm is None else position_mm
    right_mm = spare_mm - left_mm
    goes_in = left_mm >= 0 and right_mm >= 0
    doors = run.doors if goes_in else ()  # where the run does not go in, its doors say nothing
    swings = tuple(door_swing(door, opening_mm, run, left_mm, proud) for door in doors)
    sentence = _placing_sentence(opening_mm, run, left_mm, right_mm)
    blocked = [swing.sentence for swing in swings if not swing.clear]
    return Placing(left_mm, left_mm, right_mm, swings, " ".join((sentence, *blocked)))


def infills_at_places(room: RoomReadings, run: Run, position_mm: int) -> tuple[PlaceInfill, ...]:
    """Infills at every width read, with the left wall taken as straight: the right one takes the taper."""
    return tuple(
        PlaceInfill(reading.place, position_mm, reading.value_mm - run.width_mm - position_mm)
        for reading in room.sizes
        if reading.direction == "width"
    )


def slide_run(
    opening_mm: int, run: Run, proud: Sequence[ProudThing] = (), *, step_mm: int = 5
) -> tuple[Placing, ...]:
    """The run at every `step_mm` from hard left to hard right; empty when it is wider than the opening."""
    check_length_mm(step_mm, "Step", maximum_mm=1000)
    spare_mm = opening_mm - run.width_mm
    positions = sorted({*range(0, spare_mm + 1, step_mm), spare_mm} if spare_mm >= 0 else ())
    return tuple(place_run(opening_mm, run, position_mm, proud) for position_mm in positions)


def door_swing(
    door: RunDoor,
    opening_mm: int,
    run: Run,
    position_mm: int,
    proud: Sequence[ProudThing] = (),
    *,
    wanted_deg: float = WANTED_OPENING_DEG,
) -> DoorSwing:
    """How far the door opens before its outer face meets a side wall or a proud thing of its height.

    The leaf is taken to turn about its front edge; obstacles are widened by 5 mm for the hinge's shift.
    """
    hinge_mm = position_mm + door.left_mm + (0 if door.hinged == "left" else door.width_mm)
    pivot = (float(hinge_mm), float(run.depth_mm))
    opens_deg, stopped_by = HINGE_OPENING_DEG, ""
    for name, box in _obstacles(door, opening_mm, proud):
        seen = box if door.hinged == "left" else _mirrored(box, pivot[0])
        angle_deg = math.degrees(first_touch_rad(pivot, float(door.width_mm), seen))
        if angle_deg < opens_deg:
            opens_deg, stopped_by = angle_deg, name
    clear = opens_deg >= wanted_deg
    words = f"{door.name} opens {math.floor(opens_deg + 1e-9)} degrees"
    words += f", stopped by {stopped_by}" if stopped_by else ", as far as its hinges let it"
    if not clear:
        words += f"; {wanted_deg:g} are wanted. Move the run or change the hinge side"
    return DoorSwing(door, opens_deg, stopped_by, clear, f"{words}.")


Box = tuple[float, float, float, float]


def first_touch_rad(pivot: tuple[float, float], reach_mm: float, box: Box) -> float:
    """Angle at which a leaf of length `reach_mm`, opening from +x through +y to -x, first meets the box.

    The box is (left, right, back, front), y growing into the room. Returns infinity when it never does.
    Exact: the first point met is a corner within reach, or where a side crosses the circle of the reach.
    """
    left, right, back, front = (box[0] - pivot[0], box[1] - pivot[0], box[2] - pivot[1], box[3] - pivot[1])
    back = max(back, 0.0)
    if front <= back:
        return math.inf
    if left < 0 < right and back == 0:
        return 0.0
    points = [(x, y) for x in (left, right) for y in (back, front)]
    for x in (left, right):
        if abs(x) <= reach_mm:
            points.append((x, math.sqrt(reach_mm**2 - x**2)))
    for y in (back, front):
        if y <= reach_mm:
            half_mm = math.sqrt(reach_mm**2 - y**2)
            points += [(half_mm, y), (-half_mm, y)]
    tiny = 1e-6
    met = [
        math.atan2(y, x)
        for x, y in points
        if left - tiny <= x <= right + tiny
        and back - tiny <= y <= front + tiny
        and tiny < math.hypot(x, y) <= reach_mm + tiny  # a wall that ends at the hinge stops nothing there
    ]
    return min(met, default=math.inf)


def thing_box(thing: ProudThing, opening_mm: int) -> Box:
    """The proud thing in plan: x from the left wall, y from the back wall into the room."""
    if thing.wall == "left":
        return (0, thing.stands_out_mm, thing.start_mm, thing.end_mm)
    if thing.wall == "right":
        return (opening_mm - thing.stands_out_mm, opening_mm, thing.start_mm, thing.end_mm)
    return (thing.start_mm, thing.end_mm, 0, thing.stands_out_mm)


def _obstacles(door: RunDoor, opening_mm: int, proud: Sequence[ProudThing]) -> list[tuple[str, Box]]:
    beyond_mm = 100_000.0
    obstacles: list[tuple[str, Box]] = [
        ("the left wall", (-beyond_mm, 0.0, 0.0, beyond_mm)),
        ("the right wall", (opening_mm, opening_mm + beyond_mm, 0.0, beyond_mm)),
    ]
    for thing in proud:
        if thing.bottom_mm < door.top_mm and thing.top_mm > door.bottom_mm:
            left, right, back, front = thing_box(thing, opening_mm)
            margin_mm = SWING_MARGIN_MM
            wide = (left - margin_mm, right + margin_mm, back - margin_mm, front + margin_mm)
            obstacles.append((thing.name, wide))
    return obstacles


def _mirrored(box: Box, axis_mm: float) -> Box:
    return (2 * axis_mm - box[1], 2 * axis_mm - box[0], box[2], box[3])


def _placing_sentence(opening_mm: int, run: Run, left_mm: int, right_mm: int) -> str:
    if run.width_mm > opening_mm:
        return f"The run of {run.width_mm} mm is {run.width_mm - opening_mm} mm wider than {opening_mm} mm."
    if left_mm < 0 or right_mm < 0:
        side = "left" if left_mm < 0 else "right"
        return f"The run stands {-min(left_mm, right_mm)} mm inside the {side} wall. Move it."
    words = f"Infill {left_mm} mm left, {right_mm} mm right."
    low, high = INFILL_USUAL_MM
    odd = [f"{side} {mm}" for side, mm in (("left", left_mm), ("right", right_mm)) if not low <= mm <= high]
    if odd:
        words += f" Outside the usual {low} to {high} mm (common practice): {', '.join(odd)}."
    return words
