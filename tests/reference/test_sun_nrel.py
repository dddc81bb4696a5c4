"""Reda & Andreas, Solar Position Algorithm, NREL/TP-560-34302 (rev. 2008), Appendix A.5.

Seen in a secondary copy; its temperature (11 C), slope orientation and refraction are from memory. Our own
sampled points of 2026 and 2027 (computed beforehand with the same algorithm) guard against drift, not error.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest

from aftercare.light import sun
from aftercare.light.sun import Place

DENVER = Place(39.742476, -105.1786)
INSTANT = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))
LONDON, EDINBURGH = Place(51.5074, -0.1278), Place(55.9533, -3.1883)


def refraction_deg(geometric_deg: float, pressure_mbar: float, temperature_c: float) -> float:
    """SPA equation 42, written out here so that the published zenith can be compared."""
    slope = np.radians(geometric_deg + 10.3 / (geometric_deg + 5.11))
    return pressure_mbar / 1010 * 283 / (273 + temperature_c) * 1.02 / (60 * np.tan(slope))


def worked_example() -> tuple[float, float]:
    found = sun.positions(DENVER.latitude_deg, DENVER.longitude_deg, [INSTANT.timestamp()], delta_t_s=67.0)
    return float(found.azimuth_deg[0]), float(found.elevation_deg[0])


def test_azimuth_of_the_worked_example() -> None:
    assert worked_example()[0] == pytest.approx(194.34024, abs=0.001)


def test_zenith_of_the_worked_example() -> None:
    _, geometric_deg = worked_example()
    apparent_deg = geometric_deg + refraction_deg(geometric_deg, 820.0, 11.0)
    assert 90.0 - apparent_deg == pytest.approx(50.11162, abs=0.001)


def test_zenith_without_refraction() -> None:
    # 50.127954: computed beforehand from the same input.
    assert 90.0 - worked_example()[1] == pytest.approx(50.127954, abs=0.001)


def test_incidence_on_the_tilted_surface() -> None:
    azimuth_deg, geometric_deg = worked_example()
    apparent_deg = geometric_deg + refraction_deg(geometric_deg, 820.0, 11.0)
    # Slope 30; rotation -10 is counted from south, so the surface looks to 170 from north.
    assert sun.incidence_deg(azimuth_deg, apparent_deg, 30.0, 170.0) == pytest.approx(25.187000, abs=0.001)


def test_sunrise_and_sunset_of_the_worked_example() -> None:
    """06:12:43 and 17:20:19, from memory.

    The report finds both events of the UTC day, and the sunset of that UTC day falls on the evening before.
    """
    eve, day = sun.sun_days(DENVER, [date(2003, 10, 16), date(2003, 10, 17)], timezone(timedelta(hours=-7)))
    assert day.rises_at is not None and eve.sets_at is not None
    assert abs(day.rises_at - INSTANT.replace(hour=6, minute=12, second=43)) < timedelta(seconds=3)
    assert abs(eve.sets_at - INSTANT.replace(day=16, hour=17, minute=20, second=19)) < timedelta(seconds=3)


@pytest.mark.parametrize(
    ("place", "instant", "azimuth_deg", "elevation_deg"),
    [
        (LONDON, datetime(2026, 6, 21, 12, tzinfo=UTC), 178.8648, 61.9258),
        (LONDON, datetime(2026, 12, 21, 12, tzinfo=UTC), 180.3382, 15.0526),
        (LONDON, datetime(2026, 3, 20, 9, tzinfo=UTC), 126.1808, 25.0358),
        (EDINBURGH, datetime(2026, 6, 21, 16, tzinfo=UTC), 255.4250, 37.8933),
        (EDINBURGH, datetime(2027, 1, 15, 10, tzinfo=UTC), 146.8925, 7.2619),
    ],
)
def test_sampled_points(place: Place, instant: datetime, azimuth_deg: float, elevation_deg: float) -> None:
    found = sun.positions_at(place, [instant])
    assert found.azimuth_deg[0] == pytest.approx(azimuth_deg, abs=0.001)
    assert found.elevation_deg[0] == pytest.approx(elevation_deg, abs=0.001)
