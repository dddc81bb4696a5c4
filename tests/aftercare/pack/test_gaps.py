"""Gaps as typed and as told. Pure; figures worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aftercare.pack.gaps import gap_words, moved_words, parse_tenths_mm, tenths_words
from jobs.pure_errors import MeasureError


@pytest.mark.parametrize(
    ("typed", "tenths_mm"),
    [("2.5", 25), ("2,5", 25), (" 2.5 mm ", 25), ("0", 0), ("3", 30), ("2.50", 25), ("15", 150), ("+1", 10)],
)
def test_typed_millimetres_become_tenths(typed, tenths_mm):
    assert parse_tenths_mm(typed, "Top gap") == tenths_mm


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("-0.5", "Top gap: -0.5 is below nothing. 0 says that it touches; give 0 or more."),
        ("−2", "Top gap: −2 is below nothing. 0 says that it touches; give 0 or more."),
        ("25", "Top gap: 25.0 mm is more than 15.0 mm. Is it 2.5? Look for the decimal point."),
        ("2.25", "Top gap: 2.25 is finer than a tenth of a millimetre. Give 2.2 or 2.3."),
        ("tight", "Top gap: “tight” is no size. Give millimetres with one decimal, as 2.5."),
        ("2.5.1", "Top gap: “2.5.1” is no size. Give millimetres with one decimal, as 2.5."),
        ("٢", "Top gap: “٢” is no size. Give millimetres with one decimal, as 2.5."),
        ("", "Top gap: “” is no size. Give millimetres with one decimal, as 2.5."),
    ],
)
def test_what_is_no_gap_is_refused_with_the_remedy(typed, sentence):
    with pytest.raises(MeasureError) as fault:
        parse_tenths_mm(typed, "Top gap")
    assert fault.value.sentence == sentence


@given(st.integers(min_value=0, max_value=150))
def test_every_gap_reads_back_as_it_was_written(tenths_mm):
    assert parse_tenths_mm(tenths_words(tenths_mm), "Gap") == tenths_mm


def test_gaps_in_words_leave_out_what_was_not_measured():
    assert gap_words({"top": 25, "bottom": None, "left": 20, "right": 0}) == "top 2.5, left 2.0, right 0.0 mm"
    assert gap_words({}) == ""


def test_moves_are_told_side_by_side():
    left = {"top": 25, "bottom": 20, "left": 25, "right": 30}
    assert moved_words(left, left | {"top": 30, "right": 27}) == "top wider by 0.5 mm, right narrower by 0.3 mm"
    assert moved_words(left, left) == "no gap has moved"
    assert moved_words(left, {"top": None}) == "no gap was measured both times"
