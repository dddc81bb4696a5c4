from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.carrying.carry import (
    CarryLog,
    CarryPiece,
    carry_rounds,
    crew_for_slot,
    latest_leaving,
    trip_minutes,
    what_fits,
)
from jobs.pure_errors import MeasureError

LONDON = ZoneInfo("Europe/London")
TWO_FLOORS = trip_minutes([], 2)


def singles(count: int) -> list[CarryPiece]:
    return [CarryPiece(f"P{number}", 1) for number in range(1, count + 1)]


def test_reference_carry_needs_four_people_for_a_45_minute_slot():
    # Worked in the trade reference: 36 pieces x 4 min = 144 person-minutes; two people 72, three 48.
    need = crew_for_slot(singles(36), trip=TWO_FLOORS, slot_minutes=45, let_in_only=False)
    assert [line.minutes for line in need.lines[:4]] == [144, 72, 48, 36]
    assert need.people == 4
    assert need.sentence.startswith("4 people, 9 rounds, 36 min of 45 usable in the slot of 45 min")
    assert "our default without a source" in need.sentence


def test_let_in_only_slot_does_not_bind_the_carry():
    need = crew_for_slot(singles(36), trip=TWO_FLOORS, slot_minutes=45, let_in_only=True)
    assert need.people == 1
    assert "letting in only" in need.sentence


def test_two_person_pieces_make_the_crew_larger_and_one_person_useless():
    pieces = [CarryPiece(f"C{number}", 2) for number in range(10)]
    need = crew_for_slot(pieces, trip=TWO_FLOORS, slot_minutes=45, let_in_only=False)
    assert need.lines[0].rounds is None
    assert need.lines[2].minutes == need.lines[1].minutes == 40
    assert need.people == 2


def test_setting_up_shortens_the_slot_and_no_crew_may_be_enough():
    need = crew_for_slot(
        singles(36), trip=TWO_FLOORS, slot_minutes=45, let_in_only=False, set_up_minutes=30, largest_crew=4
    )
    assert need.people is None
    assert need.sentence.startswith("No crew up to 4 gets everything in within 15 of the slot's 45 min")


def test_piece_not_for_hands_is_named():
    need = crew_for_slot([*singles(2), CarryPiece("Slab", None)], trip=TWO_FLOORS, slot_minutes=45, let_in_only=False)
    assert need.not_by_hand == ("Slab",)
    assert need.sentence.startswith("Not counted, above the filter for 3 or not weighed: Slab. They need")
    assert "For the rest: 1 person" in need.sentence


def test_what_fits_names_what_stays_outside():
    load = what_fits(
        [*singles(5), CarryPiece("Big", 3)], people=2, trip=TWO_FLOORS, slot_minutes=10, set_up_minutes=2
    )
    assert (load.carried, load.left, load.minutes) == (("P1", "P2", "P3", "P4"), ("P5", "Big"), 8)


def test_median_of_own_logs_is_taken_from_three_on_and_said():
    logs = [CarryLog(30, 10, 2), CarryLog(50, 10, 2), CarryLog(36, 10, 2), CarryLog(90, 10, 0)]
    own = trip_minutes(logs, 2)
    assert (own.minutes, own.logs) == (3.6, 3)
    assert own.words == "3.6 min a trip: median of 3 own carries up 2 floors"
    default = trip_minutes(logs, 1)
    assert (default.minutes, default.logs) == (3.0, 0)
    assert "0 own carries up 1 floor, 3 are needed" in default.words


def test_latest_leaving_is_utc_and_right_after_the_clocks_change():
    start = datetime(2026, 10, 26, 9, 0, tzinfo=LONDON)  # winter time began on the 25th
    assert latest_leaving(start, drive_minutes=50, parking_minutes=15) == datetime(2026, 10, 26, 7, 55, tzinfo=UTC)
    summer = datetime(2026, 10, 23, 9, 0, tzinfo=LONDON)
    assert latest_leaving(summer, drive_minutes=50, parking_minutes=15) == datetime(2026, 10, 23, 6, 55, tzinfo=UTC)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: latest_leaving(datetime(2026, 5, 1, 9), drive_minutes=1, parking_minutes=1), "Slot start"),  # noqa: DTZ001
        (lambda: latest_leaving(datetime(2026, 5, 1, tzinfo=UTC), drive_minutes=-1, parking_minutes=1), "Drive"),
        (lambda: CarryPiece("Side", 0), "Lifters"),
        (lambda: CarryLog(0, 10, 2), "Carry log"),
        (lambda: trip_minutes([], -1), "Floors"),
        (lambda: carry_rounds([], 0), "People"),
        (lambda: crew_for_slot([], trip=TWO_FLOORS, slot_minutes=0, let_in_only=False), "Access slot"),
        (lambda: what_fits([], people=1, trip=TWO_FLOORS, slot_minutes=5, set_up_minutes=-1), "Set-up"),
    ],
)
def test_bad_figures_name_their_field(make, field):
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.field == field


@cache
def fewest_rounds(ones: int, twos: int, threes: int, people: int) -> int:
    """Brute force: every way of filling one round, then the rest."""
    if ones == twos == threes == 0:
        return 0
    best = 99
    for a in range(min(ones, people) + 1):
        for b in range(min(twos, (people - a) // 2) + 1):
            for c in range(min(threes, (people - a - 2 * b) // 3) + 1):
                if a + b + c:
                    best = min(best, 1 + fewest_rounds(ones - a, twos - b, threes - c, people))
    return best


@settings(deadline=None, max_examples=150)
@given(st.integers(0, 6), st.integers(0, 4), st.integers(0, 3), st.integers(3, 6))
def test_rounds_are_as_few_as_brute_force_finds(ones, twos, threes, people):
    lifters = [1] * ones + [2] * twos + [3] * threes
    pieces = [CarryPiece(str(index), count) for index, count in enumerate(lifters)]
    rounds = carry_rounds(pieces, people)
    assert len(rounds) == fewest_rounds(ones, twos, threes, people)
    assert sorted(piece.name for held in rounds for piece in held) == sorted(piece.name for piece in pieces)
    assert all(sum(piece.lifters for piece in held) <= people for held in rounds)


def test_let_in_crew_too_small_for_the_largest_piece_is_said():
    need = crew_for_slot([CarryPiece("Big", 3)], trip=TWO_FLOORS, slot_minutes=45, let_in_only=True, largest_crew=2)
    assert (need.people, need.sentence[:38]) == (None, "No crew up to 2 lifts every piece (4.0")
