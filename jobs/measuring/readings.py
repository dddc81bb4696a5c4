"""The readings of a room as they were taken. Whole mm; degrees from north for what a window faces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from jobs.carrying.lengths import check_length_mm
from jobs.pure_errors import MeasureError

Direction = Literal["width", "height", "depth"]
Wall = Literal["left", "right", "back"]
SMALLEST_ROOM_MM = 100  # an alcove narrower than this is metres or centimetres typed for millimetres

# Three places each, back and front, because rooms vary top, middle and bottom and walls are not
# parallel. Three places at least is common practice, no source.
PLACES: dict[Direction, tuple[str, ...]] = {
    "width": ("back top", "back middle", "back bottom", "front top", "front middle", "front bottom"),
    "height": ("back left", "back middle", "back right", "front left", "front middle", "front right"),
    "depth": ("left top", "left middle", "left bottom", "right top", "right middle", "right bottom"),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One size at one place: width at “back top”, and so on."""

    direction: Direction
    place: str
    value_mm: int

    def __post_init__(self) -> None:
        if self.place not in PLACES.get(self.direction, ()):
            raise MeasureError("Reading", f"Reading: there is no {self.direction} at “{self.place}”.")
        check_length_mm(self.value_mm, self.name, minimum_mm=SMALLEST_ROOM_MM)

    @property
    def name(self) -> str:
        return reading_name(self.direction, self.place)


@dataclass(frozen=True, slots=True)
class Plumb:
    """How far a wall leans over `over_mm` of height; positive leans out into the opening at the top."""

    wall: Wall
    lean_mm: int
    over_mm: int

    def __post_init__(self) -> None:
        check_length_mm(self.over_mm, f"Plumb of the {self.wall} wall, height", minimum_mm=SMALLEST_ROOM_MM)
        check_length_mm(abs(self.lean_mm), f"Plumb of the {self.wall} wall", minimum_mm=0, maximum_mm=300)


@dataclass(frozen=True, slots=True)
class Level:
    """Floor fall in mm from left to right over the run; negative rises."""

    fall_mm: int
    run_mm: int

    def __post_init__(self) -> None:
        check_length_mm(self.run_mm, "Level, run", minimum_mm=SMALLEST_ROOM_MM)
        check_length_mm(abs(self.fall_mm), "Level, fall", minimum_mm=0, maximum_mm=300)


@dataclass(frozen=True, slots=True)
class Diagonals:
    """Both diagonals of the back wall: from bottom left to top right, and from bottom right to top left."""

    rising_mm: int
    falling_mm: int

    def __post_init__(self) -> None:
        check_length_mm(self.rising_mm, "Diagonal bottom left to top right", minimum_mm=SMALLEST_ROOM_MM)
        check_length_mm(self.falling_mm, "Diagonal bottom right to top left", minimum_mm=SMALLEST_ROOM_MM)


@dataclass(frozen=True, slots=True)
class Moulding:
    """Skirting or cornice: height and how far it stands out; 0 and 0 says there is none."""

    height_mm: int
    stands_out_mm: int

    def __post_init__(self) -> None:
        check_length_mm(self.height_mm, "Moulding, height", minimum_mm=0, maximum_mm=1000)
        check_length_mm(self.stands_out_mm, "Moulding, standing out", minimum_mm=0, maximum_mm=1000)


@dataclass(frozen=True, slots=True)
class ProudThing:
    """A sill, blind, radiator or pipe standing proud of a wall.

    `start_mm` and `end_mm` run along the wall: from the back corner on a side wall, from the left corner
    on the back wall. `bottom_mm` and `top_mm` are heights above the floor.
    """

    name: str
    wall: Wall
    start_mm: int
    end_mm: int
    stands_out_mm: int
    bottom_mm: int = 0
    top_mm: int = 3000

    def __post_init__(self) -> None:
        check_length_mm(self.start_mm, f"{self.name}, start", minimum_mm=0)
        check_length_mm(self.end_mm, f"{self.name}, end")
        check_length_mm(self.stands_out_mm, f"{self.name}, standing out", maximum_mm=2000)
        check_length_mm(self.bottom_mm, f"{self.name}, bottom", minimum_mm=0)
        check_length_mm(self.top_mm, f"{self.name}, top")
        if self.end_mm <= self.start_mm or self.top_mm <= self.bottom_mm:
            raise MeasureError(
                self.name, f"{self.name}: its end must be beyond its start and its top above its bottom."
            )


@dataclass(frozen=True, slots=True)
class Window:
    """A window with its reveal and the bearing it faces (0 north, 90 east); None where not measured."""

    name: str
    width_mm: int
    height_mm: int
    reveal_mm: int | None = None
    facing_deg: int | None = None

    def __post_init__(self) -> None:
        check_length_mm(self.width_mm, f"{self.name}, width", minimum_mm=SMALLEST_ROOM_MM)
        check_length_mm(self.height_mm, f"{self.name}, height", minimum_mm=SMALLEST_ROOM_MM)
        if self.reveal_mm is not None:
            check_length_mm(self.reveal_mm, f"{self.name}, reveal", minimum_mm=0, maximum_mm=2000)
        if self.facing_deg is not None and not 0 <= self.facing_deg < 360:
            raise MeasureError(
                f"{self.name}, facing",
                f"{self.name}, facing: {self.facing_deg} is not a compass bearing. Type 0 to 359, north is 0.",
            )


@dataclass(frozen=True, slots=True)
class RoomReadings:
    """Everything read in one opening. An empty tuple of proud things or windows means none was found."""

    sizes: tuple[Reading, ...] = ()
    plumb: tuple[Plumb, ...] = ()
    level: Level | None = None
    diagonals: Diagonals | None = None
    skirting: Moulding | None = None
    cornice: Moulding | None = None
    proud: tuple[ProudThing, ...] = ()
    windows: tuple[Window, ...] = ()

    def __post_init__(self) -> None:
        names = [reading.name for reading in self.sizes]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise MeasureError(twice, f"{twice}: read twice. Keep the one that is right.")

    def values_mm(self, direction: Direction) -> list[int]:
        return [reading.value_mm for reading in self.sizes if reading.direction == direction]

    def value_mm(self, direction: Direction, place: str) -> int | None:
        wanted = reading_name(direction, place)
        return next((reading.value_mm for reading in self.sizes if reading.name == wanted), None)


def reading_name(direction: str, place: str) -> str:
    """The name of a reading on screens and in the list of missing ones."""
    return f"{direction}, {place}"


def missing_readings(room: RoomReadings, *, plumb_walls: tuple[Wall, ...] = ("left", "right")) -> tuple[str, ...]:
    """Names of the readings still to be taken, in the order of the survey sheet. They hold cutting back."""
    taken = {reading.name for reading in room.sizes}
    missing = [
        name
        for direction, places in PLACES.items()
        for place in places
        if (name := reading_name(direction, place)) not in taken
    ]
    plumbed = {plumb.wall for plumb in room.plumb}
    missing += [f"plumb, {wall} wall" for wall in plumb_walls if wall not in plumbed]
    singles = {
        "level, floor": room.level,
        "diagonals, back wall": room.diagonals,
        "skirting": room.skirting,
        "cornice": room.cornice,
    }
    missing += [name for name, value in singles.items() if value is None]
    for window in room.windows:
        missing += [f"{window.name}, reveal"] if window.reveal_mm is None else []
        missing += [f"{window.name}, facing"] if window.facing_deg is None else []
    return tuple(missing)
