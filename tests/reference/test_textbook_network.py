"""Forward and backward pass and total float on a textbook network, by hand figures.

Network: the "General Hospital of Milwaukee" project, activities A-H with durations 2 3 2 4 4 3 5 2 weeks, as in
Heizer and Render, "Operations Management", chapter on project management. Status: numbers from memory, source not
seen here; each of them was recomputed by hand (the critical path A-C-E-G-H of 15 is 2+2+4+5+2).
"""

from __future__ import annotations

from jobs.planning.critical_path import critical_path
from jobs.planning.network import Link
from tests.jobs.planning.cast import instance, step

DURATIONS = {"A": 2, "B": 3, "C": 2, "D": 4, "E": 4, "F": 3, "G": 5, "H": 2}
ARCS = ["AC", "AD", "BD", "CE", "CF", "DG", "EG", "FH", "GH"]
# activity: earliest start, earliest finish, latest start, latest finish, float
PUBLISHED = {
    "A": (0, 2, 0, 2, 0),
    "B": (0, 3, 1, 4, 1),
    "C": (2, 4, 2, 4, 0),
    "D": (3, 7, 4, 8, 1),
    "E": (4, 8, 4, 8, 0),
    "F": (4, 7, 10, 13, 6),
    "G": (8, 13, 8, 13, 0),
    "H": (13, 15, 13, 15, 0),
}


def test_windows_and_floats_equal_the_textbook_figures() -> None:
    network = instance([step(id, d) for id, d in DURATIONS.items()], [Link(a, b) for a, b in ARCS])
    windows = critical_path(network)
    found = {
        id: (w.earliest_start, w.earliest_end, w.latest_start, w.latest_end, w.float_half_days)
        for id, w in windows.items()
    }
    assert found == PUBLISHED
