from __future__ import annotations

import datetime as dt

import pytest

from jobs.models import Absence, StepKind
from jobs.queries.friday import friday_sheet
from tests.factories import NOW, make_commission, make_maker, make_visit, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind
DOORS_AWAY = [*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS, K.CARCASSES, K.FINISH, K.BOUGHT_IN]


@pytest.fixture
def shop():
    return make_workshop(hands=1, floor_places=4, sprayer_lots=2)


@pytest.fixture
def maker():
    return make_maker()


def sheet(shop, *chosen):
    return friday_sheet(shop, NOW, chosen)[0]


@pytest.mark.parametrize("count", [1, 12])
def test_six_queries_whatever_the_size(shop, maker, django_assert_num_queries, count):
    for _ in range(count):
        make_visit(make_commission(maker=maker))
    with django_assert_num_queries(6):
        assert len(sheet(shop).lines) >= 1


def test_four_lots_at_the_sprayer_bunch_where_there_is_room_for_two(shop, maker):
    """All left on Monday 8 March: ten working days are over on Monday 22, from Tuesday 9 on."""
    for _ in range(4):
        make_commission(maker=maker, done=DOORS_AWAY)
    found = sheet(shop)
    assert found.bunches[0] == "Sprayer: 4 at once Mon 8 to Mon 22, room for 2"
    row = next(row for row in found.places if row.words == "Sprayer")
    assert [cell.words for cell in row.cells[:4]] == [
        "4 in, room for 2",
        "4 in, room for 2",
        "4 in, room for 2",
        "empty",
    ]
    assert [cell.over for cell in row.cells[:4]] == [2, 2, 2, 0]


def test_late_ones_are_heavy_and_named_and_a_chosen_one_takes_their_place(shop, maker):
    late = make_commission(maker=maker, nickname="Tannery", promised={K.HANDOVER: dt.date(2027, 3, 19)})
    other = make_commission(maker=maker, nickname="Mill Row", done=up_to(K.WRAP))
    found = sheet(shop)
    assert [(line.nickname, line.is_late) for line in found.heavy] == [("Tannery", True)]
    assert found.lines[0].late_words.endswith("late")
    assert [line.number for line in sheet(shop, other.number).heavy] == [other.number]
    assert late.number in [line.number for line in sheet(shop, other.number).late]


def test_room_is_what_is_left_of_the_hands_from_now_on(shop, maker):
    """A Wednesday morning: five half-days are left of the week... and the afternoon and morning of Wednesday, six in
    all; wrapping takes one of them, loading one, carrying in one, and fitting begins on the Friday."""
    make_commission(maker=maker, done=up_to(K.WRAP))
    this_week = sheet(shop).hands[0]
    assert this_week.there == 6
    assert this_week.taken == 6
    assert this_week.words == "full"
    last = sheet(shop).hands[-1]
    assert last.taken == 0
    assert sheet(shop).room[-1].endswith(": 5 days")


def test_nobody_there_while_the_maker_is_away(shop, maker):
    make_commission(maker=maker)
    Absence.objects.create(person=maker, first_day=dt.date(2027, 3, 15), last_day=dt.date(2027, 3, 19))
    assert sheet(shop).hands[1].words == "nobody there"


def test_held_ones_are_not_on_the_sheet_and_refused_ones_are_named(shop, maker):
    make_commission(maker=maker, nickname="Held", held_since=NOW.date())
    bad = make_commission(maker=maker, nickname="Bad")
    bad.steps.filter(kind=K.DOORS).update(hands=4)
    make_commission(maker=maker, nickname="Good")
    found = sheet(shop)
    assert [line.nickname for line in found.lines] == ["Bad", "Good"]
    assert "asks for 4" in found.refused[0].refused_because
