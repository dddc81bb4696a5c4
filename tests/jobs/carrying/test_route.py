from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.carrying.clearances import best_hold
from jobs.carrying.places import Ceiling, Corridor, Door, Landing, Lift, Margins, RoutePiece, Stairs, Turn
from jobs.carrying.route import check_point, piece_report, route_report
from jobs.carrying.turning import longest_round_corner
from jobs.pure_errors import MeasureError

CARCASS = RoutePiece("Carcass A", 640, 2340, 620)
PLINTH = RoutePiece("Plinth", 2000, 100, 40, stands_up=False)
ROUTE = [
    Door("Front door", 762, 1981),
    Corridor("Hall", 900, 2400),
    Stairs("Stairs", 850, 2000),
    Landing("First landing", 900, 900, 2300),
    Ceiling("Bedroom", 2400),
]


@pytest.mark.parametrize(("width", "verdict"), [(650, "pass"), (649, "tight"), (620, "tight"), (619, "will_not_go")])
def test_door_keeps_thirty_millimetres(width, verdict):
    check = check_point(CARCASS, Door("Door", width, 1981))
    assert (check.verdict, check.clearance_mm) == (verdict, width - 620)


def test_door_takes_the_two_smaller_sizes_either_way_up():
    assert check_point(RoutePiece("Wide", 1900, 500, 100), Door("Door", 700, 1981)).clearance_mm == 600
    assert check_point(RoutePiece("Tall", 700, 2400, 1800), Door("Door", 762, 1981)).clearance_mm == 62


def test_sentence_names_place_numbers_and_margin():
    check = check_point(CARCASS, Door("Front door", 640, 1981))
    assert check.sentence == (
        "Front door (door): tight, 20 mm to spare where 30 mm is wanted: smaller wrapped sizes 620 x 640 mm "
        "against a clear opening of 640 x 1981 mm."
    )


def test_stairs_take_headroom_square_to_the_flight():
    # cos 42 degrees = 0.743145 (printed tables): 2000 mm plumb is 1486.3 mm square to the flight.
    sheet = RoutePiece("Sheet", 2440, 1500, 20, stands_up=False)
    check = check_point(sheet, Stairs("Stairs", 850, 2000))
    assert (check.verdict, round(check.clearance_mm, 1)) == ("will_not_go", -13.7)


def test_turn_lets_a_panel_round_on_edge_that_would_not_go_flat():
    panel = RoutePiece("Panel", 2400, 700, 25)
    hold = best_hold(panel, Turn("Turn", 900, 900, 2100))
    assert (hold.long_mm, hold.short_mm, hold.upright_mm) == (2400, 25, 700)
    assert check_point(panel, Turn("Turn", 900, 900, 2100)).verdict == "pass"
    assert check_point(panel, Turn("Turn", 900, 900, 690)).verdict == "will_not_go"


def test_turn_agrees_with_corner_formula_to_the_millimetre():
    turn = Turn("Turn", 900, 800, 2000)
    longest = int(longest_round_corner(900, 800, 600))
    none = Margins(turn_mm=0)
    assert check_point(RoutePiece("Goes", longest, 600, 1900), turn, none).verdict == "pass"
    assert check_point(RoutePiece("Not", longest + 1, 600, 1900), turn, none).verdict == "will_not_go"


def test_short_piece_shifts_sideways_without_turning():
    hold = best_hold(RoutePiece("Chest", 880, 880, 1900), Turn("Turn", 900, 900, 2200))
    assert (hold.way, hold.flat_mm) == ("sideways", 20)


def test_standing_on_end_in_a_passage_counts_the_diagonal():
    hold = best_hold(CARCASS, Turn("Turn", 900, 900, 2400))
    assert hold.upright_mm == 2340
    assert hold.above_mm == pytest.approx(2400 - (2340**2 + 620**2) ** 0.5)


def test_lift_car_takes_a_piece_leaning():
    lift = Lift("Lift", 800, 2000, 1100, 1400, 2100)
    long_thin = RoutePiece("Rail", 2300, 60, 40, stands_up=False)
    assert max(lift.car_width_mm, lift.car_depth_mm, lift.car_height_mm) < 2300
    assert check_point(long_thin, lift).verdict == "pass"
    assert check_point(CARCASS, lift).verdict == "will_not_go"


def test_lying_piece_is_not_stood_up():
    assert check_point(RoutePiece("Worktop", 3000, 40, 620, stands_up=False), Ceiling("Room", 2300)).verdict == "pass"


def test_report_names_the_piece_that_will_not_go_and_the_place():
    report = route_report([CARCASS, PLINTH], ROUTE)
    assert report.sentence == "1 of 2 pieces pass; 1 will not go (Carcass A)."
    stopped = report.with_verdict("will_not_go")
    assert [(entry.piece.name, entry.tightest.point.name) for entry in stopped] == [("Carcass A", "First landing")]
    assert stopped[0].sentence.startswith("Carcass A will not go. First landing (landing): will not go, 121 mm")
    assert report.tightest is stopped[0]
    assert "rule of thumb" in report.basis


def test_route_without_places_is_refused_rather_than_passed():
    with pytest.raises(MeasureError, match="no places are measured"):
        piece_report(CARCASS, [])


def test_no_pieces_is_said():
    assert route_report([], ROUTE).sentence == "No pieces to check against the route."


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Door("Door", 0, 1981), "Door, width"),
        (lambda: Door("Door", 762, 2), "Door, height"),
        (lambda: Turn("Turn", 900, -900, 2000), "Turn, width out"),
        (lambda: Stairs("Stairs", 850, 2000, pitch_deg=80), "Stairs, pitch"),
        (lambda: RoutePiece("Side", 600, 0, 18), "Side, wrapped height"),
        (lambda: Margins(door_mm=-1), "Margin, door"),
        (lambda: Lift("Lift", 800, 2000, 1100, 1400, 2.1), "Lift, car height"),
    ],
)
def test_bad_measure_names_its_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field


size = st.integers(20, 3000)
opening = st.integers(300, 3000)
places = st.one_of(
    st.builds(Door, st.just("P"), opening, opening),
    st.builds(Corridor, st.just("P"), opening, opening),
    st.builds(Turn, st.just("P"), opening, opening, opening),
    st.builds(Landing, st.just("P"), opening, opening, opening),
    st.builds(Stairs, st.just("P"), opening, opening),
    st.builds(Lift, st.just("P"), opening, opening, opening, opening, opening),
    st.builds(Ceiling, st.just("P"), opening),
)
RANK = {"will_not_go": 0, "tight": 1, "pass": 2}


@settings(max_examples=300, deadline=None)
@given(places, size, size, size, st.integers(0, 300), st.integers(0, 300), st.integers(0, 300), st.booleans())
def test_bigger_piece_never_passes_where_a_smaller_fails(point, w, h, d, more_w, more_h, more_d, stands_up):
    small = check_point(RoutePiece("Small", w, h, d, stands_up), point)
    big = check_point(RoutePiece("Big", w + more_w, h + more_h, d + more_d, stands_up), point)
    assert RANK[big.verdict] <= RANK[small.verdict]
    assert big.clearance_mm <= small.clearance_mm + 1e-3


@settings(max_examples=200, deadline=None)
@given(opening, opening, st.integers(20, 2900), st.integers(20, 2900))
def test_gap_at_the_corner_and_longest_length_give_the_same_answer(a, b, length, width):
    length, width = max(length, width), min(length, width)
    none = Margins(turn_mm=0)
    turn = Turn("Turn", a, b, 30_000)
    swings = width < min(a, b) and length <= longest_round_corner(a, b, width)
    sideways = (width <= a and length <= b) or (width <= b and length <= a)
    low = Turn("Low", a, b, max(width, 200))
    piece = RoutePiece("Flat", length, width, width)
    assert (check_point(piece, low, none).verdict == "pass") == (swings or sideways or _on_end(piece, low))
    assert check_point(piece, turn, none).clearance_mm >= check_point(piece, low, none).clearance_mm


def _on_end(piece: RoutePiece, turn: Turn) -> bool:
    """The only other way of holding a bar: square section flat, standing on end."""
    square = piece.depth_mm
    plan = square <= min(turn.width_in_mm, turn.width_out_mm)
    return plan and (piece.width_mm**2 + square**2) ** 0.5 <= turn.headroom_mm
