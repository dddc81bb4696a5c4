from __future__ import annotations

import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from aftercare.light import sphere, sun
from aftercare.light.sun import Place
from tests.aftercare.light.cast import LONDON_ZONE, MIDDLE


def test_the_package_imports_without_pvlib() -> None:
    """The import takes a second and 130 MB: only a request that needs the sun, or start-up, pays for it."""
    probe = (
        "import sys, aftercare.light.picture, aftercare.light.exif\n"
        "assert not {'pvlib', 'pandas', 'scipy', 'django'} & set(sys.modules)\n"
        "from aftercare.light.sun import preload\n"
        "preload()\n"
        "assert 'pvlib' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", probe], check=True)


def test_positions_broadcast_places_against_instants() -> None:
    noon = datetime(2026, 6, 21, 12, tzinfo=UTC).timestamp()
    both = sun.positions(np.array([[50.0], [60.0]]), 0.0, np.array([noon, noon + 3600, noon + 7200]))
    assert both.azimuth_deg.shape == (2, 3)
    alone = sun.positions(60.0, 0.0, [noon + 3600])
    assert both.elevation_deg[1, 1] == alone.elevation_deg[0]


def test_no_days_no_answer() -> None:
    assert sun.sun_days(MIDDLE, [], LONDON_ZONE) == []
    assert sun.positions_at(MIDDLE, []).azimuth_deg.shape == (0,)


def test_sun_at_sunrise_stands_at_the_almanac_height() -> None:
    days = [date(2026, 1, 1) + timedelta(n) for n in range(0, 365, 30)]
    for found in sun.sun_days(MIDDLE, days, LONDON_ZONE):
        assert found.rises_at is not None and found.sets_at is not None
        edges = sun.positions_at(MIDDLE, [found.rises_at, found.sets_at])
        # 0.0024 of parallax and half a second of rounding.
        assert edges.elevation_deg == pytest.approx(sun.SUNRISE_ELEVATION_DEG, abs=0.006)
        assert found.rises_at < found.noon_at < found.sets_at
        assert found.rises_at.date() == found.sets_at.date() == found.day


def test_noon_is_the_highest_moment() -> None:
    [found] = sun.sun_days(MIDDLE, [date(2026, 10, 25)], LONDON_ZONE)
    minutes = [found.noon_at + timedelta(minutes=n) for n in range(-180, 181)]
    heights = sun.positions_at(MIDDLE, minutes).elevation_deg
    assert abs(int(np.argmax(heights)) - 180) <= 1
    assert heights.max() == pytest.approx(found.noon_elevation_deg, abs=0.005)


@pytest.mark.parametrize(
    ("day", "noon_above"),
    [(date(2026, 6, 21), True), (date(2026, 12, 21), False)],
    ids=["midnight sun", "polar night"],
)
@pytest.mark.parametrize("latitude_deg", [78.2, 90.0])
def test_polar_days_have_no_rise_and_no_set(latitude_deg: float, day: date, noon_above: bool) -> None:
    [found] = sun.sun_days(Place(latitude_deg, 15.6), [day], ZoneInfo("Europe/Oslo"))
    assert found.rises_at is None and found.sets_at is None
    assert (found.noon_elevation_deg > 0) is noon_above


def test_southern_summer_is_in_december() -> None:
    [found] = sun.sun_days(Place(-33.9, 151.2), [date(2026, 12, 21)], ZoneInfo("Australia/Sydney"))
    # 90 - 33.9 + 23.44, the textbook noon height.
    assert found.noon_elevation_deg == pytest.approx(79.54, abs=0.05)


@pytest.mark.parametrize(
    ("azimuth_deg", "elevation_deg", "tilt_deg", "facing_deg", "expected_deg"),
    [
        (180, 30, 0, 0, 60),  # a table top sees the zenith distance
        (180, 30, 90, 180, 30),  # a wall faced straight sees the elevation
        (270, 0, 90, 180, 90),  # along the wall
        (0, 30, 90, 180, 150),  # from behind
        (350, 0, 90, 10, 20),  # across north
    ],
)
def test_incidence_on_simple_planes(
    azimuth_deg: float, elevation_deg: float, tilt_deg: float, facing_deg: float, expected_deg: float
) -> None:
    found = sun.incidence_deg(azimuth_deg, elevation_deg, tilt_deg, facing_deg)
    assert found == pytest.approx(expected_deg, abs=1e-6)


def test_turns_are_signed_and_short() -> None:
    assert sphere.turn_between_deg([350, 10, 180, 90], [10, 350, 0, 90]).tolist() == [-20, 20, -180, 0]


def test_triangle_round_trip() -> None:
    """From hour angle to bearing and height and back, at every latitude."""
    rng = np.random.default_rng(7)
    latitude, declination = rng.uniform(-89, 89, 500), rng.uniform(-23.4, 23.4, 500)
    hour = rng.uniform(-179, 179, 500)
    bearing = sphere.azimuth_deg(latitude, declination, hour)
    height = sphere.elevation_deg(latitude, declination, hour)
    first, second = sphere.elevations_at_bearing_deg(latitude, declination, bearing)
    nearer = np.fmin(np.abs(first - height), np.abs(second - height))
    assert nearer.max() < 1e-5
    back = sphere.hour_at_bearing_deg(latitude, bearing, height)
    assert np.abs(sphere.turn_between_deg(back, hour)).max() < 1e-5
