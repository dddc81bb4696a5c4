"""Standing up under the ceiling: diagonals worked by hand for the reference table (Pythagoras)."""

from __future__ import annotations

import pytest

from jobs.carrying.clearances import standing_diagonal_mm
from jobs.carrying.places import Ceiling, RoutePiece
from jobs.carrying.route import check_point


@pytest.mark.parametrize(
    ("height", "depth", "diagonal"),
    [(2100, 600, 2184.0), (2300, 600, 2377.0), (2340, 600, 2415.7), (2400, 350, 2425.4)],
)
def test_diagonal_agrees_with_table(height, depth, diagonal):
    piece = RoutePiece("Carcass", 900, height, depth)
    assert standing_diagonal_mm(piece) == pytest.approx(diagonal, abs=0.05)


def test_2340_by_600_does_not_stand_up_under_2400():
    check = check_point(RoutePiece("Carcass", 900, 2340, 600), Ceiling("Bedroom", 2400))
    assert check.verdict == "will_not_go"
    assert check.clearance_mm == pytest.approx(-15.7, abs=0.05)


def test_2300_by_600_stands_up_under_2400_with_the_margin():
    check = check_point(RoutePiece("Carcass", 900, 2300, 600), Ceiling("Bedroom", 2400))
    assert (check.verdict, round(check.clearance_mm)) == ("pass", 23)
