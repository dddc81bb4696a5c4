from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from aftercare.light import sun, words
from aftercare.light.clocks import ClockChange
from aftercare.light.match import photo_window
from aftercare.light.nearest import find_match
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, NoWindow, Reason
from tests.aftercare.light.cast import LONDON_ZONE, MIDDLE, NOTED, NOVEMBER, noted, window


def test_lower_sun_reaches_further_in() -> None:
    found = photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE)
    assert words.light_sentence(found) == (
        "Photo window 09:16 to 09:47, best 09:31; the sun stands 21° lower: light reaches further in."
    )


def test_higher_sun_falls_shorter() -> None:
    found = window(photo_window(MIDDLE, [NOTED], date(2026, 6, 21), LONDON_ZONE))
    assert words.height_words(found) == "the sun stands 20° higher: light falls shorter"


def test_same_height_is_said_plainly() -> None:
    found = window(photo_window(MIDDLE, [NOTED], date(2026, 9, 12), LONDON_ZONE))
    assert words.height_words(found) == "the sun stands as high as at the note"


def test_sun_behind_the_house_reaches_nowhere() -> None:
    found = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, Aspect(325)))
    assert words.height_words(found) == "the sun stands 21° lower"


def test_a_general_rule_is_called_one() -> None:
    found = window(photo_window(MIDDLE, [], date(2026, 6, 21), LONDON_ZONE, Aspect(180)))
    assert words.light_sentence(found).startswith(
        "By the general rule (no light note), the light is indirect from 06:4"
    )
    assert words.height_words(found) == ""


@pytest.mark.parametrize("reason", list(Reason))
def test_every_missing_window_has_its_reason(reason: Reason) -> None:
    sentence = words.light_sentence(NoWindow(NOVEMBER, reason))
    assert sentence.startswith("No photo window") and sentence.endswith(".")


def test_no_two_reasons_read_alike() -> None:
    assert len({words.light_sentence(NoWindow(NOVEMBER, reason)) for reason in Reason}) == len(Reason)


def test_doors_and_reach() -> None:
    aspect = Aspect(145, 145, window_height_mm=1200, window_sill_mm=900)
    found = photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, aspect)
    assert words.doors_sentence(found) == "On a clear day direct sun strikes the doors at 09:31: expect glare."
    # 2.1 m over the tangent of 16.1 degrees.
    assert words.reach_sentence(found) == "Direct light reaches 7.3 m in across the floor."
    away = photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, Aspect(145, 325))
    assert words.doors_sentence(away) == "No direct sun on the doors."
    assert words.reach_sentence(away) is None
    assert words.doors_sentence(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE)) is None


def test_overcast_hours() -> None:
    found = photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE)
    assert words.overcast_sentence(found.overcast) == "Overcast: any time between 09:20 and 14:20."
    assert words.overcast_sentence(None) == "Overcast: no daylight worth a photograph."


def test_sunrise_and_polar_days() -> None:
    [day] = sun.sun_days(MIDDLE, [NOVEMBER], LONDON_ZONE)
    # Against skyfield the same day's rise and set agree within seconds: tests/reference/test_sun_ephemeris.py.
    assert words.sun_sentence(day) == "Sunrise 07:06, sunset 16:33."
    summer, winter = sun.sun_days(Place(78.2, 15.6), [date(2026, 6, 21), date(2026, 12, 21)], UTC)
    assert words.sun_sentence(summer) == "The sun does not set."
    assert words.sun_sentence(winter) == "The sun does not rise."


def test_match_that_must_wait() -> None:
    search = find_match(MIDDLE, [NOTED], date(2026, 10, 28), date(2026, 11, 11), LONDON_ZONE)
    assert words.match_sentence(search) == (
        "The light of the note cannot be matched before 26 March 2027; "
        "nearest is 28 October at 09:35, the sun stands 19° lower: light reaches further in."
    )


def test_match_at_hand() -> None:
    search = find_match(MIDDLE, [NOTED], date(2026, 9, 1), date(2026, 9, 20), LONDON_ZONE)
    assert words.match_sentence(search) == "Nearest is 10 September at 11:15, the sun stands as high as at the note."


def test_match_with_nothing_on_offer() -> None:
    evening = noted(date(2026, 6, 21), 20)
    search = find_match(MIDDLE, [evening], date(2026, 12, 1), date(2026, 12, 14), LONDON_ZONE)
    sentence = words.match_sentence(search)
    assert sentence.startswith("The light of the note cannot be matched before ")
    assert sentence.endswith(" 2027; choose by the overcast hours.")


@pytest.mark.parametrize(
    ("noted_on", "day", "sentence"),
    [
        (
            date(2026, 9, 10),
            NOVEMBER,
            "Clocks go back on 25 October: the same sun is an hour earlier on the clock.",
        ),
        (
            date(2027, 2, 1),
            date(2027, 4, 5),
            "Clocks go forward on 28 March: the same sun is an hour later on the clock.",
        ),
        (
            NOVEMBER,
            date(2026, 9, 10),
            "Clocks go back on 25 October: the same sun is an hour later on the clock.",
        ),
        (
            date(2026, 9, 10),
            date(2027, 4, 5),
            "Clocks go back on 25 October and forward on 28 March 2027: "
            "between these two days the clock agrees again.",
        ),
        (date(2026, 9, 10), date(2026, 9, 30), None),
    ],
)
def test_clock_changes_between_note_and_day(noted_on: date, day: date, sentence: str | None) -> None:
    assert words.clock_change_sentence(noted_on, day, LONDON_ZONE) == sentence


def test_change_alone() -> None:
    assert words.change_sentence(ClockChange(date(2027, 3, 28), 60)) == "Clocks go forward on 28 March 2027."


def test_times_round_to_the_nearest_minute() -> None:
    assert words.time_words(datetime(2026, 11, 3, 9, 31, 29, tzinfo=UTC)) == "09:31"
    assert words.time_words(datetime(2026, 11, 3, 9, 59, 30, tzinfo=UTC)) == "10:00"
