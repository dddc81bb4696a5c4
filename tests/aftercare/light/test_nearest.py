from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from aftercare.light import sphere, sun
from aftercare.light.errors import LightError
from aftercare.light.match import check_note, photo_window
from aftercare.light.nearest import find_match
from aftercare.light.values import Aspect
from tests.aftercare.light.cast import LONDON_ZONE, MIDDLE, NOTED, noted, window

FIRST, LAST = date(2026, 10, 28), date(2026, 11, 11)


def test_first_match_is_the_first_day_the_sun_is_back() -> None:
    """A September sun comes back in spring: searched through every minute of every day from October on."""
    search = find_match(MIDDLE, [NOTED], FIRST, LAST, LONDON_ZONE)
    at_note = check_note(MIDDLE, NOTED)
    days = [FIRST + timedelta(n) for n in range(200)]
    noons = sun.civil_noons_unix(days, LONDON_ZONE)
    minutes = noons[:, None] + 60.0 * np.arange(-300, 120)
    sky = sun.positions(MIDDLE.latitude_deg, MIDDLE.longitude_deg, minutes)
    nearest = np.abs(sphere.turn_between_deg(sky.azimuth_deg, at_note.azimuth_deg[0])).argmin(axis=1)
    apart_deg = np.abs(sky.elevation_deg[np.arange(200), nearest] - at_note.elevation_deg[0])
    assert search.first_match is not None
    assert search.first_match.day == days[int(np.argmax(apart_deg <= 3.0))]
    assert search.matched is False


def test_nearest_is_the_best_of_the_days_on_offer() -> None:
    search = find_match(MIDDLE, [NOTED], FIRST, LAST, LONDON_ZONE)
    # In autumn the sun sinks from day to day, so the first day offered is the nearest.
    assert search.nearest == window(photo_window(MIDDLE, [NOTED], FIRST, LONDON_ZONE))


def test_a_match_among_the_days_on_offer() -> None:
    search = find_match(MIDDLE, [NOTED], date(2026, 9, 1), date(2026, 9, 20), LONDON_ZONE)
    assert search.matched is True
    assert search.nearest is not None and search.nearest.day == date(2026, 9, 10)


def test_a_summer_evening_has_nothing_near_it_in_december() -> None:
    """Midsummer's evening sun: in December it is long down at that bearing."""
    search = find_match(MIDDLE, [noted(date(2026, 6, 21), 20)], date(2026, 12, 1), date(2026, 12, 14), LONDON_ZONE)
    assert search.nearest is None
    assert search.first_match is not None and search.first_match.day > date(2027, 4, 1)


def test_no_note_searches_the_general_rule() -> None:
    search = find_match(MIDDLE, [], date(2026, 12, 15), date(2026, 12, 24), LONDON_ZONE, Aspect(0))
    assert search.nearest is None
    assert search.first_match is not None and search.first_match.day.month == 1


def test_days_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(LightError) as refused:
        find_match(MIDDLE, [NOTED], LAST, FIRST, LONDON_ZONE)
    assert refused.value.field == "latest"
