"""Distance and minutes between places."""

from __future__ import annotations

from math import pi

import pytest

from jobs.travel import Place, straight_line_km, travel_minutes

MEAN_RADIUS_KM = 6371.0088  # IUGG, from memory


def minutes(here, there, speed_kmh=40.0, winding=1.3):
    return travel_minutes(here, there, speed_kmh=speed_kmh, winding=winding, unknown_minutes=30)


def test_one_degree_of_a_great_circle():
    """A degree of latitude, and one of longitude on the equator, are a 360th of the circumference."""
    degree = 2 * pi * MEAN_RADIUS_KM / 360
    assert straight_line_km(Place(51, 0), Place(52, 0)) == pytest.approx(degree, abs=1e-6)
    assert straight_line_km(Place(0, 5), Place(0, 6)) == pytest.approx(degree, abs=1e-6)


def test_quarter_of_the_earth_and_nothing():
    assert straight_line_km(Place(0, 0), Place(90, 0)) == pytest.approx(pi * MEAN_RADIUS_KM / 2)
    assert straight_line_km(Place(52, -1), Place(52, -1)) == 0


def test_minutes_are_rounded_up():
    """0.1 degree of latitude is 11.1195 km; x 1.3 at 40 km/h is 21.68 min."""
    assert minutes(Place(52.0, -1.5), Place(52.1, -1.5)) == 22
    assert minutes(Place(52.0, -1.5), Place(52.0, -1.5)) == 0


def test_an_unknown_place_takes_the_stated_minutes():
    assert minutes(None, Place(52, -1)) == 30
    assert minutes(Place(52, -1), None) == 30


@pytest.mark.parametrize(("latitude", "longitude", "word"), [(91, 0, "Latitude"), (0, -181, "Longitude")])
def test_a_place_off_the_map_is_named(latitude, longitude, word):
    with pytest.raises(ValueError, match=word):
        Place(latitude, longitude)
