from __future__ import annotations

import datetime as dt

import pytest

from jobs.models import StepKind
from jobs.queries.board import Answer, job_board, wall_reason
from jobs.queries.board_words import Said
from tests.factories import (
    NOW,
    TODAY,
    make_access,
    make_client,
    make_commission,
    make_maker,
    make_visit,
    make_workshop,
    up_to,
)

pytestmark = pytest.mark.django_db
K = StepKind
DOORS_AWAY = [*up_to(K.DOORS), K.DOORS, K.SPRAYER_OUT, K.MATERIALS]


@pytest.fixture
def shop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


def at(day, hour=8, minute=30):
    return dt.datetime(2027, 3, day, hour, minute, tzinfo=dt.UTC)


def only_row(shop):
    (row,) = job_board(shop, NOW).rows
    return row


def words(row):
    return [said.words for said in row.sentences]


@pytest.mark.parametrize("count", [1, 3])
def test_six_queries(shop, maker, django_assert_num_queries, count):
    for _ in range(count):
        commission = make_commission(maker=maker, done=DOORS_AWAY)
        make_visit(commission, starts_at=at(30))
        make_access(commission)
    with django_assert_num_queries(6):
        assert len(job_board(shop, NOW).rows) == count


def test_rows_stand_in_the_order_of_their_next_fixed_day(shop, maker):
    """Booked visits, promises and the sprayer's day count alike; without any, by number; held ones last."""
    held = make_commission(maker=maker, nickname="Held", held_since=TODAY)
    undated = make_commission(maker=maker, nickname="Undated")
    promised = make_commission(maker=maker, nickname="Promised", promised={K.HANDOVER: dt.date(2027, 3, 24)})
    booked = make_commission(maker=maker, nickname="Booked")
    make_visit(booked, kind="survey", starts_at=at(23))
    sprayer = make_commission(maker=maker, nickname="Sprayer", done=[*up_to(K.DOORS), K.DOORS])
    sprayer.steps.filter(kind=K.SPRAYER_OUT).update(latest_on=dt.date(2027, 3, 22))
    rows = job_board(shop, NOW).rows
    assert [row.nickname for row in rows] == ["Sprayer", "Booked", "Promised", "Undated", "Held"]
    assert [row.number for row in rows] == [
        sprayer.number, booked.number, promised.number, undated.number, held.number
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("done", "running", "expected"),
    [
        ([], [], ["Book the survey"]),
        ([K.SURVEY], [], ["Draw, by Thu 11"]),
        ([K.SURVEY], [K.DRAWING], ["Drawing done Wed 10"]),
        (up_to(K.APPROVAL), [], ["Waiting for the go-ahead"]),
        (up_to(K.DOORS), [], ["Make doors, by Fri 12", "Order materials and bought-in parts"]),
        # The dry fit is held back until the doors come, to keep the floor free.
        (DOORS_AWAY, [K.CARCASSES, K.BOUGHT_IN], ["Doors due back Tue 23", "Carcasses done Mon 22"]),
        (
            [*DOORS_AWAY, K.CARCASSES],
            [K.FINISH],
            ["Doors due back Tue 23", "Carcasses done Thu 11", "Order bought-in parts"],
        ),
        (up_to(K.WRAP), [], ["Wrap, by Wed 10"]),
        (up_to(K.FIT), [K.FIT], ["Fitting until Wed 10"]),
        (up_to(K.HANDOVER), [], ["Hand over, by Wed 10"]),
    ],
)
def test_what_is_wanted_next_is_a_plain_sentence(shop, maker, done, running, expected):
    """Counted by hand from the morning of Wednesday 10 in half-days of four hours; what runs began on Monday 8."""
    make_commission(maker=maker, done=done, running=running)
    found = words(only_row(shop))
    assert found == expected


def test_carrying_in_names_the_hour_we_are_let_in_and_nobody(shop, maker):
    commission = make_commission(maker=maker, done=up_to(K.DELIVER))
    make_visit(commission, starts_at=at(11))
    make_access(commission)
    row = only_row(shop)
    assert words(row) == ["Carry in Thu 11, let in 8:30 to 9:15"]
    assert "Marchbanks" not in repr(row)


def test_a_visit_gone_by_and_not_ticked_is_asked_about(shop, maker):
    commission = make_commission(maker=maker, done=up_to(K.DELIVER))
    make_visit(commission, starts_at=at(9))
    assert only_row(shop).sentences[0] == Said("Carry in was booked for Tue 9: done?", is_late=True)


def test_overdue_doors_are_late_and_waited_for(shop, maker):
    make_commission(
        maker=maker, nickname="Bridge", done=DOORS_AWAY, done_at=dt.datetime(2027, 2, 8, 10, tzinfo=dt.UTC)
    )
    board = job_board(shop, NOW)
    assert board.rows[0].sentences[0] == Said("Doors were due back Tue 23 Feb", is_late=True)
    assert board.rows[0].cord.lines[-1].kind in ("overdue", "here")
    assert "overdue" in {line.kind for line in board.rows[0].cord.lines}
    assert board.late == (Answer("Bridge", "Doors were due back Tue 23 Feb"),)
    assert board.waiting == (Answer("Bridge", "▲ doors"),)


def test_slack_in_words_and_the_knot_of_a_short_one(shop, maker):
    done = [kind for kind in up_to(K.WRAP) if kind not in (K.SPRAYER_BACK, K.INSPECT)]
    commission = make_commission(maker=maker, nickname="Orchard End", done=done)
    make_visit(commission, starts_at=at(23))
    board = job_board(shop, NOW)
    (row,) = board.rows
    assert (row.slack_words, row.is_short, row.cord.is_short) == ("1½ days short", True, True)
    assert [line.kind for line in row.cord.backs] == ["short"]
    assert board.late == (Answer("Orchard End", "1½ days short"),)


def test_a_held_commission_says_so_and_not_why(shop, maker):
    make_commission(maker=maker, held_since=dt.date(2027, 2, 22), hold_reason="Mrs Quennell is ill")
    row = only_row(shop)
    assert (words(row), row.slack_words) == (["On hold since Mon 22 Feb"], "on hold")
    assert row.cord.is_empty
    assert "ill" not in repr(row)


def test_later_ones_are_counted_not_drawn(shop, maker):
    make_commission(maker=maker)
    for _ in range(5):
        later = make_commission(maker=maker, promised={K.DELIVER: dt.date(2027, 12, 1)})
        later.steps.filter(kind=K.SURVEY).update(earliest_on=dt.date(2027, 6, 1))
    board = job_board(shop, NOW)
    assert (len(board.rows), board.later_count) == (1, 5)


def test_handed_over_ones_are_below_with_their_return_visit(shop, maker):
    def handed_over(name):
        return make_commission(maker=maker, nickname=name, done=up_to(K.RETURN_VISIT))

    make_visit(
        handed_over("Weir"),
        kind="return",
        starts_at=at(19, 9, 5),
        reasons="The photo window 8:50 to 9:25 falls within the visit.",
    )
    make_visit(handed_over("Chapel"), kind="return", starts_at=at(18, 11, 0), reasons="No photo window; near 10:00.")
    make_visit(
        handed_over("Smithy"), kind="return", starts_at=None, state="to_arrange", reasons="No access on Fridays."
    )
    board = job_board(shop, NOW)
    assert board.rows == ()
    assert [(line.when, line.nickname, line.words) for line in board.returns] == [
        ("Thu 18, 11:00", "Chapel", ""),
        ("Fri 19, 9:05", "Weir", "The photo window 8:50 to 9:25 falls within the visit."),
    ]
    assert [(line.nickname, line.words) for line in board.to_arrange] == [("Smithy", "No access on Fridays.")]
    assert board.next_up == Answer("Chapel", "Return visit Thu 18, 11:00")


def test_many_return_visits_are_counted(shop, maker):
    for _ in range(8):
        make_visit(make_commission(maker=maker, done=up_to(K.RETURN_VISIT)), kind="return", starts_at=at(19))
    board = job_board(shop, NOW)
    assert (len(board.returns), board.returns_more) == (6, 2)


def test_the_wall_never_says_who_is_away(shop, maker):
    visit = make_visit(make_commission(maker=maker), kind="return", starts_at=None, state="to_arrange")
    visit.reasons = "3 days: client away."
    assert wall_reason(visit) == "No day in its weeks suits everybody. The reasons are on its page."
    visit.reasons = ""
    assert wall_reason(visit) == "No day in its weeks suits everybody. The reasons are on its page."


def test_closed_ones_are_gone_and_finished_ones_ask_to_be_closed(shop, maker):
    every = [*up_to(K.RETURN_VISIT), K.RETURN_VISIT]
    make_commission(maker=maker, closed_on=TODAY)
    make_commission(maker=maker, done=every, done_at=NOW - dt.timedelta(days=100))
    assert words(only_row(shop)) == ["Everything is done"]


def test_one_that_cannot_be_planned_says_so(shop, maker):
    commission = make_commission(maker=maker)
    commission.steps.filter(kind=K.CARCASSES).update(allowance_hours=9000)
    row = only_row(shop)
    assert row.sentences == (Said("Its steps cannot be planned: look at its page", is_late=True),)


def test_drawing_is_told_in_words_too(shop, maker):
    commission = make_commission(
        maker=maker, client=make_client(), done=[kind for kind in up_to(K.WRAP) if kind != K.DRY_FIT]
    )
    make_visit(commission, starts_at=at(22))
    said = only_row(shop).cord_words
    assert said[0] == "Doors: Sun 7 to Mon 8, away Sun 7 to Mon 8."
    # Half-days: carried in 1, fitted 6, snags 1, which fills four days; then Easter, and handover on the Tuesday.
    assert said[-1] == "On site: Mon 22 to Tue 30."


def test_what_is_late_only_because_others_come_first_says_so(maker):
    """Two sets of doors for one pair of hands, both promised for Friday 12, five half-days each: the first is made
    from Wednesday to Friday morning and taken to the sprayer that afternoon, the second from Monday on."""
    shop = make_workshop(hands=1)
    for name in ("Chapel", "Smithy"):
        make_commission(maker=maker, nickname=name, done=up_to(K.DOORS), promised={K.DOORS: dt.date(2027, 3, 12)})
    (late,) = [row for row in job_board(shop, NOW).rows if row.is_late]
    assert words(late)[0] == "The plan has no room for it in time"
    assert late.slack_words == "2½ days late"
