from __future__ import annotations

import pytest

from jobs.measuring.arrival import compare_arrival
from jobs.measuring.readings import Reading, RoomReadings
from jobs.measuring.run import Run
from jobs.pure_errors import MeasureError

RUN = Run((900, 900), 600)


def widths(top: int, bottom: int | None = None, depth: int | None = None) -> RoomReadings:
    sizes = [Reading("width", "back top", top)]
    sizes += [] if bottom is None else [Reading("width", "back bottom", bottom)]
    sizes += [] if depth is None else [Reading("depth", "left top", depth)]
    return RoomReadings(tuple(sizes))


def test_board_put_on_after_the_survey_shows_in_the_infills():
    # The published case behind the re-measure gate: an extra layer of board after survey, both sides.
    arrival = compare_arrival(widths(1900, 1902), widths(1874, 1876), run=RUN)
    assert arrival.verdict == "changed"
    assert [(d.name, d.change_mm, d.matters) for d in arrival.differences] == [
        ("width, back top", -26, True),
        ("width, back bottom", -26, True),
    ]
    assert (arrival.before.left_mm, arrival.after.left_mm, arrival.after.right_mm) == (50, 37, 37)
    assert arrival.sentences[0] == "width, back top: surveyed 1900, now 1874 mm, 26 mm smaller."
    assert arrival.sentences[-1].startswith("Infill left 50 mm planned, 37 now; right 50 mm planned, 37 now.")


def test_two_millimetres_are_a_tapes_accuracy():
    arrival = compare_arrival(widths(1900), widths(1898), run=RUN)
    assert arrival.verdict == "as_surveyed"
    assert arrival.sentences[0] == "The reading agrees within 2 mm, a tape's accuracy."


def test_run_that_no_longer_goes_in_is_said():
    arrival = compare_arrival(widths(1810), widths(1795), run=RUN)
    assert arrival.verdict == "does_not_fit"
    assert "The run of 1800 mm is 5 mm wider than 1795 mm." in arrival.sentences[-1]


def test_opening_too_shallow_is_said():
    arrival = compare_arrival(widths(1900, depth=610), widths(1900, depth=590), run=RUN)
    assert arrival.verdict == "does_not_fit"
    assert arrival.sentences[-1] == "The run is 600 mm deep, the opening is now 590 mm at its smallest."


def test_width_not_taken_again_still_counts_and_is_named():
    arrival = compare_arrival(widths(1900, 1880), widths(1899), run=RUN, position_mm=40)
    assert arrival.not_taken_again == ("width, back bottom",)
    assert (arrival.after.left_mm, arrival.after.right_mm) == (40, 40)
    assert "Not measured again: width, back bottom." in arrival.sentences


def test_nothing_in_common_is_refused():
    with pytest.raises(MeasureError) as caught:
        compare_arrival(widths(1900), RoomReadings((Reading("height", "back left", 2400),)))
    assert caught.value.field == "Readings on arrival"
