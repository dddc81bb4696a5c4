"""Day length and noon height at solstices and equinox, against the textbook triangle.

Noon height = 90 - latitude + declination; half the day = arccos((sin h - sin lat sin dec) / (cos lat cos dec)).
The sun's declination is 23.44 degrees at a solstice (obliquity of the ecliptic, from memory).
"""

from __future__ import annotations

import math
from datetime import date
from zoneinfo import ZoneInfo

import pytest

from aftercare.light import sun
from aftercare.light.sun import Place

LONDON_ZONE = ZoneInfo("Europe/London")
OBLIQUITY_DEG = 23.436


def textbook_day_hours(latitude_deg: float, declination_deg: float, sunrise_elevation_deg: float) -> float:
    lat, dec, low = (math.radians(angle) for angle in (latitude_deg, declination_deg, sunrise_elevation_deg))
    return (
        math.degrees(math.acos((math.sin(low) - math.sin(lat) * math.sin(dec)) / (math.cos(lat) * math.cos(dec))))
        / 7.5
    )


@pytest.mark.parametrize("latitude_deg", [50.0, 52.5, 55.95, 60.1])
@pytest.mark.parametrize(
    ("day", "declination_deg"), [(date(2026, 6, 21), OBLIQUITY_DEG), (date(2026, 12, 21), -OBLIQUITY_DEG)]
)
def test_solstice(latitude_deg: float, day: date, declination_deg: float) -> None:
    [found] = sun.sun_days(Place(latitude_deg, -1.5), [day], LONDON_ZONE)
    assert found.noon_elevation_deg == pytest.approx(90 - latitude_deg + declination_deg, abs=0.01)
    assert found.rises_at is not None and found.sets_at is not None
    hours = (found.sets_at - found.rises_at).total_seconds() / 3600
    assert hours == pytest.approx(textbook_day_hours(latitude_deg, declination_deg, -50 / 60), abs=30 / 3600)


def test_equinox_day_is_longer_than_night_by_refraction_alone() -> None:
    [found] = sun.sun_days(Place(52.5, -1.5), [date(2026, 9, 23)], LONDON_ZONE)
    assert found.rises_at is not None and found.sets_at is not None
    hours = (found.sets_at - found.rises_at).total_seconds() / 3600
    # The declination falls through the day, by 0.016 degrees an hour: within three minutes of the formula at zero.
    assert hours == pytest.approx(textbook_day_hours(52.5, 0.0, -50 / 60), abs=0.05)
    assert found.noon_elevation_deg == pytest.approx(37.5, abs=0.2)


def test_noon_follows_longitude() -> None:
    """Four minutes for each degree of longitude."""
    east, west = (
        sun.sun_days(Place(52.0, longitude_deg), [date(2027, 2, 1)], LONDON_ZONE)[0] for longitude_deg in (1.0, -4.0)
    )
    assert (west.noon_at - east.noon_at).total_seconds() == pytest.approx(5 * 240, abs=2)
