"""Out of square by diagonals, against a parallelogram laid out in coordinates (Pythagoras, no formula)."""

from __future__ import annotations

import math

import pytest

from jobs.measuring.readings import Diagonals, Reading, RoomReadings
from jobs.measuring.summary import square_out_mm


@pytest.mark.parametrize(
    ("width", "height", "shift"), [(2000, 2400, 0), (2000, 2400, 12), (1500, 2600, -20), (900, 2300, 35)]
)
def test_shift_of_the_top_comes_back_from_the_diagonals(width, height, shift):
    rising = math.dist((0, 0), (width + shift, height))
    falling = math.dist((width, 0), (shift, height))
    sizes = tuple(Reading("width", f"back {place}", width) for place in ("top", "middle", "bottom"))
    room = RoomReadings(sizes=sizes, diagonals=Diagonals(round(rising), round(falling)))
    # Each diagonal is read to half a millimetre, which moves the answer by up to d / (2 w) each.
    assert square_out_mm(room) == pytest.approx(shift, abs=(rising + falling) / (4 * width) + 0.1)


def test_printed_right_triangles_are_square():
    # 3-4-5 laid out by hand: both diagonals of 3000 x 4000 are 5000.
    room = RoomReadings(sizes=(Reading("width", "back top", 3000),), diagonals=Diagonals(5000, 5000))
    assert square_out_mm(room) == 0
