"""The corner formula against printed values and against a second method.

Ladder, corridors 3 and 4 ft: 9.87 ft (worked textbook solution). Fence problem 8 and 4 ft: 16.65 ft (same
formula, secondary source). 9 and 6 ft: 21.07 ft (problem printed; the value from memory). Rectangle: C.
Moretti, College Mathematics Journal 33(3), 2002, 196-200 (citation from a secondary source): corridors 8
and 3, width 1, held at 31 degrees, 12.8927. The second method turns a shapely rectangle in a shapely
corridor and knows nothing of the formula. A web answer of 20.97 ft for 5.8 x 8.73 ft is known to be wrong.
"""

from __future__ import annotations

import math

import pytest
from shapely import Polygon
from shapely.affinity import rotate, translate

from jobs.carrying.turning import (
    length_at_angle,
    longest_round_corner,
    rectangle_inside,
    tightest_swing,
)


def room_in_corner(a_mm: float, b_mm: float, length_mm: float, width_mm: float) -> float:
    """Smallest overlap-free slack of a swing, by turning polygons: area of the piece outside the floor."""
    far = 10 * (a_mm + b_mm + length_mm)
    floor = Polygon([(0, 0), (far, 0), (far, a_mm), (b_mm, a_mm), (b_mm, far), (0, far)])
    outside = 0.0
    for step in range(1, 1800):
        # Upright first, then turned: shapely does the trigonometry, and the walls place it.
        piece = rotate(Polygon([(0, 0), (length_mm, 0), (length_mm, width_mm), (0, width_mm)]), -step / 20)
        left, top, _, _ = piece.bounds
        piece = translate(piece, -left, -top)
        outside = max(outside, piece.difference(floor).area)
    return outside


def longest_by_sweep(a_mm: float, b_mm: float, width_mm: float) -> float:
    low, high = width_mm, 3 * (a_mm + b_mm)
    for _ in range(22):
        middle = (low + high) / 2
        if room_in_corner(a_mm, b_mm, middle, width_mm) <= 1e-7 * a_mm * b_mm:
            low = middle
        else:
            high = middle
    return low


@pytest.mark.parametrize(
    ("a_ft", "b_ft", "length_ft", "tolerance"), [(3, 4, 9.87, 0.005), (8, 4, 16.65, 0.005), (9, 6, 21.07, 0.005)]
)
def test_ladder_agrees_with_printed_value(a_ft, b_ft, length_ft, tolerance):
    assert longest_round_corner(a_ft, b_ft, 0) == pytest.approx(length_ft, abs=tolerance)


def test_rectangle_at_31_degrees_agrees_with_moretti():
    # The paper measures the angle from the other corridor, so 8 and 3 change places here.
    assert length_at_angle(3, 8, 1, math.radians(31)) == pytest.approx(12.8927, abs=5e-5)
    assert longest_round_corner(3, 8, 1) < 12.8927


@pytest.mark.parametrize(
    ("a", "width", "length"), [(1000, 300, 2228.4), (900, 300, 1945.6), (900, 600, 1345.6), (900, 0, 2545.6)]
)
def test_equal_corridors_agree_with_closed_form(a, width, length):
    # L = 2 sqrt2 a - 2 w; the lengths were reckoned from it for the reference table.
    assert longest_round_corner(a, a, width) == pytest.approx(2 * math.sqrt(2) * a - 2 * width, abs=1e-6)
    assert longest_round_corner(a, a, width) == pytest.approx(length, abs=0.05)


@pytest.mark.parametrize(
    ("a", "b", "width"), [(1000, 1000, 300), (900, 800, 300), (1200, 900, 600), (8000, 3000, 1000)]
)
def test_swing_agrees_with_turning_polygons(a, b, width):
    assert longest_round_corner(a, b, width) == pytest.approx(longest_by_sweep(a, b, width), rel=1e-3)


@pytest.mark.parametrize(("a", "b", "width", "length"), [(900, 800, 300, 1802.1), (1200, 900, 600, 1747.4)])
def test_unequal_corridors_agree_with_reference_table(a, b, width, length):
    assert longest_round_corner(a, b, width) == pytest.approx(length, abs=0.05)


def test_gap_of_a_piece_is_the_gap_seen_by_dense_sampling():
    gap = tightest_swing(900, 800, 1700, 300)
    sampled = min(
        900 * math.cos(t) + 800 * math.sin(t) - 1700 * math.sin(t) * math.cos(t) - 300
        for t in (math.pi / 2 * step / 100_000 for step in range(100_001))
    )
    assert gap.gap_mm == pytest.approx(sampled, abs=1e-4)


def inside_by_turning(p: float, q: float, a: float, b: float) -> bool:
    """Brute force: the extents of the turned rectangle in steps of a hundredth of a degree."""
    return any(
        p * math.cos(t) + q * math.sin(t) <= a + 1e-9 and p * math.sin(t) + q * math.cos(t) <= b + 1e-9
        for t in (math.radians(step / 100) for step in range(9001))
    )


@pytest.mark.parametrize(
    ("p", "q", "a", "b"),
    [
        (2200, 200, 2100, 1100), (2340, 600, 2100, 1400), (2300, 100, 2100, 1400), (2600, 100, 2100, 1400),
        (900, 900, 1000, 850), (2150, 300, 2100, 800), (2150, 700, 2100, 800), (500, 400, 450, 2000),
    ],
)  # fmt: skip
def test_leaning_in_a_lift_car_agrees_with_turning_it(p, q, a, b):
    assert rectangle_inside(p, q, a, b) == inside_by_turning(p, q, a, b)
