"""The lifting filter and team rule against printed examples.

Grid: Health and Safety Executive L23 appendix 1 / INDG143 rev 4, seen on a site chart that reproduces it, not in
the leaflet itself. Team rule (L23): three independent secondary sources; their examples are 2 x 20 kg "around
26.6", 2 x 50 kg "66", 3 x 50 kg 75.
"""

from __future__ import annotations

import math

import pytest

from jobs.carrying.lifting import Posture, filter_kg, team_filter_kg

GRID = {
    "above_shoulder": (10, 5, 7, 3),
    "elbow_to_shoulder": (20, 10, 13, 7),
    "knuckle_to_elbow": (25, 15, 16, 10),
    "mid_leg_to_knuckle": (20, 10, 13, 7),
    "below_mid_leg": (10, 5, 7, 3),
}


@pytest.mark.parametrize("zone", GRID)
def test_filter_agrees_with_grid(zone):
    seen = tuple(
        filter_kg(Posture(column, (zone,), reach))
        for column in ("men", "women")
        for reach in ("close", "arms_length")
    )
    assert seen == GRID[zone]


@pytest.mark.parametrize(("each", "printed"), [([20, 20], 26.6), ([50, 50], 66)])
def test_two_lifters_agree_with_printed_example_as_cut_off(each, printed):
    places = 10 if printed != int(printed) else 1
    assert math.floor(team_filter_kg(each) * places) / places == printed


def test_three_lifters_agree_with_printed_example():
    assert team_filter_kg([50, 50, 50]) == 75


def test_crossing_zones_takes_the_smallest():
    assert filter_kg(Posture("men", ("below_mid_leg", "knuckle_to_elbow"), "close")) == 10
