from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.measuring.readings import PLACES, Level, Reading, RoomReadings
from jobs.measuring.summary import summarise
from tests.jobs.measuring.test_readings import full_room


def test_smallest_sizes_and_scribe_allowance():
    summary = summarise(full_room())
    assert [summary.smallest_mm(direction) for direction in ("width", "height", "depth")] == [2000, 2400, 640]
    # Six readings 3 mm apart: spread 15, and 5 mm of margin.
    assert [extent.scribe_mm for extent in summary.extents] == [20, 20, 20]
    assert summary.sentences[0] == (
        "Smallest width 2000 mm of 6 of 6 readings, largest 2015; scribe allowance 20 mm (spread 15 + 5)."
    )


def test_large_spread_is_said_to_be_unusual():
    room = RoomReadings((Reading("width", "back top", 2000), Reading("width", "back bottom", 2040)))
    assert "above the usual 15 to 30 mm (common practice)" in summarise(room).sentences[0]


@pytest.mark.parametrize(
    ("fall", "rate", "words"),
    [(6, 3.0, "falls 6 mm from left to right over 2000 mm, 3.0 mm per m: within the 3 mm per m"),
     (-7, -3.5, "rises 7 mm from left to right over 2000 mm, 3.5 mm per m: beyond the 3 mm per m")],
)  # fmt: skip
def test_level_is_compared_with_the_new_homes_figure(fall, rate, words):
    summary = summarise(full_room(level=Level(fall, 2000)))
    assert summary.level_mm_per_m == rate
    assert any(words in sentence for sentence in summary.sentences)


def test_plumb_and_square_are_said_in_words():
    sentences = summarise(full_room()).sentences
    assert "Left wall leans 6 mm into the opening at the top over 2400 mm." in sentences
    assert "Right wall plumb over 2400 mm." in sentences
    # (3130^2 - 3124^2) / (4 x 2003) = 37524 / 8012 = 4.68, by hand.
    assert (
        "Diagonals of the back wall differ by 6 mm: its top is shifted 4.7 mm to the right of its bottom."
        in sentences
    )


def test_missing_readings_are_named_and_hold_cutting():
    summary = summarise(RoomReadings())
    assert summary.extents == ()
    assert len(summary.missing) == 24
    assert summary.sentences[-1].endswith("Cutting waits for them.")


@given(st.lists(st.integers(100, 5000), min_size=1, max_size=6))
def test_scribe_allowance_always_bridges_smallest_and_largest(values):
    room = RoomReadings(tuple(Reading("width", place, v) for place, v in zip(PLACES["width"], values, strict=False)))
    extent = summarise(room).extents[0]
    assert all(extent.smallest_mm <= value <= extent.smallest_mm + extent.scribe_mm for value in values)
