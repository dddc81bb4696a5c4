from __future__ import annotations

import pytest
from shapely import Polygon as Shape
from shapely.ops import unary_union

from jobs.measuring.picture import wall_plan
from jobs.measuring.readings import ProudThing, RoomReadings
from jobs.measuring.run import Run, RunDoor, place_run
from jobs.pure_errors import MeasureError
from tests.jobs.measuring.test_readings import full_room

RUN = Run((900, 980), 600, (RunDoor("Door 1", 0, 450, "left"),))


def test_units_and_infills_fill_the_back_of_the_opening():
    placing = place_run(2000, RUN, 50)
    picture = wall_plan(full_room(), RUN, placing)
    filled = [Shape(p.points) for p in picture.polygons if p.role in ("unit", "infill")]
    assert [p.label for p in picture.polygons if p.role in ("unit", "infill")] == ["50", "900", "980", "70"]
    assert unary_union(filled).area == pytest.approx(2000 * 600)
    assert sum(shape.area for shape in filled) == pytest.approx(2000 * 600)


def test_walls_show_back_and_front_widths():
    wall = wall_plan(full_room(), RUN, place_run(2000, RUN)).polygons[0]
    assert (wall.label, wall.closed) == ("2000 back, 2009 front", False)
    assert wall.points[2:] == ((2000, 0.0), (2009, 655))


def test_blocked_door_is_drawn_as_blocked_and_stops_short_of_the_thing():
    sill = ProudThing("window board", "left", 700, 1500, 70)
    picture = wall_plan(full_room(), RUN, place_run(2000, RUN, 40, [sill]), [sill])
    door = next(p for p in picture.polygons if p.role.startswith("door"))
    thing = next(p for p in picture.polygons if p.role == "proud")
    assert door.role == "door_blocked"
    # The obstacle is widened by 5 mm each way, so its corner stays 5 to 5 x sqrt 2 mm from the leaf.
    assert 5 <= Shape(door.points).distance(Shape(thing.points)) <= 5 * 2**0.5 + 0.01


def test_plan_without_a_width_is_refused():
    with pytest.raises(MeasureError, match="none is measured yet"):
        wall_plan(RoomReadings(), RUN, place_run(2000, RUN))
