"""Made-up return visits for rounds: six towns within 50 km, each visit with an eleven-day window."""

from __future__ import annotations

import random
from datetime import date, timedelta
from math import cos, radians, sin

from aftercare.booking.routes import DayWindow, RoundSettings, RoundVisit
from jobs.travel import Place

FIRST_DAY = date(2026, 10, 19)  # a Monday
WORKSHOP = Place(52.4, -1.5)
SETTINGS = RoundSettings(home=WORKSHOP)
KM_A_DEGREE = 111.2


def near(place: Place, km: float, bearing_deg: float) -> Place:
    """The point `km` away; flat-earth, good to a few metres at these distances."""
    north, east = km * cos(radians(bearing_deg)), km * sin(radians(bearing_deg))
    latitude = place.latitude_deg + north / KM_A_DEGREE
    return Place(latitude, place.longitude_deg + east / KM_A_DEGREE / cos(radians(latitude)))


def made_visits(count: int, seed: int, weeks: int | None = None, range_days: int = 11) -> list[RoundVisit]:
    """`count` visits: four weekdays of five, a quarter of the days taken, one or two windows a day.

    The ranges start within `weeks`, by default a week for every five visits.
    """
    rng = random.Random(seed)
    towns = [near(WORKSHOP, rng.uniform(5, 50), rng.uniform(0, 360)) for _ in range(6)]
    spread = weeks if weeks is not None else max(1, count // 5)
    taken = {day for day in range(7 * (spread + 3)) if rng.random() < 0.25}
    return [_made_visit(number, rng, towns, spread * 7, taken, range_days) for number in range(count)]


def _made_visit(
    number: int, rng: random.Random, towns: list[Place], spread: int, taken: set[int], range_days: int
) -> RoundVisit:
    place = near(rng.choice(towns), rng.uniform(0, 4), rng.uniform(0, 360))
    first = rng.randrange(spread)
    never = rng.randrange(5)
    duration = rng.choice((60, 75, 90, 120))
    windows = []
    for day in range(first, first + range_days):
        if day % 7 > 4 or day % 7 == never or day in taken:
            continue
        for opens in rng.sample((510, 600, 720, 840), rng.choice((1, 2))):
            windows.append(DayWindow(FIRST_DAY + timedelta(day), opens, opens + 180))
    return RoundVisit(number, duration, tuple(windows), place)
