"""Geometry of the string-line, worked out by hand: 18 px a half-day from x = 150, lanes of 17 px."""

from __future__ import annotations

import datetime as dt
from random import Random

from jobs.queries.stays import Columns, Place, Stay, counts, merged
from jobs.queries.string_line import HEAD, LANE, PAD, draw, lanes_of

MONDAY = dt.date(2027, 3, 8)
DAYS = tuple(MONDAY + dt.timedelta(days=offset) for offset in (0, 1, 2, 3, 4, 7, 8, 9, 10, 11))
COLUMNS = Columns(DAYS)
BENCH, SPRAYER = Place("bench", "Bench", 1), Place("sprayer", "Sprayer", 2)


def day(number):
    return MONDAY + dt.timedelta(days=number)


def stay(owner, place, first, last, strand="doors", first_half=0, last_half=1):
    return Stay(owner, place, strand, day(first), first_half, day(last), last_half)


def test_columns_of_days_drawn_and_of_days_between():
    assert (COLUMNS.count, COLUMNS.starts(day(0), 1), COLUMNS.ends(day(0), 0)) == (20, 1, 1)
    assert COLUMNS.starts(day(5), 1) == COLUMNS.starts(day(7), 0) == 10  # a Saturday is drawn as the Monday
    assert COLUMNS.ends(day(5), 0) == COLUMNS.ends(day(4), 1) == 10
    assert COLUMNS.starts(day(-3), 0) == 0
    assert COLUMNS.ends(day(40), 1) == 20


def test_stays_on_end_are_one_across_a_weekend_and_not_across_a_day():
    assert len(merged([stay(1, "bench", 0, 1), stay(1, "bench", 2, 4), stay(1, "bench", 7, 8)])) == 1
    assert len(merged([stay(1, "bench", 0, 1), stay(1, "bench", 3, 4)])) == 2
    assert len(merged([stay(1, "bench", 0, 1), stay(2, "bench", 2, 4)])) == 2
    (one,) = merged([stay(1, "bench", 0, 4), stay(1, "bench", 1, 2)])
    assert (one.first, one.last) == (day(0), day(4))


def test_a_bar_lies_where_its_half_days_are():
    sheet = draw([BENCH], [stay(101, "bench", 1, 2, first_half=1)], DAYS, day(2))
    (bar,) = sheet.rows[0].bars
    assert (bar.x, bar.width, bar.y) == (150 + 3 * 18, 3 * 18, HEAD + PAD)
    assert bar.label == "101"
    assert sheet.today_x == 150 + 4 * 18
    assert [(mark.x, mark.day) for mark in sheet.weeks] == [(150, day(0)), (150 + 10 * 18, day(7))]


def test_half_a_day_has_no_room_for_a_number_and_a_week_has_room_for_a_name():
    stays = [stay(101, "bench", 1, 1, last_half=0), stay(102, "bench", 2, 8)]
    labels = [bar.label for bar in draw([BENCH], stays, DAYS, day(2), {102: "Mill Row"}).rows[0].bars]
    assert labels == ["", "102 Mill Row"]


def test_what_is_over_the_edge_is_cut_and_what_is_beyond_it_left_out():
    stays = [stay(1, "bench", -10, 0), stay(2, "bench", 11, 40), stay(3, "bench", 14, 20)]
    bars = draw([BENCH], stays, DAYS, day(2)).rows[0].bars
    assert [(bar.owner, bar.x, bar.width) for bar in bars] == [(1, 150, 36), (2, 150 + 18 * 18, 36)]


def test_more_than_there_is_room_for_is_hatched_and_counted():
    """Three at the sprayer on Wednesday and Thursday, room for two."""
    stays = [stay(1, "sprayer", 0, 4), stay(2, "sprayer", 1, 3), stay(3, "sprayer", 2, 8)]
    row = draw([BENCH, SPRAYER], stays, DAYS, day(2)).rows[1]
    (over,) = row.overflow
    assert (over.first, over.last, over.most) == (day(2), day(3), 3)
    assert (over.x, over.width, over.height) == (150 + 4 * 18, 4 * 18, LANE)
    assert row.height == 2 * PAD + 3 * LANE
    assert row.band_height == 2 * LANE + PAD


def test_a_full_place_is_not_over():
    assert draw([BENCH], [stay(1, "bench", 0, 4)], DAYS, day(2)).rows[0].overflow == ()


def test_a_line_forks_to_both_strands_and_closes_again():
    desk, wrap = Place("desk", "Desk", 1), Place("wrap", "Wrap", 1)
    stays = [
        stay(1, "desk", 0, 0, "before"),
        stay(1, "bench", 1, 1, "doors"),
        stay(1, "sprayer", 2, 4, "doors"),
        stay(1, "bench", 3, 4, "carcasses"),
        stay(1, "wrap", 8, 8, "after"),
    ]
    (thread,) = draw([desk, BENCH, SPRAYER, wrap], stays, DAYS, day(2)).threads
    slopes = [part for part in thread.d.split("M") if part]
    assert len(slopes) == 5  # desk to both, bench to sprayer, both to the wrap bay
    starts = [slope.split("L")[0] for slope in slopes]
    ends = [slope.split("L")[1] for slope in slopes]
    assert starts[0] == f"{150 + 2 * 18} {HEAD + PAD + 6}"
    assert len(set(starts)) == 4  # both limbs leave the desk at one point
    assert len(set(ends)) == 4  # and both end at the wrap bay


def test_lanes_are_as_few_as_there_are_stays_at_once():
    """Brute force: the most at once in any half-day, on 200 random sheets; no two in one lane at a time."""
    rng = Random(7)
    for _ in range(200):
        stays = []
        for owner in range(rng.randrange(1, 12)):
            first = rng.randrange(0, 9)
            stays.append(
                stay(owner, "bench", first, min(11, first + rng.randrange(0, 5)), first_half=rng.randrange(2))
            )
        stays = [one for one in stays if COLUMNS.span(one)[0] < COLUMNS.span(one)[1]]
        lanes = lanes_of(stays, COLUMNS)
        assert max(lanes.values(), default=-1) + 1 == max(counts(stays, COLUMNS))
        for one in stays:
            for other in stays:
                if one.owner < other.owner and lanes[one] == lanes[other]:
                    (first, end), (then, until) = COLUMNS.span(one), COLUMNS.span(other)
                    assert end <= then or until <= first


def test_nothing_to_draw():
    sheet = draw([BENCH], [], (), day(0))
    assert (sheet.rows[0].bars, sheet.threads, sheet.today_x) == ((), (), None)
