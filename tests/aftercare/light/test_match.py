from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from aftercare.light import sphere, sun
from aftercare.light.errors import LightError
from aftercare.light.match import check_note, photo_window, photo_windows, photo_windows_for
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, Basis, LightNote, Reason, WindowRequest
from tests.aftercare.light.cast import LONDON_ZONE, MIDDLE, NOTED, NOVEMBER, no_window, noted, window


def test_the_worked_case_of_the_design() -> None:
    """A note of 11:15 on 10 September is a photo window near 09:32 on 3 November, with the sun 21 degrees lower."""
    found = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE))
    assert abs(found.best_at - datetime(2026, 11, 3, 9, 32, tzinfo=LONDON_ZONE)) < timedelta(minutes=2)
    assert found.height_difference_deg == pytest.approx(-21, abs=0.5)
    assert found.starts_at < found.best_at < found.ends_at
    assert found.best_at.utcoffset() == timedelta(0)
    assert (found.basis, found.note) == (Basis.NOTE, NOTED)


def test_the_note_s_own_day_is_a_perfect_match() -> None:
    found = window(photo_window(MIDDLE, [NOTED], date(2026, 9, 10), LONDON_ZONE))
    assert abs(found.best_at - NOTED.noted_at) <= timedelta(seconds=1)
    assert (found.score, found.height_difference_deg) == (100, pytest.approx(0, abs=0.005))


def test_best_moment_agrees_with_a_search_second_by_second() -> None:
    target = sun.positions_at(MIDDLE, [NOTED.noted_at]).azimuth_deg[0]
    seconds = datetime(2026, 11, 3, 6, tzinfo=UTC).timestamp() + np.arange(0, 12 * 3600)
    bearings = sun.positions(MIDDLE.latitude_deg, MIDDLE.longitude_deg, seconds).azimuth_deg
    nearest = seconds[np.argmin(np.abs(sphere.turn_between_deg(bearings, target)))]
    found = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE))
    assert abs(found.best_at.timestamp() - nearest) <= 1


def test_the_range_widens_with_the_score() -> None:
    days = [date(2026, 9, 10) + timedelta(14 * n) for n in range(8)]
    found = [window(light) for light in photo_windows(MIDDLE, [NOTED], days, LONDON_ZONE)]
    scores = [each.score for each in found]
    bearings = [np.ptp(sun.positions_at(MIDDLE, [each.starts_at, each.ends_at]).azimuth_deg) for each in found]
    assert scores == sorted(scores, reverse=True)
    assert bearings == sorted(bearings, reverse=True)
    assert bearings[0] == pytest.approx(15.0, abs=0.1)


def test_an_evening_note_has_no_window_in_winter() -> None:
    found = no_window(photo_window(MIDDLE, [noted(date(2026, 6, 21), 20)], date(2026, 12, 1), LONDON_ZONE))
    assert found.reason is Reason.SUN_DOWN
    assert found.elevation_deg is not None and found.elevation_deg < 0
    assert found.overcast is not None and found.overcast.starts_at < found.overcast.ends_at


def test_the_range_ends_at_sunset() -> None:
    evening = noted(date(2026, 10, 20), 17, 40)
    [sun_day] = sun.sun_days(MIDDLE, [date(2026, 10, 20)], LONDON_ZONE)
    found = window(photo_window(MIDDLE, [evening], date(2026, 10, 20), LONDON_ZONE))
    assert sun_day.sets_at is not None
    assert abs(found.ends_at - sun_day.sets_at) < timedelta(seconds=15)


def test_of_several_notes_the_best_match_answers() -> None:
    winter, evening = noted(date(2026, 2, 2), 10), noted(date(2026, 6, 21), 20)
    found = window(photo_window(MIDDLE, [evening, NOTED, winter], NOVEMBER, LONDON_ZONE))
    assert found.note == winter
    alone = window(photo_window(MIDDLE, [winter], NOVEMBER, LONDON_ZONE))
    assert found == alone


def test_a_note_by_night_is_refused() -> None:
    night = noted(date(2026, 9, 10), 23, 40)
    for ask in (
        lambda: photo_window(MIDDLE, [NOTED, night], NOVEMBER, LONDON_ZONE),
        lambda: check_note(MIDDLE, night),
    ):
        with pytest.raises(LightError) as refused:
            ask()
        assert refused.value.field == "noted_at"
        assert refused.value.sentence == (
            "The sun was down at 23:40 on 10 September 2026: "
            "a light note is taken by daylight, so correct the time or the place."
        )


def test_a_stored_note_is_refused_by_the_hour_of_the_clock_on_the_wall() -> None:
    stored = LightNote(datetime(2026, 9, 10, 22, 40, tzinfo=UTC))
    with pytest.raises(LightError, match="down at 23:40 on 10 September"):
        check_note(MIDDLE, stored, LONDON_ZONE)
    with pytest.raises(LightError, match="down at 23:40 on 10 September"):
        photo_window(MIDDLE, [stored], NOVEMBER, LONDON_ZONE)
    with pytest.raises(LightError, match="down at 22:40 on 10 September"):
        check_note(MIDDLE, stored)


def test_a_note_by_day_passes_the_check() -> None:
    assert check_note(MIDDLE, NOTED).elevation_deg[0] == pytest.approx(37.4, abs=0.1)


def test_roofs_opposite_take_the_winter_light() -> None:
    south = Aspect(150, obstruction_deg=20)
    found = no_window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, south))
    assert found.reason is Reason.OBSTRUCTED
    assert found.elevation_deg == pytest.approx(16.1, abs=0.1)


def test_roofs_opposite_cut_the_range() -> None:
    clear = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE))
    cut = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, Aspect(150, obstruction_deg=15.5)))
    assert clear.starts_at < cut.starts_at < cut.best_at == clear.best_at
    [at_start] = sun.positions_at(MIDDLE, [cut.starts_at]).elevation_deg
    assert at_start == pytest.approx(15.5, abs=0.02)


def test_roofs_do_not_matter_behind_the_window() -> None:
    assert window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, Aspect(0, obstruction_deg=40))).score == 48


def test_sun_newly_over_the_roofs_is_another_light() -> None:
    """Noted in winter shade behind the roofs; in June the sun clears them."""
    shaded = noted(date(2027, 1, 10), 11)
    aspect = Aspect(180, obstruction_deg=30)
    open_view = window(photo_window(MIDDLE, [shaded], date(2027, 3, 20), LONDON_ZONE))
    found = window(photo_window(MIDDLE, [shaded], date(2027, 3, 20), LONDON_ZONE, aspect))
    assert found.score == round(open_view.score / 2)
    still_shaded = window(photo_window(MIDDLE, [shaded], date(2027, 1, 20), LONDON_ZONE, aspect))
    assert still_shaded.score > 95


@pytest.mark.parametrize(
    ("facing_deg", "doors_deg", "enters", "strikes"),
    [
        (145, 145, True, True),  # doors opposite the window
        (145, 325, True, False),  # doors on the window's own wall
        (145, 235, True, False),  # beside the window, turned away by a hair
        (145, 230, True, True),
        (325, 145, False, False),  # the sun is behind the house
        (145, None, True, None),
    ],
)
def test_sun_on_the_doors(facing_deg: float, doors_deg: float | None, enters: bool, strikes: bool | None) -> None:
    """The sun of the worked case stands at 145.28 degrees."""
    doors = None if doors_deg is None else doors_deg + 0.5
    found = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, Aspect(facing_deg, doors)))
    assert (found.sun_enters, found.sun_strikes_doors) == (enters, strikes)


def test_reach_of_the_light_is_the_triangle_s() -> None:
    """Square to the window: head of the glass over the tangent of the sun's height."""
    bearing_deg = float(check_note(MIDDLE, NOTED).azimuth_deg[0])
    aspect = Aspect(bearing_deg, window_height_mm=1200, window_sill_mm=900)
    found = window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, aspect))
    assert found.reach_mm == pytest.approx(2100 / np.tan(np.radians(found.elevation_deg)), abs=1)
    assert window(photo_window(MIDDLE, [NOTED], NOVEMBER, LONDON_ZONE, Aspect(bearing_deg))).reach_mm is None


def test_many_rooms_at_once_answer_like_each_alone() -> None:
    days = tuple(NOVEMBER + timedelta(n) for n in range(3))
    north = Place(57.3, -2.6)
    requests = [
        WindowRequest(MIDDLE, (NOTED, noted(date(2026, 9, 10), 16)), days, LONDON_ZONE),
        WindowRequest(north, (), days[:2], LONDON_ZONE, Aspect(180)),
        WindowRequest(MIDDLE, (NOTED,), (), LONDON_ZONE),
        WindowRequest(north, (), days[:1], LONDON_ZONE),
        WindowRequest(north, (NOTED,), days[1:], LONDON_ZONE, Aspect(180, 180)),
    ]
    together = photo_windows_for(requests)
    assert [len(answers) for answers in together] == [3, 2, 0, 1, 2]
    assert together == [photo_windows(each.place, each.notes, each.days, each.zone, each.aspect) for each in requests]


def test_nothing_asked_nothing_answered() -> None:
    assert photo_windows_for([]) == []
    assert photo_windows(MIDDLE, [NOTED], [], LONDON_ZONE) == []


def test_neither_note_nor_facing_leaves_the_overcast_hours() -> None:
    found = no_window(photo_window(MIDDLE, [], NOVEMBER, LONDON_ZONE))
    assert found.reason is Reason.NOTHING_RECORDED
    assert found.overcast is not None


@pytest.mark.parametrize("day", [date(2026, 6, 21), NOVEMBER, date(2026, 12, 21)])
def test_overcast_hours_agree_with_a_search_minute_by_minute(day: date) -> None:
    found = photo_window(MIDDLE, [], day, LONDON_ZONE).overcast
    minutes = datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() + 60.0 * np.arange(1440)
    heights = sun.positions(MIDDLE.latitude_deg, MIDDLE.longitude_deg, minutes).elevation_deg
    bright = minutes[heights > min(15.0, 0.7 * heights.max())]
    assert found is not None
    assert abs(found.starts_at.timestamp() - bright[0]) < 180
    assert abs(found.ends_at.timestamp() - bright[-1]) < 180


def test_polar_night_offers_nothing() -> None:
    north = Place(78.2, 15.6)
    note = LightNote(datetime(2026, 6, 21, 23, 30, tzinfo=UTC))
    found = no_window(photo_window(north, [note], date(2026, 12, 21), UTC))
    assert (found.reason, found.overcast) == (Reason.SUN_DOWN, None)
    assert window(photo_window(north, [note], date(2026, 6, 25), UTC)).score == 100


def test_between_the_tropics_the_sun_may_never_stand_there() -> None:
    """At 10 degrees north the June sun passes north of the zenith: it never stands in the south."""
    place, note = Place(10, 0), LightNote(datetime(2026, 12, 21, 12, tzinfo=UTC))
    found = no_window(photo_window(place, [note], date(2026, 6, 21), UTC))
    assert found.reason is Reason.NEVER_THERE
    assert found.elevation_deg is None
