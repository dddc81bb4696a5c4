from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.carrying.van import LoadPiece, Van, plan_loads, smallest_van_for
from jobs.pure_errors import MeasureError

VAN = Van("the long van", 900, 3400, 1700, 1900)


def piece(key: str, weight: float | None = 30, order: int = 1, size=(600, 2300, 600), fragile=False) -> LoadPiece:
    return LoadPiece(key, f"Piece {key}", weight, *size, order, fragile)


def test_load_order_is_the_reverse_of_the_fitting_order():
    plan = plan_loads([piece("a", order=1), piece("b", order=3), piece("c", order=2, fragile=True)], VAN)
    assert [line.piece.key for line in plan.loads[0].lines] == ["b", "c", "a"]
    assert [(line.position, line.on_top) for line in plan.loads[0].lines] == [(1, False), (2, True), (3, False)]
    assert plan.loads[0].lines[1].words == "fragile: on top, nothing over it"
    assert plan.loads[0].weight_kg == 90


def test_people_and_kit_come_off_the_payload():
    pieces = [piece(str(number), 100, number, (300, 300, 300)) for number in range(9)]
    assert len(plan_loads(pieces, VAN).loads) == 1
    assert len(plan_loads(pieces, VAN, people_and_kit_kg=250).loads) == 2


def test_volume_fills_a_van_before_weight_does():
    # 3.4 x 1.7 x 1.9 m = 10.98 m3, 70 per cent is 7.69 m3; a piece of 0.828 m3 goes in nine times.
    pieces = [piece(str(number), 20, number) for number in range(10)]
    plan = plan_loads(pieces, VAN)
    assert [len(load.lines) for load in plan.loads] == [9, 1]
    assert plan.loads[0].volume_m3 == pytest.approx(9 * 0.828)


def test_first_needed_pieces_go_in_the_first_load():
    plan = plan_loads([piece("late", 500, 9, (500, 500, 500)), piece("early", 450, 1, (500, 500, 500))], VAN)
    assert [load.lines[0].piece.key for load in plan.loads] == ["early", "late"]


def test_pieces_that_cannot_go_are_named_with_the_reason():
    long, heavy, unknown = piece("long", size=(3500, 100, 100)), piece("heavy", 901), piece("unknown", None)
    plan = plan_loads([long, heavy, unknown, piece("fine")], VAN)
    assert [entry.piece.key for entry in plan.left_out] == ["long", "heavy", "unknown"]
    assert plan.left_out[0].sentence == (
        "Piece long (100 x 100 x 3500 mm wrapped) does not go into the long van (1700 x 1900 x 3400 mm)."
    )
    assert "above the 900 kg" in plan.left_out[1].sentence
    assert "no weight recorded" in plan.left_out[2].sentence
    assert plan.longest is long
    assert all(entry.sentence in plan.sentence for entry in plan.left_out)


def test_smallest_van_is_chosen_and_a_piece_larger_than_any_gets_a_sentence():
    small = Van("the small van", 600, 1800, 1200, 1100)
    assert smallest_van_for(piece("short", size=(600, 600, 600)), [VAN, small]) is small
    assert smallest_van_for(piece("tall"), [VAN, small]) is VAN
    with pytest.raises(MeasureError) as caught:
        smallest_van_for(piece("huge", size=(2000, 2000, 2000)), [VAN, small])
    assert caught.value.field == "Van"
    assert caught.value.sentence == (
        "Van: no van takes Piece huge. Piece huge (2000 x 2000 x 2000 mm wrapped) does not go into the long van "
        "(1700 x 1900 x 3400 mm). Split the piece or hire a larger van."
    )


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Van("Van", 0, 3400, 1700, 1900), "Van, payload"),
        (lambda: Van("Van", 900, 3, 1700, 1900), "Van, length"),
        (lambda: piece("x", -3), "Piece x, weight"),
        (lambda: piece("x", size=(0, 1, 1)), "Piece x, wrapped width"),
        (lambda: plan_loads([piece("x"), piece("x")], VAN), "Pieces"),
        (lambda: plan_loads([], VAN, people_and_kit_kg=900), "People and kit"),
        (lambda: plan_loads([], VAN, people_and_kit_kg=-1), "People and kit"),
        (lambda: smallest_van_for(piece("x"), []), "Van"),
    ],
)
def test_bad_figures_name_their_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field


loads = st.lists(
    st.tuples(
        st.none() | st.floats(0.1, 1200),
        st.integers(10, 4000),
        st.integers(10, 2500),
        st.integers(10, 2000),
        st.integers(1, 40),
    ),
    max_size=40,
)


@settings(deadline=None, max_examples=150)
@given(loads, st.floats(0, 400))
def test_no_load_exceeds_the_van_and_every_piece_is_placed_exactly_once(rows, kit_kg):
    pieces = [LoadPiece(str(key), f"P{key}", w, a, b, c, order) for key, (w, a, b, c, order) in enumerate(rows)]
    plan = plan_loads(pieces, VAN, people_and_kit_kg=kit_kg)
    for load in plan.loads:
        assert sum(line.piece.weight_kg for line in load.lines) + kit_kg <= VAN.payload_kg + 1e-6
        assert sum(line.piece.volume_mm3 for line in load.lines) <= VAN.usable_mm3
        orders = [line.piece.fitting_order for line in load.lines]
        assert orders == sorted(orders, reverse=True)
    placed = [line.piece.key for load in plan.loads for line in load.lines]
    assert sorted(placed + [entry.piece.key for entry in plan.left_out]) == sorted(entry.key for entry in pieces)
    assert plan.loads == plan_loads(list(reversed(pieces)), VAN, people_and_kit_kg=kit_kg).loads


def test_piece_of_more_volume_than_the_van_can_use_is_named():
    plan = plan_loads([piece("block", 50, size=(1700, 3300, 1850))], VAN)
    assert "is more than the 7.7 m3 the long van can hold" in plan.left_out[0].sentence
