from __future__ import annotations

import datetime as dt

import pytest

from jobs.models import Consignment, Piece, PiecePlace, StepKind, Subcontractor, Track
from jobs.queries import floor
from jobs.queries.places import where_it_stands
from jobs.queries.shadow_wall import shadow_wall
from tests.factories import NOW, make_commission, make_maker, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind
DOORS_AWAY = [*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT]


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


def only(shop):
    (one,) = where_it_stands(shop, NOW)
    return one


def send(commission, promised_on, **fields):
    sprayer = Subcontractor.objects.create(name=f"Brack & Vane {Subcontractor.objects.count()}")
    return Consignment.objects.create(
        commission=commission, subcontractor=sprayer, number=1, sent_at=NOW, promised_on=promised_on, **fields
    )


def make_pieces(commission, track, places):
    for number, place in enumerate(places, start=commission.pieces.count() + 1):
        Piece.objects.create(
            commission=commission, number=number, name="door", track=track, place=place,
            width_mm=400, height_mm=1800, depth_mm=22,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("done", "running", "place", "doors", "carcasses"),
    [
        ([], [], floor.PAPER, (False, ""), (False, "")),
        (up_to(K.DOORS), [K.DOORS], floor.BENCH, (True, ""), (False, "not made yet")),
        (DOORS_AWAY, [], floor.RACK, (False, "at sprayer, back Tue 23"), (False, "not made yet")),
        ([*DOORS_AWAY, K.MATERIALS], [K.CARCASSES], floor.BENCH, (False, "at sprayer, back Tue 23"), (True, "")),
        (
            [*DOORS_AWAY, K.MATERIALS, K.CARCASSES],
            [K.FINISH],
            floor.FINISHING,
            (False, "at sprayer, back Tue 23"),
            (True, ""),
        ),
        ([*up_to(K.MATERIALS), K.MATERIALS], [K.CARCASSES], floor.BENCH, (False, "on the rack"), (True, "")),
        (up_to(K.BOUGHT_IN), [], floor.RACK, (True, ""), (True, "")),
        (up_to(K.WRAP), [], floor.WRAP_BAY, (True, ""), (True, "")),
        (up_to(K.LOAD), [], floor.WRAP_BAY, (True, ""), (True, "")),
        (up_to(K.DELIVER), [], floor.VAN, (True, ""), (True, "")),
        (up_to(K.FIT), [], floor.HOMES, (True, ""), (True, "")),
    ],
)
def test_steps_say_where_each_half_is(shop, maker, done, running, place, doors, carcasses):
    """The rows are the journey of DESIGN 5, step by step."""
    make_commission(maker=maker, done=done, running=running)
    found = only(shop)
    assert found.place == place
    assert (found.doors.is_here, found.doors.note) == doors
    assert (found.carcasses.is_here, found.carcasses.note) == carcasses


def test_the_promised_day_wins_over_the_planned_one_and_a_past_one_is_late(shop, maker):
    one = make_commission(maker=maker, done=DOORS_AWAY)
    note = send(one, dt.date(2027, 3, 18))
    assert only(shop).doors.note == "at sprayer, back Thu 18"
    note.promised_on = dt.date(2027, 3, 8)
    note.save()
    assert (only(shop).doors.note, only(shop).doors.is_late) == ("at sprayer, due Mon 8", True)


def test_what_came_back_in_part_is_hollow(shop, maker):
    """A consignment that is still out, though the step says that doors are back: a re-do."""
    one = make_commission(maker=maker, done=up_to(K.BOUGHT_IN))
    send(one, dt.date(2027, 3, 18))
    assert (only(shop).doors.is_here, only(shop).doors.note) == (False, "some at sprayer, back Thu 18")
    assert only(shop).carcasses.is_here


def test_pieces_noted_elsewhere_make_a_half_hollow(shop, maker):
    one = make_commission(maker=maker, done=up_to(K.LOAD), running=[K.LOAD])
    make_pieces(one, Track.CARCASSES, [PiecePlace.VAN, PiecePlace.VAN, PiecePlace.WORKSHOP])
    make_pieces(one, Track.DOORS, [PiecePlace.WORKSHOP, PiecePlace.NOT_MADE])
    found = only(shop)
    assert (found.carcasses.is_here, found.carcasses.note) == (False, "2 of 3 in the van")
    assert found.doors.is_here


def test_a_piece_noted_at_the_sprayer_counts_only_while_something_is_out(shop, maker):
    one = make_commission(maker=maker, done=up_to(K.BOUGHT_IN))
    make_pieces(one, Track.CARCASSES, [PiecePlace.SPRAYER, PiecePlace.WORKSHOP])
    assert only(shop).carcasses.is_here
    send(one, dt.date(2027, 3, 18))
    assert only(shop).carcasses.note == "1 of 2 at sprayer"


def test_what_only_waits_for_its_return_visit_is_gone_from_the_floor(shop, maker):
    make_commission(maker=maker, done=up_to(K.RETURN_VISIT))
    assert where_it_stands(shop, NOW) == []


def test_places_count_what_is_in_them_and_say_when_it_is_too_much(shop, maker):
    shop.sprayer_lots, shop.room_on_rack = 1, None
    for _ in range(2):
        make_commission(maker=maker, done=DOORS_AWAY, nickname="Mill Row")
    places = {one.place.key: one for one in shadow_wall(shop, NOW).places}
    sprayer, rack = places[floor.SPRAYER], places[floor.RACK]
    assert (sprayer.count, sprayer.is_over, sprayer.count_words) == (2, True, "2, room for 1")
    assert {one.words for one in sprayer.guests} == {"doors, back Tue 23"}
    # They hang on the rack, hollow: nothing of them is there.
    assert (len(rack.shapes), rack.count, rack.count_words, rack.is_over) == (2, 0, "0", False)


def test_more_than_there_are_pegs_are_counted_and_stand_in_the_list(shop, maker):
    for _ in range(9):
        make_commission(maker=maker, done=up_to(K.BOUGHT_IN))
    (rack,) = [one for one in shadow_wall(shop, NOW).places if one.place.key == floor.RACK]
    assert len(rack.standings) == 9 and len(rack.shapes) == 6
    assert rack.more_words == "and 3 more, in the list"
    assert len({(shape.x, shape.y) for shape in rack.shapes}) == 6


@pytest.mark.parametrize("count", [1, 12])
def test_eight_queries_whatever_the_size(shop, maker, django_assert_num_queries, count):
    for _ in range(count):
        one = make_commission(maker=maker, done=DOORS_AWAY)
        send(one, dt.date(2027, 3, 18))
        make_pieces(one, Track.DOORS, [PiecePlace.SPRAYER])
    with django_assert_num_queries(8):
        assert len(shadow_wall(shop, NOW).places) == 8
