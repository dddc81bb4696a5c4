"""Hinges asked for by weight, height and width, and the order in which doors are looked at."""

from __future__ import annotations

import pytest

from aftercare.pack.hinges import Door, door_weight_kg, hinges_asked_for, settle_order
from jobs.pure_errors import MeasureError


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "thickness_mm", "board", "weight_kg"),
    [
        # Reckoned at 740 and 660 kg/m3: area x thickness x density.
        (497, 720, 18, "mfc", 4.2512),
        (500, 2100, 22, "mdf", 17.0940),
        (600, 2300, 22, "mdf", 22.4664),
    ],
)
def test_door_weight(width_mm, height_mm, thickness_mm, board, weight_kg):
    assert door_weight_kg(width_mm, height_mm, thickness_mm, board) == pytest.approx(weight_kg, abs=1e-4)


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "weight_kg", "asked", "at_least"),
    [
        # Weight: one hinge maker's page. Height: common practice, from memory. Edges belong to the lower row.
        (400, 700, 3.0, 2, False),
        (400, 900, 6.0, 2, False),
        (400, 900, 6.1, 3, False),
        (400, 901, 5.0, 3, False),
        (400, 1600, 12.0, 3, False),
        (400, 1601, 6.0, 4, False),
        (400, 2000, 12.0, 4, False),
        (400, 2400, 12.0, 5, False),
        (600, 700, 5.0, 2, False),
        (601, 700, 5.0, 3, False),
        (650, 700, 5.0, 3, False),
        (651, 700, 5.0, 3, True),
        (400, 2401, 12.0, 5, True),
        (400, 700, 12.1, 3, True),
    ],
)
def test_hinges_asked_for(width_mm, height_mm, weight_kg, asked, at_least):
    advice = hinges_asked_for(Door("a", width_mm, height_mm, weight_kg=weight_kg))
    assert (advice.asked, advice.at_least) == (asked, at_least)


def test_a_door_beyond_the_table_is_sent_to_the_hinge_makers_chart():
    advice = hinges_asked_for(Door("a", 600, 2300, 22))
    assert advice.words[0] == (
        "more than the table has for its weight of 22.5 kg, at least 3: ask the hinge maker's chart "
        "(one hinge maker's page; secondary source)"
    )


def test_settle_order_is_short_of_hinges_then_heavy_then_tall():
    doors = [
        Door("light", 400, 700, weight_kg=4, hinges_fitted=2),
        Door("short", 400, 1500, weight_kg=9, hinges_fitted=2),
        Door("heavy", 500, 2000, weight_kg=12, hinges_fitted=4),
        Door("tall", 400, 900, weight_kg=4, hinges_fitted=2),
        Door("unknown", 400, 800, weight_kg=5),
    ]
    ranks = settle_order(doors)
    assert [rank.door.key for rank in ranks] == ["short", "heavy", "unknown", "tall", "light"]
    assert ranks[0].reason == "2 hinges where 3 are asked for, 9.0 kg"
    assert ranks[2].reason == "hinges not noted; 2 asked for, 5.0 kg"


def test_settle_order_does_not_depend_on_the_order_given():
    doors = [Door(key, 400, 900, weight_kg=5, hinges_fitted=2) for key in "cab"]
    assert [rank.door.key for rank in settle_order(doors)] == ["a", "b", "c"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"width_mm": 0}, "Door width"),
        ({"height_mm": 9000}, "Door height"),
        ({"weight_kg": 0}, "Door weight"),
        ({"hinges_fitted": 40}, "Hinges: 40 cannot be right"),
        ({"board_key": "paper"}, "Board: “paper” is not known"),
    ],
)
def test_bad_input_is_named(change, words):
    sizes = {"key": "a", "width_mm": 400, "height_mm": 900} | change
    with pytest.raises(MeasureError) as error:
        hinges_asked_for(Door(**sizes))
    assert words in error.value.sentence
