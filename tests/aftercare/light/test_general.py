"""The general rule against a search minute by minute, by the same published numbers: outside 75 degrees either
side of the window's normal or below what stands opposite, and 15 degrees high (common practice, no source)."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest

from aftercare.light import sphere, sun
from aftercare.light.match import photo_window
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, Basis, NoWindow, Reason
from tests.aftercare.light.cast import LONDON_ZONE, MIDDLE, NOTED, no_window, window


def keeps_the_rule(place: Place, day: date, aspect: Aspect) -> tuple[np.ndarray, np.ndarray]:
    minutes = datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() + 60.0 * np.arange(1440)
    sky = sun.positions(place.latitude_deg, place.longitude_deg, minutes)
    aside = np.abs(sphere.turn_between_deg(sky.azimuth_deg, aspect.window_facing_deg)) > 75
    return minutes, (sky.elevation_deg > 15) & (aside | (sky.elevation_deg < aspect.obstruction_deg))


def longest_stretch(good: np.ndarray) -> tuple[int, int]:
    """First and last index of the longest run of True, or (0, 0)."""
    best = (0, 0)
    start = None
    for index, flag in enumerate([*good.tolist(), False]):
        if flag and start is None:
            start = index
        if not flag and start is not None:
            best = max(best, (start, index - 1), key=lambda run: run[1] - run[0])
            start = None
    return best


@pytest.mark.parametrize("facing_deg", range(0, 360, 45))
@pytest.mark.parametrize("obstruction_deg", [0, 25])
@pytest.mark.parametrize("day", [date(2026, 1, 20), date(2026, 4, 12), date(2026, 6, 21), date(2026, 10, 3)])
def test_rule_agrees_with_a_search(day: date, facing_deg: int, obstruction_deg: int) -> None:
    aspect = Aspect(facing_deg, obstruction_deg=obstruction_deg)
    minutes, good = keeps_the_rule(MIDDLE, day, aspect)
    first, last = longest_stretch(good)
    found = photo_window(MIDDLE, [], day, LONDON_ZONE, aspect)
    if isinstance(found, NoWindow):
        assert last - first <= 12
        return
    # The day's declination is taken at noon: a minute or two, never more than four, at the ends.
    length_s = (found.ends_at - found.starts_at).total_seconds()
    assert length_s == pytest.approx(minutes[last] - minutes[first], abs=300)
    inside = (minutes > found.starts_at.timestamp() + 240) & (minutes < found.ends_at.timestamp() - 240)
    assert good[inside].all()
    assert found.starts_at < found.best_at < found.ends_at
    assert (found.basis, found.note, found.height_difference_deg) == (Basis.GENERAL_RULE, None, None)
    assert 1 <= found.score <= 60


def test_the_note_wins_over_the_rule() -> None:
    day = date(2026, 6, 21)
    found = window(photo_window(MIDDLE, [NOTED], day, LONDON_ZONE, Aspect(180)))
    assert found.basis is Basis.NOTE


def test_low_sun_all_day() -> None:
    found = no_window(photo_window(MIDDLE, [], date(2026, 12, 21), LONDON_ZONE, Aspect(0)))
    assert found.reason is Reason.TOO_LOW
    assert found.overcast is not None


def test_sun_straight_in_all_day() -> None:
    found = no_window(photo_window(MIDDLE, [], date(2027, 1, 25), LONDON_ZONE, Aspect(180)))
    assert found.reason is Reason.DIRECT_SUN


def test_a_north_room_has_indirect_light_all_day() -> None:
    found = window(photo_window(MIDDLE, [], date(2027, 3, 20), LONDON_ZONE, Aspect(0)))
    assert (found.score, found.sun_enters) == (60, False)
    assert (found.ends_at - found.starts_at).total_seconds() > 8 * 3600


def test_sun_grazing_the_doors_halves_the_score() -> None:
    """In April the soft hour of a south room is its first: the sun comes in aslant at 99 degrees."""
    day = date(2026, 4, 15)
    plain = window(photo_window(MIDDLE, [], day, LONDON_ZONE, Aspect(180)))
    grazed = window(photo_window(MIDDLE, [], day, LONDON_ZONE, Aspect(180, 180)))
    turned_away = window(photo_window(MIDDLE, [], day, LONDON_ZONE, Aspect(180, 270)))
    assert grazed.sun_strikes_doors is True
    assert grazed.score == plain.score // 2
    assert (turned_away.sun_strikes_doors, turned_away.score) == (False, plain.score)


def test_midnight_sun_above_fifteen_degrees_all_day() -> None:
    found = window(photo_window(Place(88, 0), [], date(2026, 6, 21), UTC, Aspect(0)))
    # All but the 150 degrees of turn in front of the window: 14 of 24 hours.
    assert (found.ends_at - found.starts_at).total_seconds() == pytest.approx(14 * 3600, abs=1200)
