from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.carrying.weights import BOARDS, Panel, board_named, weigh_area, weigh_panels
from jobs.pure_errors import MeasureError


def test_typed_weight_wins_over_panels():
    weight = weigh_panels([Panel(2300, 600, 18, "mdf", 2)], typed_kg=41.5)
    assert (weight.weight_kg, weight.words) == (41.5, "weight as typed; it wins over the reckoning")


def test_panels_of_two_boards_add_up_and_name_both():
    weight = weigh_panels([Panel(1000, 1000, 18, "mdf", 2), Panel(1000, 1000, 6, "birch_ply")], fittings_kg=1.5)
    # By hand: 2 x 13.32 + 4.08 + 1.5
    assert weight.weight_kg == pytest.approx(32.22)
    assert "MDF 740" in weight.words and "birch plywood 680" in weight.words and "fittings 1.5 kg" in weight.words
    assert "from memory" in weight.words


def test_area_agrees_with_panels():
    by_area = weigh_area(2.76, 18, "mdf")
    by_panels = weigh_panels([Panel(2300, 600, 18, "mdf", 2)])
    assert by_area.weight_kg == pytest.approx(by_panels.weight_kg)


def test_no_panels_is_not_recorded_rather_than_nought():
    assert weigh_panels([]).weight_kg is None


def test_every_board_says_where_its_density_comes_from():
    assert all(board.source and board.status in ("secondary source", "from memory") for board in BOARDS.values())


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Panel(0, 600, 18, "mdf"), "Panel length"),
        (lambda: Panel(2300, -1, 18, "mdf"), "Panel width"),
        (lambda: Panel(2300, 600, 0, "mdf"), "Thickness"),
        (lambda: Panel(2300, 600, 18, "lead"), "Board"),
        (lambda: Panel(2300, 600, 18, "mdf", 0), "Panel count"),
        (lambda: weigh_area(-2, 18, "mdf"), "Board area"),
        (lambda: weigh_area(2, 18, "mdf", fittings_kg=-1), "Fittings"),
        (lambda: weigh_area(2, 18, "mdf", typed_kg=0), "Weight"),
        (lambda: board_named(""), "Board"),
    ],
)
def test_bad_figures_name_their_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field


@given(st.integers(1, 3000), st.integers(1, 3000), st.integers(1, 50), st.sampled_from(sorted(BOARDS)))
def test_halving_a_panel_loses_no_weight(length_mm, width_mm, thickness_mm, board):
    whole = weigh_panels([Panel(2 * length_mm, width_mm, thickness_mm, board)])
    halves = weigh_panels([Panel(length_mm, width_mm, thickness_mm, board, 2)])
    assert halves.weight_kg == pytest.approx(whole.weight_kg)
