"""What the readings come to: smallest sizes, out of level, plumb and square, scribe allowance."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.carrying.lengths import check_length_mm
from jobs.measuring.readings import PLACES, Direction, RoomReadings, missing_readings

SCRIBE_MARGIN_MM = 5  # on top of the spread, so that the scribe can be cut; our own figure, no source
LEVEL_MM_PER_M = 3  # NHBC Standards 2020, 9.1.5: 3 mm per m up to 6 m, for new homes only
SCRIBE_USUAL_MM = (15, 30)  # common practice, no source


@dataclass(frozen=True, slots=True)
class Extent:
    """Smallest, largest and spread of one direction over `count` readings of those wanted."""

    direction: Direction
    smallest_mm: int
    largest_mm: int
    count: int
    wanted: int
    scribe_mm: int

    @property
    def spread_mm(self) -> int:
        return self.largest_mm - self.smallest_mm


@dataclass(frozen=True, slots=True)
class RoomSummary:
    """The figures for the drawing and a sentence for each; empty parts where nothing was read."""

    extents: tuple[Extent, ...]
    level_mm_per_m: float | None
    square_out_mm: float | None
    missing: tuple[str, ...]
    sentences: tuple[str, ...]

    def smallest_mm(self, direction: Direction) -> int | None:
        return next((e.smallest_mm for e in self.extents if e.direction == direction), None)


def summarise(room: RoomReadings, *, scribe_margin_mm: int = SCRIBE_MARGIN_MM) -> RoomSummary:
    """Smallest sizes, scribe allowance (spread + margin), out of level, plumb and square, what is missing."""
    check_length_mm(scribe_margin_mm, "Scribe margin", minimum_mm=0, maximum_mm=100)
    extents = tuple(
        extent for direction in PLACES if (extent := _extent(room, direction, scribe_margin_mm)) is not None
    )
    level = None if room.level is None else room.level.fall_mm * 1000 / room.level.run_mm
    square = square_out_mm(room)
    missing = missing_readings(room)
    sentences = [_extent_sentence(extent, scribe_margin_mm) for extent in extents]
    sentences += _level_sentence(room, level)
    sentences += [_plumb_sentence(plumb.wall, plumb.lean_mm, plumb.over_mm) for plumb in room.plumb]
    sentences += _square_sentence(room, square)
    if missing:
        sentences.append(f"Not measured yet, {len(missing)}: {'; '.join(missing)}. Cutting waits for them.")
    return RoomSummary(extents, level, square, missing, tuple(sentences))


def square_out_mm(room: RoomReadings) -> float | None:
    """How far the top of the back wall is shifted against its bottom, in mm; positive shifts right.

    For a parallelogram of width w the diagonals give d1^2 - d2^2 = 4 w x shift, an identity of the
    parallelogram law, so the shift needs no small-angle guess. None without diagonals or back widths.
    """
    widths = [room.value_mm("width", place) for place in PLACES["width"][:3]]
    known = [width_mm for width_mm in widths if width_mm is not None]
    if room.diagonals is None or not known:
        return None
    width_mm = sum(known) / len(known)
    return (room.diagonals.rising_mm**2 - room.diagonals.falling_mm**2) / (4 * width_mm)


def _extent(room: RoomReadings, direction: Direction, scribe_margin_mm: int) -> Extent | None:
    values = room.values_mm(direction)
    if not values:
        return None
    smallest, largest = min(values), max(values)
    scribe_mm = largest - smallest + scribe_margin_mm
    return Extent(direction, smallest, largest, len(values), len(PLACES[direction]), scribe_mm)


def _extent_sentence(extent: Extent, scribe_margin_mm: int) -> str:
    beyond = ""
    if extent.scribe_mm > SCRIBE_USUAL_MM[1]:
        beyond = f" That is above the usual {SCRIBE_USUAL_MM[0]} to {SCRIBE_USUAL_MM[1]} mm (common practice)."
    return (
        f"Smallest {extent.direction} {extent.smallest_mm} mm of {extent.count} of {extent.wanted} readings, "
        f"largest {extent.largest_mm}; scribe allowance {extent.scribe_mm} mm "
        f"(spread {extent.spread_mm} + {scribe_margin_mm}).{beyond}"
    )


def _level_sentence(room: RoomReadings, level_mm_per_m: float | None) -> list[str]:
    if room.level is None or level_mm_per_m is None:
        return []
    if room.level.fall_mm == 0:
        return [f"Floor level over {room.level.run_mm} mm."]
    way = "falls" if room.level.fall_mm > 0 else "rises"
    against = "within" if abs(level_mm_per_m) <= LEVEL_MM_PER_M else "beyond"
    return [
        f"Floor {way} {abs(room.level.fall_mm)} mm from left to right over {room.level.run_mm} mm, "
        f"{abs(level_mm_per_m):.1f} mm per m: {against} the {LEVEL_MM_PER_M} mm per m of new homes (NHBC "
        "Standards 2020, 9.1.5; no rule for older houses)."
    ]


def _plumb_sentence(wall: str, lean_mm: int, over_mm: int) -> str:
    if lean_mm == 0:
        return f"{wall.capitalize()} wall plumb over {over_mm} mm."
    way = "into the opening" if lean_mm > 0 else "away from the opening"
    return f"{wall.capitalize()} wall leans {abs(lean_mm)} mm {way} at the top over {over_mm} mm."


def _square_sentence(room: RoomReadings, square_mm: float | None) -> list[str]:
    if room.diagonals is None:
        return []
    difference_mm = abs(room.diagonals.rising_mm - room.diagonals.falling_mm)
    words = f"Diagonals of the back wall differ by {difference_mm} mm"
    if square_mm is None or difference_mm == 0:
        return [f"{words}."]
    way = "right" if square_mm > 0 else "left"
    return [f"{words}: its top is shifted {abs(square_mm):.1f} mm to the {way} of its bottom."]
