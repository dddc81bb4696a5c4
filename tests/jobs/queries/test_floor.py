"""The geometry of the floor, held against brute force: nothing overlaps, nothing moves that need not."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.queries.floor import (
    HEIGHT,
    OUTER_WALL,
    PEG_HEIGHT,
    PEG_WIDTH,
    PLACES,
    SHAPE_HEIGHT,
    SHAPE_WIDTH,
    WIDTH,
    code_of,
    hang,
)


def boxes_apart(one, other):
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def box(x, y, width, height):
    return x, y, x + width, y + height


def test_places_lie_apart_and_within_the_drawing():
    boxes = [box(one.x, one.y, one.width, one.height) for one in PLACES]
    assert all(boxes_apart(one, other) for one, other in combinations(boxes, 2))
    assert all(min(left, top) >= 0 and right <= WIDTH and bottom <= HEIGHT for left, top, right, bottom in boxes)


def test_the_outer_wall_goes_round_the_workshop_and_leaves_the_islands_out():
    wall = box(*OUTER_WALL)
    for place in PLACES:
        left, top, right, bottom = box(place.x, place.y, place.width, place.height)
        inside = wall[0] < left and wall[1] < top and right < wall[2] and bottom < wall[3]
        assert inside != place.is_island
        assert inside or boxes_apart(wall, (left, top, right, bottom))


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.key)
def test_pegs_lie_apart_and_within_their_place(place):
    pegs = [box(place.peg(one).x, place.peg(one).y, PEG_WIDTH, PEG_HEIGHT) for one in range(place.pegs)]
    assert all(boxes_apart(one, other) for one, other in combinations(pegs, 2))
    outer = box(place.x, place.y, place.width, place.height)
    assert all(
        one[0] >= outer[0] and one[1] >= outer[1] and one[2] <= outer[2] and one[3] <= outer[3] for one in pegs
    )
    for wrong in (-1, place.pegs):
        with pytest.raises(IndexError):
            place.peg(wrong)


def test_a_shape_fits_its_peg():
    assert SHAPE_WIDTH < PEG_WIDTH and SHAPE_HEIGHT < PEG_HEIGHT


numbers = st.sets(st.integers(1, 400), max_size=20)


@given(numbers, st.integers(1, 12))
def test_each_has_a_peg_of_its_own_and_as_many_as_there_are(found, pegs):
    hung = hang(found, pegs)
    assert len(set(hung.values())) == len(hung) == min(len(found), pegs)
    assert all(0 <= peg < pegs for peg in hung.values())


@given(numbers, st.integers(1, 12), st.integers(1, 50))
def test_a_later_commission_moves_nobody(found, pegs, further):
    before = hang(found, pegs)
    after = hang(found | {max(found, default=0) + further}, pegs)
    assert {number: after[number] for number in before} == before


@given(numbers, st.integers(1, 12))
def test_one_that_leaves_moves_nobody_who_hangs_on_their_own_peg(found, pegs):
    before = hang(found, pegs)
    for gone in found:
        after = hang(found - {gone}, pegs)
        own = [number for number, peg in before.items() if number != gone and peg == number % pegs]
        assert all(after[number] == before[number] for number in own)


@pytest.mark.parametrize(
    ("nickname", "code"),
    [
        ("Mill Row", "MR"),
        ("Tannery", "TA"),
        ("12 Élan St", "ÉS"),
        ("7", "XX"),
        ("", "XX"),
        ("Q", "QQ"),
        ("old  mill", "OM"),
    ],
)
def test_two_letters(nickname, code):
    assert code_of(nickname) == code
