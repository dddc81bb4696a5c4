from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.carrying.lengths import check_weight_kg, parse_length_mm
from jobs.pure_errors import MeasureError


@pytest.mark.parametrize("text", ["2400", " 2400 ", "2400 mm", "2400mm", "2400 MM", "2400.0"])
def test_whole_millimetres_are_taken(text):
    assert parse_length_mm(text, "Height") == 2400


def test_metres_typed_for_millimetres_are_asked_about_with_both_readings():
    with pytest.raises(MeasureError) as caught:
        parse_length_mm("2.4", "Height")
    assert caught.value.field == "Height"
    assert caught.value.sentence == (
        "Height: “2.4” can be read in two ways. Is it 2400 mm (2.4 m) or 2.4 mm? Type 2400 or 2, "
        "in whole millimetres."
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("2,4", "2400 mm (2.4 m) or 2.4 mm"),
        ("2.0", "2000 mm (2 m) or 2 mm"),
        ("2,400", "Is it 2400 mm or 2.4 mm?"),
        ("2400.5", "Is it 2400 mm or 2401 mm?"),
        ("2.4 m", "“2.4 m” is 2400 mm"),
        ("240 cm", "“240 cm” is 2400 mm"),
        ("-2400", "has a sign"),
        ("0", "too small"),
        ("", "nothing was typed"),
        ("tall", "not a length"),
        ("1e4", "not a length"),
        ("٢٤٠٠", "not a length"),
        ("2400; 2500", "not a length"),
        ("99999999", "more than the 30000 mm"),
        ("9" * 5000, "not a length"),
    ],
)
def test_bad_text_gets_a_sentence_naming_field_and_remedy(text, says):
    with pytest.raises(MeasureError) as caught:
        parse_length_mm(text, "Height")
    assert says in caught.value.sentence
    assert caught.value.sentence.startswith("Height: ")
    assert "type " in caught.value.sentence.lower()


def test_a_room_of_3_is_asked_about():
    with pytest.raises(MeasureError, match=r"Is it 3000 mm \(3 m\) or really 3 mm\?"):
        parse_length_mm("3", "Width", minimum_mm=100)


def test_zero_is_taken_where_none_is_an_answer():
    assert parse_length_mm("0", "Skirting", minimum_mm=0) == 0


@pytest.mark.parametrize("weight", [0, -1, 5001, float("nan"), float("inf"), True])
def test_absurd_weight_is_refused(weight):
    with pytest.raises(MeasureError):
        check_weight_kg(weight, "Weight")


@given(st.text(max_size=30))
def test_any_text_gives_a_length_or_a_sentence(text):
    try:
        assert 1 <= parse_length_mm(text, "Depth") <= 30_000
    except MeasureError as error:
        assert error.sentence.startswith("Depth: ")


@given(st.integers(1, 30_000))
def test_every_whole_length_comes_back(length_mm):
    assert parse_length_mm(f"{length_mm} mm", "Depth") == length_mm
