"""From rows to the values `jobs.measuring` reckons with."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

from jobs.measuring.readings import (
    PLACES,
    Diagonals,
    Direction,
    Level,
    Moulding,
    Plumb,
    ProudThing,
    RoomReadings,
    Wall,
    Window,
)
from jobs.measuring.readings import Reading as PureReading
from jobs.measuring.run import Run, RunDoor
from jobs.models import FeatureKind, FeatureWall, Reading, ReadingKind, RoomFeature, RunPlan

PLUMB_WALLS: tuple[Wall, ...] = ("left", "right", "back")
SIZES = (ReadingKind.WIDTH, ReadingKind.HEIGHT, ReadingKind.DEPTH)
PAIRS = {
    ReadingKind.DIAGONAL: ("bottom left to top right", "bottom right to top left"),
    ReadingKind.SKIRTING: ("height", "stands out"),
    ReadingKind.CORNICE: ("height", "stands out"),
}


def room_readings(readings: Iterable[Reading], features: Iterable[RoomFeature] = ()) -> RoomReadings:
    """Everything read in one survey with what is on the walls. Raises `MeasureError` on what cannot be."""
    rows = {(row.kind, row.place): row for row in readings}
    features = list(features)
    sizes = tuple(
        PureReading(cast(Direction, kind.value), place, rows[kind, place].value_mm)
        for kind in SIZES
        for place in PLACES[cast(Direction, kind.value)]
        if (kind, place) in rows
    )
    plumb = tuple(
        Plumb(wall, rows[ReadingKind.PLUMB, wall].value_mm, rows[ReadingKind.PLUMB, wall].over_mm or 0)
        for wall in PLUMB_WALLS
        if (ReadingKind.PLUMB, wall) in rows
    )
    level = rows.get((ReadingKind.LEVEL, "floor"))
    diagonals = _pair(rows, ReadingKind.DIAGONAL)
    skirting, cornice = _pair(rows, ReadingKind.SKIRTING), _pair(rows, ReadingKind.CORNICE)
    return RoomReadings(
        sizes=sizes,
        plumb=plumb,
        level=Level(level.value_mm, level.over_mm or 0) if level else None,
        diagonals=Diagonals(*diagonals) if diagonals else None,
        skirting=Moulding(*skirting) if skirting else None,
        cornice=Moulding(*cornice) if cornice else None,
        proud=proud_things(features),
        windows=tuple(window(row) for row in features if row.kind == FeatureKind.WINDOW),
    )


def _pair(rows: dict[tuple[str, str], Reading], kind: ReadingKind) -> tuple[int, int] | None:
    first, second = ((kind, place) for place in PAIRS[kind])
    return (rows[first].value_mm, rows[second].value_mm) if first in rows and second in rows else None


def proud_things(features: Iterable[RoomFeature]) -> tuple[ProudThing, ...]:
    """What stands proud of the left, back or right wall; the wall opposite stops no door of the run."""
    return tuple(
        ProudThing(
            row.name,
            cast(Wall, row.wall),
            row.start_mm,
            row.end_mm,
            row.stands_out_mm,
            bottom_mm=row.bottom_mm,
            top_mm=row.top_mm,
        )
        for row in features
        if row.stands_out_mm and row.wall != FeatureWall.FRONT
    )


def window(row: RoomFeature) -> Window:
    return Window(
        row.name,
        row.end_mm - row.start_mm,
        row.top_mm - row.bottom_mm,
        reveal_mm=row.reveal_mm,
        facing_deg=row.facing_deg,
    )


def run_of(plan: RunPlan) -> Run:
    """The stored run with its doors: L and R one door to the unit, LR a pair."""
    return make_run(plan.widths_mm, plan.doors, plan.depth_mm, plan.door_bottom_mm, plan.door_top_mm)


def make_run(
    widths_mm: Iterable[int], doors: Iterable[str], depth_mm: int, door_bottom_mm: int, door_top_mm: int
) -> Run:
    """Units from left to right, each with its mark: "L", "R", "LR" or "" (`doors` may be shorter than the units)."""
    widths = tuple(widths_mm)
    marks = [*doors, *[""] * len(widths)]
    made: list[RunDoor] = []
    left_mm = 0
    for number, (width_mm, mark) in enumerate(zip(widths, marks, strict=False), start=1):
        half_mm = width_mm // 2
        leaves = {
            "L": [("left", left_mm, width_mm)],
            "R": [("right", left_mm, width_mm)],
            "LR": [("left", left_mm, half_mm), ("right", left_mm + half_mm, width_mm - half_mm)],
        }.get(mark, [])
        for hinged, start_mm, leaf_mm in leaves:
            name = f"Door {number}" if len(leaves) == 1 else f"Door {number} {hinged}"
            made.append(RunDoor(name, start_mm, leaf_mm, hinged, door_bottom_mm, door_top_mm))  # type: ignore[arg-type]
        left_mm += width_mm
    return Run(widths, depth_mm, tuple(made))
