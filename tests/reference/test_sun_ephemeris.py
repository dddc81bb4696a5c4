"""Against the numerical ephemeris DE421 through skyfield: other theory, other code, other people.

The tolerance 0.002 degrees is five times finer than this project asks (0.01) and holds because both know UT1
only to about a tenth of a second.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from aftercare.light import sphere, sun
from aftercare.light.sun import Place

PLACES = [Place(50.1, -5.2), Place(57.3, -2.6)]
STEP_S = 5 * 3600 + 13 * 60  # never the same hour two days running
YEAR_START = datetime(2026, 9, 1, tzinfo=UTC)


# The list of measured UT1 in the package ends at its release; the tolerance allows for the forecast after it.
pytestmark = pytest.mark.filterwarnings("ignore:The file finals2000A:RuntimeWarning")


@pytest.fixture(scope="module")
def sky() -> Iterator[Any]:
    load = pytest.importorskip("skyfield.api").Loader(
        pytest.importorskip("skyfield_data").get_skyfield_data_path(), expire=False, verbose=False
    )
    ephemeris = load("de421.bsp")
    yield load.timescale(builtin=True), ephemeris
    ephemeris.close()


@pytest.mark.parametrize("place", PLACES, ids=["south", "north"])
def test_a_year_of_positions(sky: Any, place: Place) -> None:
    from skyfield.api import wgs84

    timescale, ephemeris = sky
    unix_s = YEAR_START.timestamp() + np.arange(0, 365 * 86400, STEP_S, dtype=float)
    found = sun.positions(place.latitude_deg, place.longitude_deg, unix_s)
    times = timescale.from_datetimes([datetime.fromtimestamp(each, UTC) for each in unix_s])
    observer = ephemeris["earth"] + wgs84.latlon(place.latitude_deg, place.longitude_deg)
    elevation, azimuth, _ = observer.at(times).observe(ephemeris["sun"]).apparent().altaz()
    assert len(unix_s) > 1600
    assert np.max(np.abs(found.elevation_deg - elevation.degrees)) < 0.002
    up = found.elevation_deg > 0
    assert np.max(np.abs(sphere.turn_between_deg(found.azimuth_deg, azimuth.degrees))[up]) < 0.002


@pytest.mark.parametrize("place", PLACES, ids=["south", "north"])
@pytest.mark.parametrize("day", [date(2026, 12, 21), date(2027, 3, 28), date(2027, 6, 21), date(2027, 10, 31)])
def test_sunrise_and_sunset(sky: Any, place: Place, day: date) -> None:
    from skyfield import almanac
    from skyfield.api import wgs84

    timescale, ephemeris = sky
    observer = ephemeris["earth"] + wgs84.latlon(place.latitude_deg, place.longitude_deg)
    start, end = timescale.utc(day.year, day.month, day.day), timescale.utc(day.year, day.month, day.day + 1)
    rises, _ = almanac.find_risings(observer, ephemeris["sun"], start, end)
    sets, _ = almanac.find_settings(observer, ephemeris["sun"], start, end)
    [found] = sun.sun_days(place, [day], ZoneInfo("Europe/London"))
    assert found.rises_at is not None and found.sets_at is not None
    # Both use 34' of refraction, skyfield with the disc's true size that day: up to 0.005 degrees, a few seconds.
    assert abs((found.rises_at - rises[0].utc_datetime()).total_seconds()) < 8
    assert abs((found.sets_at - sets[0].utc_datetime()).total_seconds()) < 8
