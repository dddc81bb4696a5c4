"""The drive: typed, or reckoned from the map, or not known; and said which."""

from __future__ import annotations

import math

import pytest

from jobs.models import CarryPlan
from jobs.queries.drive import drive_of
from tests.factories import make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db


def test_typed_minutes_win():
    shop, commission = make_workshop(), make_commission(maker=make_maker(), latitude_deg=52.0, longitude_deg=-1.0)
    drive = drive_of(CarryPlan(commission=commission, drive_minutes=35), commission, shop)
    assert (drive.minutes, drive.words) == (35, "drive 35 min as typed")


def test_from_the_map_it_is_the_straight_line_times_1_3_at_the_workshops_speed():
    # A degree of latitude is 111.19 km on a sphere of 6371.0088 km (2 pi r / 360, worked by hand).
    shop = make_workshop(latitude_deg=52.0, longitude_deg=-1.9, travel_speed_kmh=50)
    commission = make_commission(maker=make_maker(), latitude_deg=52.2, longitude_deg=-1.9)
    drive = drive_of(CarryPlan(commission=commission), commission, shop)
    assert drive.minutes == math.ceil(0.2 * 111.195 * 1.3 / 50 * 60)
    assert "22.2 km in a straight line × 1.3 at 50 km/h, common practice without a source" in drive.words


def test_without_a_place_on_the_map_it_is_not_known():
    shop, commission = make_workshop(), make_commission(maker=make_maker())
    assert drive_of(CarryPlan(commission=commission), commission, shop).minutes is None
