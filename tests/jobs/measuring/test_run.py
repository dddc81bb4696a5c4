from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, box

from jobs.measuring.readings import ProudThing
from jobs.measuring.run import Run, RunDoor, door_swing, first_touch_rad, infills_at_places, place_run, slide_run
from jobs.pure_errors import MeasureError
from tests.jobs.measuring.test_readings import full_room

LEFT_DOOR = RunDoor("Door 1", 0, 450, "left")
RIGHT_DOOR = RunDoor("Door 4", 1350, 450, "right")
RUN = Run((900, 900), 600, (LEFT_DOOR, RIGHT_DOOR))


def test_moving_the_run_changes_both_infills():
    assert [(p.left_mm, p.right_mm) for p in (place_run(1900, RUN), place_run(1900, RUN, 40))] == [(50, 50), (40, 60)]


def test_infill_outside_the_usual_is_said():
    assert place_run(1900, RUN, 20).sentence == (
        "Infill 20 mm left, 80 mm right. Outside the usual 30 to 75 mm (common practice): left 20, right 80."
    )


def test_run_wider_than_the_opening_is_said_in_millimetres():
    placing = place_run(1790, RUN)
    assert not placing.fits and not placing.doors_clear
    assert placing.sentence == "The run of 1800 mm is 10 mm wider than 1790 mm."
    assert slide_run(1790, RUN) == ()


def test_run_pushed_into_a_wall_is_said():
    assert place_run(1900, RUN, 120).sentence == "The run stands 20 mm inside the right wall. Move it."


def test_sliding_goes_from_wall_to_wall():
    placings = slide_run(1812, RUN, step_mm=5)
    assert [(p.left_mm, p.right_mm) for p in placings] == [(0, 12), (5, 7), (10, 2), (12, 0)]


def test_infills_at_every_place_take_the_taper_on_the_right():
    places = infills_at_places(full_room(), RUN, 50)
    assert [(p.place, p.right_mm) for p in places][:2] == [("back top", 150), ("back middle", 153)]


def test_door_beside_a_straight_wall_opens_square_with_no_infill():
    # With the hinge edge on the wall's line the leaf lies against the wall at exactly 90 degrees.
    swing = door_swing(LEFT_DOOR, 1800, RUN, 0)
    assert (round(swing.opens_deg, 6), swing.stopped_by, swing.clear) == (90, "the left wall", True)


def test_infill_lets_the_door_open_further_by_trigonometry():
    # Infill 60, leaf 450: it meets the wall at 90 + asin(60 / 450) = 97.66 degrees.
    swing = door_swing(LEFT_DOOR, 1900, RUN, 60)
    assert swing.opens_deg == pytest.approx(90 + math.degrees(math.asin(60 / 450)), abs=1e-6)


def test_sill_standing_proud_stops_the_door_until_the_run_is_moved():
    sill = ProudThing("window board", "left", 700, 1500, 70, bottom_mm=900, top_mm=940)
    near, far = place_run(1950, RUN, 40, [sill]), place_run(1950, RUN, 80, [sill])
    assert (near.doors_clear, far.doors_clear) == (False, True)
    assert near.swings[0].stopped_by == "window board"
    assert "Door 1 opens" in near.sentence and "stopped by window board; 90 are wanted" in near.sentence
    assert near.swings[1].clear


def test_right_hand_is_the_mirror_of_left():
    sill = {side: ProudThing("sill", side, 700, 1500, 70) for side in ("left", "right")}
    left = door_swing(LEFT_DOOR, 1900, RUN, 40, [sill["left"]])
    right = door_swing(RIGHT_DOOR, 1900, RUN, 60, [sill["right"]])  # leaves 40 on its side too
    assert right.opens_deg == pytest.approx(left.opens_deg)
    assert (left.stopped_by, right.stopped_by) == ("sill", "sill")


def test_thing_above_or_below_the_door_does_not_stop_it():
    radiator = ProudThing("radiator", "left", 650, 1400, 110, bottom_mm=100, top_mm=700)
    upper = RunDoor("Top door", 0, 450, "left", bottom_mm=800, top_mm=2300)
    assert door_swing(upper, 1900, RUN, 50, [radiator]).stopped_by == "the left wall"
    assert door_swing(LEFT_DOOR, 1900, RUN, 50, [radiator]).stopped_by == "radiator"


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Run((), 600), "Run"),
        (lambda: Run((900, 0), 600), "Unit 2, width"),
        (lambda: Run((900,), -600), "Run, depth"),
        (lambda: Run((900,), 600, (RIGHT_DOOR,)), "Door 4"),
        (lambda: RunDoor("Door", 0, 450, "top"), "Door, hinged"),
        (lambda: place_run(2, RUN), "Opening"),
        (lambda: slide_run(1900, RUN, step_mm=0), "Step"),
    ],
)
def test_bad_figures_name_their_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field


@settings(deadline=None, max_examples=150)
@given(st.integers(-900, 700), st.integers(20, 500), st.integers(1, 700), st.integers(20, 500), st.integers(100, 900))
def test_first_touch_agrees_with_turning_a_leaf_in_shapely(left, wide, back, deep, reach):
    thing = (left, left + wide, back, back + deep)
    shape = box(left, back, left + wide, back + deep)
    touch = math.degrees(first_touch_rad((0.0, 0.0), reach, thing))
    met = [
        step / 4
        for step in range(721)
        if LineString([(0, 0), (reach * math.cos(math.radians(step / 4)), reach * math.sin(math.radians(step / 4)))])
        .intersects(shape)
    ]  # fmt: skip
    if met:
        assert met[0] - 0.2501 <= touch <= met[0] + 1e-6
    else:  # a graze narrower than the step may be missed by the sweep, never by more
        assert touch == math.inf or shape.distance(LineString([(0, 0), (0, 0)])) >= reach - reach * 0.01


@given(st.integers(1800, 2200), st.integers(0, 400))
def test_infills_and_units_always_fill_the_opening(opening, position):
    placing = place_run(opening, RUN, position)
    assert placing.left_mm + RUN.width_mm + placing.right_mm == opening


def test_thing_behind_the_face_never_meets_the_door_and_one_at_the_hinge_stops_it_at_once():
    assert first_touch_rad((0, 600), 450, (-200, 200, 0, 500)) == math.inf
    assert first_touch_rad((0, 600), 450, (-50, 50, 0, 700)) == 0
